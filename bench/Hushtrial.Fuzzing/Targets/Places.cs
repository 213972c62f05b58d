using System.Globalization;
using System.Text.RegularExpressions;
using Hushtrial.Quantities;

namespace Hushtrial.Fuzzing.Targets;

/// <summary>What holds of any problem: it can be said, and its place lies in the file.</summary>
internal static partial class Places
{
    [GeneratedRegex(@"\bbyte (?<n>\d+)", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Byte();

    [GeneratedRegex(@"\blines? (?<n>\d+)", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Line();

    public static void Check(IEnumerable<Problem> problems, long bytes, int lines)
    {
        foreach (var p in problems)
        {
            BrokenPropertyException.Unless(p is { Code.Length: 7, Where.Length: > 0, Found.Length: > 0, Expected.Length: > 0, Remedy.Length: > 0 }, $"a problem that leaves something unsaid: {p}");
            BrokenPropertyException.Unless(p.ToString().Length < 4000, $"{p.Code} in {p.ToString().Length} characters");
            if (Number(Byte(), p.Where) is { } at) BrokenPropertyException.Unless(at <= bytes, $"{p.Code} at byte {at} of {bytes}");
            if (Number(Line(), p.Where) is { } line) BrokenPropertyException.Unless(line >= 1 && line <= lines + 1, $"{p.Code} in line {line} of {lines}");
        }
    }

    /// <summary>Lines as the most generous of readers counts them: also at U+0085, U+2028 and U+2029, in whatever encoding.</summary>
    public static int LinesIn(ReadOnlySpan<byte> bytes)
    {
        var lines = 1;
        foreach (var b in bytes)
            if (b is 0x0A or 0x0C or 0x0D or 0x85 or 0x28 or 0x29 or 0xA8 or 0xA9) lines++;
        return lines;
    }

    private static decimal? Number(Regex pattern, string where) =>
        pattern.Match(where) is { Success: true } m && decimal.TryParse(m.Groups["n"].Value, NumberStyles.None, CultureInfo.InvariantCulture, out var n) ? n : null;
}
