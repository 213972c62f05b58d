using System.Globalization;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>Pairs of one device that differ in one thing alone: what spectacles cost, what switching it on adds.</summary>
internal static class OneThing
{
    /// <summary>What alone two conditions differ in; null when they differ in more, or in the device.</summary>
    public static OnlyDifference? Of(Condition first, Condition second)
    {
        if (first.Device != second.Device) return null;
        bool sameMode = first.Mode == second.Mode, sameWear = first.WornWith.Order(StringComparer.Ordinal).SequenceEqual(second.WornWith.Order(StringComparer.Ordinal), StringComparer.Ordinal);
        return (sameMode, sameWear) switch
        {
            (true, false) when first.WornWith.Count == 0 || second.WornWith.Count == 0 => OnlyDifference.WornWith,
            (false, true) => OnlyDifference.Mode,
            _ => null,
        };
    }

    /// <summary>The answer in one or two plain sentences; what is said of single bands holds for all of them at once.</summary>
    /// <param name="only">What they differ in.</param>
    /// <param name="first">First condition.</param>
    /// <param name="second">Second condition.</param>
    /// <param name="verdict">Their A-weighted comparison; null when it cannot be said.</param>
    /// <param name="bands">The same by band.</param>
    /// <param name="scope">The scope.</param>
    /// <param name="quantity">The quantity.</param>
    public static string? Sentence(OnlyDifference only, ConditionResult first, ConditionResult second, PairVerdict? verdict, IReadOnlyList<BandDifference> bands, EstimateScope scope,
        MeasuredQuantity quantity = MeasuredQuantity.InsertionLoss)
    {
        if (verdict is null) return null;
        // Plain minus worn-with; on minus off. Positive: the worn thing costs, the switch adds.
        var turned = only == OnlyDifference.WornWith ? second.Condition.WornWith.Count == 0 : second.Condition.Mode == "active" || (first.Condition.Mode == "passive" && second.Condition.Mode != "passive");
        var (plus, other) = turned ? (second, first) : (first, second);
        var sign = turned ? -1 : 1;
        double value = sign * verdict.Difference.Value, low = turned ? -verdict.SimultaneousHigh95 : verdict.SimultaneousLow95, high = turned ? -verdict.SimultaneousLow95 : verdict.SimultaneousHigh95;
        var clear = verdict.Verdict is VerdictKind.Different or VerdictKind.DifferentWithinMargin;
        var what = only == OnlyDifference.WornWith ? Capital(string.Join(" and ", other.Condition.WornWith)) : plus.Condition.Mode == "active" ? $"Switching {plus.Device.Name} on" : $"{plus.Device.Name}: mode {plus.Condition.Mode} instead of {other.Condition.Mode}";
        var (cost, add) = what.EndsWith('s') ? ("cost", "add") : ("costs", "adds");          // spectacles cost, a hat costs
        var whole = (only, clear) switch
        {
            (OnlyDifference.WornWith, true) when value > 0 => Text($"{what} {cost} {plus.Device.Name} {value:0.0} dB of its A-weighted {QuantityWords.Noun(quantity)} ({low:0.0} to {high:0.0})"),
            (OnlyDifference.Mode, true) when value > 0 => Text($"{what} adds {value:0.0} dB to its A-weighted {QuantityWords.Noun(quantity)} ({low:0.0} to {high:0.0})"),
            (OnlyDifference.Mode, true) => Text($"{what} takes {-value:0.0} dB from its A-weighted {QuantityWords.Noun(quantity)} ({-high:0.0} to {-low:0.0})"),
            (OnlyDifference.WornWith, true) => Text($"{what} {add} {-value:0.0} dB to the A-weighted {QuantityWords.Noun(quantity)} of {plus.Device.Name} ({-high:0.0} to {-low:0.0})"),
            (OnlyDifference.WornWith, _) => Text($"What {string.Join(" and ", other.Condition.WornWith)} {cost} {plus.Device.Name}, A-weighted, is not resolved: from {Signed(low)} to {Signed(high)} dB remain possible"),
            _ => Text($"{what}: the effect on the A-weighted {QuantityWords.Noun(quantity)} is not resolved: from {Signed(low)} to {Signed(high)} dB remain possible"),
        };
        var told = bands.Where(b => b.Valid && b.In(scope) is not null).Select(b => (b.Band, C: b.In(scope)!))
            .Select(b => (b.Band, Value: sign * b.C.Value, Low: turned ? -b.C.SimultaneousHigh : b.C.SimultaneousLow, High: turned ? -b.C.SimultaneousLow : b.C.SimultaneousHigh)).ToList();
        List<string> tail = [];
        if (told.Where(b => b.Low > 0).OrderByDescending(b => b.Value).FirstOrDefault() is { Value: > 0 } most) tail.Add(Text($"most at {most.Band}, {most.Value:0.0} dB"));
        if (told.Where(b => b.High < 0).OrderBy(b => b.Value).FirstOrDefault() is { Value: < 0 } worst)
            tail.Add(only == OnlyDifference.Mode ? Text($"worse at {worst.Band}, by {-worst.Value:0.0} dB") : Text($"the other way at {worst.Band}, by {-worst.Value:0.0} dB"));
        return whole + (tail.Count == 0 ? "" : "; " + string.Join("; ", tail)) + ".";
    }

    private static string Capital(string text) => text.Length == 0 ? text : char.ToUpperInvariant(text[0]) + text[1..];

    private static string Signed(double value) => (value < 0 ? "−" : "+") + Math.Abs(value).ToString("0.0", CultureInfo.InvariantCulture);

    private static string Text(FormattableString text) => FormattableString.Invariant(text);
}
