using System.Security.Cryptography;
using Hushtrial.Reporting.Figures;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Hushtrial.Web.Assets;

/// <summary>Style sheets and modules from inside the assembly, under an address that names their content.</summary>
internal static class EmbeddedAssets
{
    private const string Prefix = "assets/";

    private static readonly Dictionary<string, string> _types = new(StringComparer.Ordinal)
    {
        [".js"] = "text/javascript; charset=utf-8",
        [".css"] = "text/css; charset=utf-8",
        [".svg"] = "image/svg+xml",
        [".woff2"] = "font/woff2",
    };

    private static readonly Dictionary<string, byte[]> _files = Read();

    /// <summary>The first characters of the hash over all assets.</summary>
    public static string Version { get; } = Hash();

    /// <summary>Address of an asset.</summary>
    /// <exception cref="ArgumentOutOfRangeException">There is none of this name.</exception>
    public static string Address(string name) => _files.ContainsKey(name) ? $"/assets/{Version}/{name}" : throw new ArgumentOutOfRangeException(nameof(name), name, "There is no such asset.");

    /// <summary>The sources of our own modules.</summary>
    public static IEnumerable<string> Modules() => _files.Where(f => f.Key.EndsWith(".js", StringComparison.Ordinal) && !f.Key.StartsWith("vendor/", StringComparison.Ordinal)).Select(f => System.Text.Encoding.UTF8.GetString(f.Value));

    /// <summary>Serves them.</summary>
    public static void MapAssets(this IEndpointRouteBuilder app)
    {
        app.MapGet("/assets/{version}/{**name}", (string version, string name, HttpResponse response) =>
        {
            if (!_files.TryGetValue(name, out var bytes) || !_types.TryGetValue(Path.GetExtension(name), out var type)) return Results.NotFound();
            // A module of an older version that an open tab still asks for gets today's file, but may not be kept.
            response.Headers.CacheControl = version == Version ? "public, max-age=31536000, immutable" : "no-store";
            return Results.Bytes(bytes, type);
        });
        app.MapGet("/favicon.ico", () => Results.Bytes(_files["mark.svg"], _types[".svg"]));
    }

    private static Dictionary<string, byte[]> Read()
    {
        var assembly = typeof(EmbeddedAssets).Assembly;
        var files = new Dictionary<string, byte[]>(StringComparer.Ordinal) { ["figures.css"] = System.Text.Encoding.UTF8.GetBytes(FigureStyle.PageCss) };
        foreach (var resource in assembly.GetManifestResourceNames().Where(n => n.StartsWith(Prefix, StringComparison.Ordinal)))
        {
            using var stream = assembly.GetManifestResourceStream(resource)!;
            var bytes = new byte[stream.Length];
            stream.ReadExactly(bytes);
            files[resource[Prefix.Length..].Replace('\\', '/')] = bytes;
        }
        return files;
    }

    private static string Hash()
    {
        using var all = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        foreach (var (name, bytes) in _files.OrderBy(f => f.Key, StringComparer.Ordinal))
        {
            all.AppendData(System.Text.Encoding.UTF8.GetBytes(name));
            all.AppendData(bytes);
        }
        return Convert.ToHexStringLower(all.GetHashAndReset())[..12];
    }
}
