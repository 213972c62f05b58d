using System.Globalization;
using System.Text.RegularExpressions;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Wording;

/// <summary>Numbers and names as a reader meets them: one decimal, the true minus sign, unit and interval in words.</summary>
public static partial class Words
{
    /// <summary>What stands where the trial document says nothing.</summary>
    public const string NotStated = "not stated";

    private const string Minus = "\u2212";
    private const string Glue = "\u00A0";

    /// <summary>A number with one decimal and U+2212 as minus sign; a value that rounds to zero carries no sign.</summary>
    public static string Number(double value, int decimals = 1)
    {
        var text = Math.Abs(Math.Round(value, decimals)).ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
        return Math.Round(value, decimals) < 0 ? Minus + text : text;
    }

    /// <summary>A number with its sign, for a difference: '+1.2', '−0.4', '0.0'.</summary>
    public static string Signed(double value) => Math.Round(value, 1) > 0 ? "+" + Number(value) : Number(value);

    /// <summary>A value with its unit: '18.3 dB'.</summary>
    public static string Decibels(double value) => Number(value) + Glue + "dB";

    /// <summary>An interval in words: '16.5 to 20.1'.</summary>
    public static string Range(double low, double high) => $"{Number(low)} to {Number(high)}";

    /// <summary>An estimate with its interval: '18.3 dB (95 %: 16.5 to 20.1)'.</summary>
    public static string Estimate(Estimate estimate) => $"{Decibels(estimate.Value)} (95{Glue}%: {Range(estimate.Low, estimate.High)})";

    /// <summary>A scope in two words.</summary>
    public static string Scope(EstimateScope scope) => scope == EstimateScope.AsWorn ? "as worn" : "in general";

    /// <summary>A scope with what it speaks of: 'as worn (in these donnings)'.</summary>
    public static string ScopeLong(EstimateScope scope) => scope == EstimateScope.AsWorn ? "as worn (in these donnings)" : "in general (over donnings and runs)";

    /// <summary>The measured quantity, by its name in the trade.</summary>
    public static string Quantity(MeasuredQuantity quantity) => quantity switch
    {
        MeasuredQuantity.InsertionLoss => "Insertion loss",
        MeasuredQuantity.LevelDifference => "Level difference",
        _ => "Active part",
    };

    /// <summary>How the quantity is formed.</summary>
    public static string QuantityExplained(MeasuredQuantity quantity) => quantity switch
    {
        MeasuredQuantity.InsertionLoss => "open ear minus covered ear, same microphone at the same ear",
        MeasuredQuantity.LevelDifference => "outside microphone minus ear microphone at the same moment; not an insertion loss",
        _ => "electronics off minus on, same donning",
    };

    /// <summary>The quantity inside a sentence or behind 'A-weighted': 'insertion loss'.</summary>
    public static string QuantityLower(MeasuredQuantity quantity) => char.ToLowerInvariant(Quantity(quantity)[0]) + Quantity(quantity)[1..];

    /// <summary>What 0 dB of the quantity means: 'as the open ear'.</summary>
    public static string Zero(MeasuredQuantity quantity) => quantity switch
    {
        MeasuredQuantity.InsertionLoss => "as the open ear",
        MeasuredQuantity.LevelDifference => "as loud as outside",
        _ => "as switched off",
    };

    /// <summary>What the levels of a trial refer to, in two words.</summary>
    public static string Level(LevelKind kind) => kind == LevelKind.FieldRelated ? "referred to the field" : "as read";

    /// <summary>How the readings relate to the noise outside.</summary>
    public static string Design(TrialDesign design) => design switch
    {
        TrialDesign.Sequential => "one after another, with the open ear read between the devices",
        TrialDesign.OutsideChannel => "with a second microphone outside the device at the same time",
        _ => "from hand-noted meter readings",
    };

