using System.Globalization;
using System.Text;

namespace Hushtrial.Store.Library;

/// <summary>File names that every system can hold, made from whatever a sender calls a file.</summary>
internal static class SafeName
{
    /// <summary>Linux takes 255 bytes, Windows 260 characters with the folder.</summary>
    private const int MostBytes = 120;

    /// <summary>Names that open a device instead of a file, with any extension.</summary>
    private static readonly HashSet<string> _devices = new(["CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$", .. Enumerable.Range(0, 10).SelectMany(n => new[] { $"COM{n}", $"LPT{n}" }), "COM¹", "COM²", "COM³", "LPT¹", "LPT²", "LPT³"], StringComparer.OrdinalIgnoreCase);

    /// <summary>The last part of a name, without what some system cannot hold. A name that was made so stays as it is.</summary>
    public static string Of(string name)
    {
        // A long name that was cut may end in what now looks like an extension, with a space before it.
        var (made, next) = (Once(name), "");
        for (var n = 0; n < 4 && (next = Once(made)) != made; n++) made = next;
        return made;
    }

    private static string Once(string name)
    {
        var last = Whole(name)[(Whole(name).LastIndexOfAny(['/', '\\']) + 1)..];
        var text = new StringBuilder();
        foreach (var rune in last.EnumerateRunes())
            text.Append(Rune.GetUnicodeCategory(rune) is UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator or UnicodeCategory.OtherNotAssigned or UnicodeCategory.PrivateUse
                || rune.Value is '<' or '>' or ':' or '"' or '|' or '?' or '*' or '~' or '#' or '%' ? "_" : Rune.GetUnicodeCategory(rune) == UnicodeCategory.SpaceSeparator ? " " : rune.ToString());
        var clean = text.ToString().Trim(' ', '.');
        var dot = clean.LastIndexOf('.');
        var (stem, extension) = dot > 0 && clean.Length - dot <= 10 ? (clean[..dot].TrimEnd(' ', '.'), clean[dot..]) : (clean, "");
        if (stem.Length == 0) stem = "recording";
        if (_devices.Contains(stem.Split('.')[0].TrimEnd())) stem = "_" + stem;
        return Cut(stem, MostBytes - Encoding.UTF8.GetByteCount(extension)) + extension;
    }

    /// <summary>The name, numbered when it is taken: 'take-2.wav'. Capitals do not tell names apart.</summary>
    public static string Fresh(string name, Func<string, bool> isTaken)
    {
        var dot = name.LastIndexOf('.');
        var (stem, extension) = dot > name.LastIndexOf('/') + 1 ? (name[..dot], name[dot..]) : (name, "");
        var fresh = name;
        for (var n = 2; isTaken(fresh); n++) fresh = string.Create(CultureInfo.InvariantCulture, $"{stem}-{n}{extension}");
        return fresh;
    }

    /// <summary>Whether a name leads from a folder to a file in it or below it, on every system.</summary>
    public static bool IsRelative(string name) => name.Length is > 0 and <= 200 && Whole(name) == name && name.Split('/').All(p =>
        p.Length > 0 && p[^1] is not ('.' or ' ') && p[0] != ' ' && !p.Any(c => char.IsControl(c) || c is '\\' or ':' or '*' or '?' or '"' or '<' or '>' or '|') && !_devices.Contains(p.Split('.')[0])) && name[0] != '~';

    private static string Cut(string text, int mostBytes)
    {
        var cut = new StringBuilder();
        var bytes = 0;
        // By what a reader takes for one character, so that no accent is torn from its letter.
        for (var elements = StringInfo.GetTextElementEnumerator(text); elements.MoveNext();)
        {
            bytes += Encoding.UTF8.GetByteCount(elements.GetTextElement());
            if (bytes > mostBytes) break;
            cut.Append(elements.GetTextElement());
        }
        return cut.ToString().TrimEnd(' ', '.') is { Length: > 0 } left ? left : "recording";
    }

    /// <summary>Without half characters, which no file system can hold.</summary>
    private static string Whole(string name) => new UTF8Encoding(false).GetString(Encoding.UTF8.GetBytes(name)).Replace('\ufffd', '_');
}
