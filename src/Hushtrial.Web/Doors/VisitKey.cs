using System.Security.Cryptography;
using System.Text;

namespace Hushtrial.Web.Doors;

/// <summary>The secret that stands in the address printed at the terminal: it tells the person who started the workspace from other accounts and programs on the same machine.</summary>
/// <remarks>Kept in the library's folder, readable by its owner alone, so that a bookmark and an open tab outlive a restart. It is never logged, and only its hash is compared.</remarks>
internal sealed class VisitKey
{
    /// <summary>Name of the cookie that holds it.</summary>
    public const string Cookie = "hushtrial-visit";

    private const string FileName = "visit.key";
    private readonly byte[] _hash;

    private VisitKey(string text) => (Text, _hash) = (text, SHA256.HashData(Encoding.UTF8.GetBytes(text)));

    /// <summary>The key, 43 characters of base64url.</summary>
    public string Text { get; }

    /// <summary>The key of a library, made when it has none.</summary>
    public static VisitKey Of(string folder)
    {
        Directory.CreateDirectory(folder);
        var path = Path.Combine(folder, FileName);
        if (File.Exists(path) && File.ReadAllText(path).Trim() is { Length: >= 43 } kept) return new(kept);
        var text = Convert.ToBase64String(RandomNumberGenerator.GetBytes(32)).TrimEnd('=').Replace('+', '-').Replace('/', '_');
        var options = new FileStreamOptions { Mode = FileMode.Create, Access = FileAccess.Write, Share = FileShare.None };
        if (!OperatingSystem.IsWindows()) options.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite;
        using var stream = new FileStream(path, options);
        stream.Write(Encoding.UTF8.GetBytes(text));
        return new(text);
    }

    /// <summary>Whether a text is the key; takes the same time whatever it is.</summary>
    public bool Fits(string? text) => text is not null && CryptographicOperations.FixedTimeEquals(SHA256.HashData(Encoding.UTF8.GetBytes(text)), _hash);
}