    /// <summary>A verdict, in words.</summary>
    public static string Verdict(VerdictKind verdict, LevelDifference margin) => verdict switch
    {
        VerdictKind.Different => "different",
        VerdictKind.DifferentWithinMargin => "different, by less than the margin",
        VerdictKind.Equivalent => $"equivalent within ±{Decibels(margin.Decibels)}",
        _ => "not resolved",
    };

    /// <summary>The kind of a device.</summary>
    public static string Kind(DeviceKind kind) => kind switch
    {
        DeviceKind.OverEar => "over the ear",
        DeviceKind.OnEar => "on the ear",
        DeviceKind.InCanal => "plug or in the canal",
        _ => "helmet with cups",
    };

    /// <summary>A moment or length in minutes and seconds, '12:05'; hours are added when needed, '1:02:05'.</summary>
    public static string Clock(double seconds)
    {
        var total = (long)Math.Round(Math.Abs(seconds));
        var text = total >= 3600
            ? string.Create(CultureInfo.InvariantCulture, $"{total / 3600}:{total / 60 % 60:00}:{total % 60:00}")
            : string.Create(CultureInfo.InvariantCulture, $"{total / 60}:{total % 60:00}");
        return seconds < 0 && total > 0 ? Minus + text : text;
    }

    /// <summary>Bands as stretches of neighbours: '20 Hz to 40 Hz, 8 kHz'.</summary>
    public static string Bands(IEnumerable<Band> bands)
    {
        var runs = new List<(Band First, Band Last)>();
        foreach (var band in bands.Order())
        {
            if (runs.Count > 0 && runs[^1].Last is var last && last.Fraction == band.Fraction && last.Index + 1 == band.Index) runs[^1] = (runs[^1].First, band);
            else runs.Add((band, band));
        }
        return string.Join(", ", runs.Select(r => r.First == r.Last ? r.First.ToString() : $"{r.First} to {r.Last}"));
    }

    /// <summary>A count with its noun: '1 donning', '6 donnings'.</summary>
    public static string Count(int n, string noun) => string.Create(CultureInfo.InvariantCulture, $"{n}{Glue}{noun}{(n == 1 ? "" : "s")}");

    /// <summary>' (part 2 of 3)' behind the title of a figure that is cut into parts; nothing for a single one.</summary>
    public static string PartOf(int index, int count) => count == 1 ? "" : string.Create(CultureInfo.InvariantCulture, $" (part {index + 1} of {count})");

    /// <summary>A sentence written elsewhere: true minus signs, and numbers kept on one line with their units.</summary>
    public static string Sentence(string text) => HyphenMinus().Replace(text, Minus).Replace(" dB", Glue + "dB", StringComparison.Ordinal).Replace(" %", Glue + "%", StringComparison.Ordinal)
        .Replace(" Hz", Glue + "Hz", StringComparison.Ordinal).Replace(" kHz", Glue + "kHz", StringComparison.Ordinal);

    /// <summary>A name inside a sentence: one that holds characters of other scripts is isolated, so that its direction does not turn the sentence.</summary>
    /// <remarks>Source: Unicode Standard Annex #9, 2.4, FIRST STRONG ISOLATE and POP DIRECTIONAL ISOLATE.</remarks>
    public static string Isolated(string name) => name.Any(c => c >= '\u0590') ? "\u2068" + name + "\u2069" : name;

    // A hyphen before a digit is a minus sign unless a word or number goes before it (a date, a file name).
    [GeneratedRegex(@"(?<![\w.])-(?=\d)", RegexOptions.CultureInvariant)]
    private static partial Regex HyphenMinus();

    /// <summary>The name of a condition for readers; the open ear and unknown identities included.</summary>
    public static string ConditionName(TrialResults results, string id) => id == TrialDocument.OpenEar ? "Open ear"
        : results.Conditions.FirstOrDefault(c => c.Condition.Id == id)?.Name ?? id;

    /// <summary>The name of a run for readers.</summary>
    public static string RunName(TrialResults results, string id) => results.Document.Runs.FirstOrDefault(r => r.Id == id)?.Name ?? id;
}
