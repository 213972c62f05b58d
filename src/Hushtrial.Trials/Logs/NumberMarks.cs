using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Logs;

/// <summary>The decimal mark of a table, from how its numbers are written.</summary>
/// <param name="Decimal">The mark.</param>
/// <param name="Thousands">The mark between thousands, where both occur.</param>
/// <param name="Evidence">Why.</param>
/// <param name="Problem">Where the numbers contradict each other.</param>
internal sealed record NumberMarks(DecimalMark Decimal, char? Thousands, string Evidence, Problem? Problem)
{
    /// <summary>Looks at the cells of the rows.</summary>
    internal static NumberMarks Of(IReadOnlyList<(int Line, List<string> Fields)> rows, string name, DecimalMark? stated)
    {
        var (points, commas, weakPoints, weakCommas) = (0, 0, 0, 0);
        (int Line, string Text)? point = null, comma = null;
        var both = false;
        foreach (var (line, fields) in rows)
            foreach (var field in fields)
            {
                if (field.Length is 0 or > 24 || field.AsSpan().ContainsAny(":/") || !TableShape.IsNumber(field.TrimStart('<', '>', ' '))) continue;
                var (p, c) = (field.LastIndexOf('.'), field.LastIndexOf(','));
                if (p < 0 && c < 0) continue;
                var last = Math.Max(p, c);
                both |= p >= 0 && c >= 0;
                // Three digits behind the only mark may be thousands, unless what is in front cannot be: 0,125 or 1250,125.
                var digits = field.TrimStart('+', '-', '−', '<', '>', ' ');
                var groups = digits.Length - digits.LastIndexOfAny(['.', ',']) - 1 == 3 && digits.IndexOfAny(['.', ',']) is >= 1 and <= 3 && digits[0] != '0' && !(p >= 0 && c >= 0);
                if (field[last] == '.') { if (groups) weakPoints++; else { points++; point ??= (line, field); } }
                else if (groups) weakCommas++;
                else { commas++; comma ??= (line, field); }
            }
        char? thousands = null;
        DecimalMark Decide(DecimalMark mark)
        {
            if (both || (mark == DecimalMark.Comma ? weakPoints : weakCommas) > 0) thousands = mark == DecimalMark.Comma ? '.' : ',';
            return mark;
        }
        if (stated is { } s) return new(Decide(s), thousands, "stated", null);
        if (points > 0 && commas > 0)
            return new(DecimalMark.Point, null, "contradictory", LogProblems.Error("LOG-013", Invariant($"{name}, lines {point!.Value.Line} and {comma!.Value.Line}"), $"numbers with a decimal point ('{point.Value.Text}') and with a decimal comma ('{comma.Value.Text}')",
                "one decimal mark", "Two files were joined, or a column is no number. State the mark with '--decimal', and give the other columns the role other."));
        if (points > 0) return new(Decide(DecimalMark.Point), thousands, Invariant($"{points} numbers such as '{point!.Value.Text}'"), null);
        if (commas > 0) return new(Decide(DecimalMark.Comma), thousands, Invariant($"{commas} numbers such as '{comma!.Value.Text}'"), null);
        // 85.312 is a level with three decimals; 85 312 dB is none.
        if (weakPoints > 0 && weakCommas == 0) return new(DecimalMark.Point, null, "three digits behind every point; without it no number would be a level", null);
        if (weakCommas > 0 && weakPoints == 0) return new(DecimalMark.Comma, null, "three digits behind every comma; without it no number would be a level", null);
        return weakCommas > 0 ? new(DecimalMark.Point, null, "contradictory", LogProblems.Error("LOG-013", name, "points and commas with three digits behind each", "one decimal mark", "State the mark with '--decimal'."))
            : new(DecimalMark.Point, null, "no number has a decimal mark", null);
    }
}
