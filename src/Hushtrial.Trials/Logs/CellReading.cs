using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>What stands in a cell of a column of levels.</summary>
internal enum CellKind
{
    /// <summary>A level.</summary>
    Value,

    /// <summary>Nothing was measured: empty, '-', 'n/a'.</summary>
    Missing,

    /// <summary>Too loud for the range: 'OL', '&gt; 130'.</summary>
    Overload,

    /// <summary>Too quiet for the range: '&lt; 30' (then with the bound), 'UR'.</summary>
    UnderRange,

    /// <summary>A number that no level can be: −999, 999.9, exactly 0.</summary>
    Implausible,

    /// <summary>A text that is none of these.</summary>
    Unreadable,
}

/// <summary>One cell.</summary>
/// <param name="Kind">What stands there.</param>
/// <param name="Value">The level, dB; of an under-range cell the bound; else 0.</param>
internal readonly record struct Cell(CellKind Kind, double Value);

/// <summary>Reads numbers and markers as loggers write them.</summary>
internal static class CellReading
{
    /// <summary>Levels in air lie inside; what lies outside is a filler.</summary>
    internal const double LeastLevel = -20;

    /// <summary>Levels in air lie inside; what lies outside is a filler.</summary>
    internal const double MostLevel = 200;

    private static readonly double[] _powers = [.. Enumerable.Range(0, 23).Select(i => double.Parse($"1e{i}", System.Globalization.CultureInfo.InvariantCulture))];

    private static readonly HashSet<string> _overload = new(StringComparer.OrdinalIgnoreCase)
        { "OL", "OVL", "OVR", "OVLD", "OVER", "OVERLOAD", "OVERRANGE", "OVER-RANGE", "CLIP", "CLIPPED", "HI", "ÜBERLAST", "ÜBERSTEUERT", "ÜST", "SURCHARGE", "SOBRECARGA", "SOVRACCARICO", "+INF", "INF", "∞" };

    private static readonly HashSet<string> _underRange = new(StringComparer.OrdinalIgnoreCase)
        { "UR", "UND", "UNDER", "UNDERRANGE", "UNDER-RANGE", "LO", "LOW", "UNTERSTEUERT", "UST" };

    private static readonly HashSet<string> _missing = new(StringComparer.OrdinalIgnoreCase)
        { "", "-", "--", "---", "----", "-.-", "--.-", "---.-", "—", "–", "−", "N/A", "NA", "N.A.", "NAN", "#N/A", "NULL", "NONE", "NIL", "?", "...", "…", "X", "-INF", "-∞", "−∞", "*", "\u0096", "\u0097", "\u0085" };

    private static readonly HashSet<string> _notFlagged = new(StringComparer.OrdinalIgnoreCase)
        { "", "0", "-", "--", "—", "–", "OK", "NO", "N", "NEIN", "NON", "FALSE", "F", "GOOD", "NONE", "NORMAL", "." };

    /// <summary>A level, or the marker that stands in its place.</summary>
    internal static Cell Level(ReadOnlySpan<char> text, DecimalMark mark, char? thousands)
    {
        if (Number(text, mark, thousands, out var value)) return OfNumber(value);
        if (text.Length > 1 && (text[0] is '<' or '>' or '≤' or '≥') && Number(text[1..].TrimStart(), mark, thousands, out var bound))
            // A bound that no level can be is a filler too; taken for a level it would outweigh all others.
            return text[0] is '>' or '≥' ? new(CellKind.Overload, 0) : new(bound is >= LeastLevel and <= MostLevel ? CellKind.UnderRange : CellKind.Implausible, bound);
        if (text.Length > 16) return WithUnit(text, mark, thousands);
        var lookup = text.ToString();
        if (_missing.Contains(lookup)) return new(CellKind.Missing, 0);
        if (_overload.Contains(lookup)) return new(CellKind.Overload, 0);
        // Too quiet by an unknown amount says no more than nothing.
        return _underRange.Contains(lookup) ? new(CellKind.Missing, 0) : WithUnit(text, mark, thousands);
    }

    /// <summary>Whether a flag is raised.</summary>
    internal static bool IsFlagged(ReadOnlySpan<char> text) => text.Length > 16 || !_notFlagged.Contains(text.ToString());

    /// <summary>Whether the cell holds a marker in the place of a level.</summary>
    internal static bool IsMarker(string text) => _missing.Contains(text) || _overload.Contains(text) || _underRange.Contains(text);

    /// <summary>A number with the marks given: digits, at most one decimal mark, thousands in groups of three, an exponent.</summary>
    internal static bool Number(ReadOnlySpan<char> text, DecimalMark mark, char? thousands, out double value)
    {
        value = 0;
        var at = 0;
        if (text.Length > 0 && text[0] is '+' or '-' or '−') at++;
        var negative = at > 0 && text[0] != '+';
        long digits = 0;
        var (count, decimals, group) = (0, -1, -1);
        var point = mark == DecimalMark.Point ? '.' : ',';
        for (; at < text.Length; at++)
        {
            var c = text[at];
            if (char.IsAsciiDigit(c))
            {
                if (count++ > 17) return false;
                digits = (10 * digits) + (c - '0');
                if (decimals >= 0) decimals++;
                else if (group >= 0) group++;
            }
            else if (c == point && decimals < 0)
            {
                if (group is >= 0 and not 3) return false;
                decimals = 0;
            }
            else if (thousands == c && decimals < 0 && count > 0 && (group < 0 ? count <= 3 : group == 3)) group = 0;
            else if (c is 'e' or 'E' && count > 0)
            {
                if (!int.TryParse(text[(at + 1)..], System.Globalization.NumberStyles.AllowLeadingSign, System.Globalization.CultureInfo.InvariantCulture, out var exponent) || Math.Abs(exponent) > 20) return false;
                value = digits / _powers[Math.Max(0, decimals)] * Math.Pow(10, exponent);
                if (negative) value = -value;
                return true;
            }
            else return false;
        }
        if (count == 0 || (decimals < 0 && group is >= 0 and not 3)) return false;
        // Below 2^53 both are exact, so that the quotient is the number as written, rounded once.
        value = digits / _powers[Math.Max(0, decimals)];
        if (negative) value = -value;
        return true;
    }

    private static Cell OfNumber(double value) => value is >= LeastLevel and <= MostLevel && value != 0 ? new(CellKind.Value, value) : new(CellKind.Implausible, value);

    /// <summary>'85.3 dB' and its kin.</summary>
    private static Cell WithUnit(ReadOnlySpan<char> text, DecimalMark mark, char? thousands)
    {
        var unit = text.IndexOf("dB", StringComparison.OrdinalIgnoreCase);
        return unit > 0 && text.Length - unit <= 6 && Number(text[..unit].TrimEnd(), mark, thousands, out var value) ? OfNumber(value) : new(CellKind.Unreadable, 0);
    }
}
