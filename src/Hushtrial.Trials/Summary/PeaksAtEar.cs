using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;
using static System.FormattableString;

namespace Hushtrial.Trials.Summary;

/// <summary>C-weighted peaks of the takes, by condition, beside the peak levels of the rule sets. Absolute trials with recordings only.</summary>
internal static class PeaksAtEar
{
    private const double NearlyFull = 1;

    /// <summary>The peaks; null in relative mode or without recordings.</summary>
    public static TrialPeaks? Of(TrialDocument document, MeasuredTrial measured, IReadOnlyList<ConditionResult> conditions)
    {
        if (!measured.Absolute) return null;
        var takes = measured.Takes.Where(t => t.Used).Select(t => (t.Entry.Condition, Peak: t.Ears.Max(e => e.PeakC), Outside: t.Outside?.PeakC, Full: IsFull(t))).Where(t => t.Peak is not null).ToList();
        if (takes.Count == 0) return null;
        var capacity = document.Channels.Where(c => !c.Outside).Min(c => measured.FullScale[c.Id]);
        // Without a microphone outside the open ear stands for it.
        var outside = takes.Max(t => t.Outside) ?? takes.Where(t => t.Condition == TrialDocument.OpenEar).Max(t => t.Peak);
        var rules = ExposureAtEar.RulesOf(document).Where(r => r.Peaks.Count > 0).ToList();
        var rows = new List<ConditionPeaks>();
        foreach (var (id, name) in conditions.Where(c => !c.Predicted).Select(c => (c.Condition.Id, c.Name)).Prepend((TrialDocument.OpenEar, "Open ear")))
        {
            var own = takes.Where(t => t.Condition == id).Select(t => t.Peak!.Value).ToList();
            if (own.Count == 0) continue;
            var highest = own.Max();
            rows.Add(new(id, name, highest, own, takes.Any(t => t.Condition == id && t.Full), [.. rules.Select(r => (r, PeakCheck.Against(r, outside is { } o ? Level.FromDecibels(o) : null, Level.FromDecibels(highest))))]));
        }
        return new(rows, capacity, Sentence(rows, rules, capacity), [.. Cautions(capacity)]);
    }

    // Full scale is a height of the samples, and the weighting takes low frequencies off: a full recorder can show a C-weighted peak many decibels lower.
    private static bool IsFull(TakeLevels take) => take.Ears.Any(e => e.Signal is { } s && 20 * Math.Log10(Math.Max(s.Shape.Peak, 1e-10)) > -NearlyFull)
        || (take.Ears.All(e => e.Signal is null) && take.Findings.Any(f => f.Code == ClippingCheck.Code));

    private static string Sentence(List<ConditionPeaks> rows, List<ExposureRules> rules, double capacity)
    {
        var (first, covered) = (rows.MaxBy(r => r.Highest)!, rows.Where(r => r.Condition != TrialDocument.OpenEar).ToList());
        var text = Invariant($"The highest peak in the takes was {first.Highest:0.0} dB(C), under {(first.Condition == TrialDocument.OpenEar ? "the open ear" : first.Name)}");
        if (covered.MaxBy(r => r.Highest) is { } worst && worst != first) text += Invariant($"; under a device {worst.Highest:0.0} dB(C), {worst.Name}");
        text += ".";
        var lowest = rules.SelectMany(r => r.Peaks.Select(p => p.Level.Decibels)).DefaultIfEmpty(double.NaN).Min();
        if (!double.IsNaN(lowest)) text += rows.All(r => r.Highest < lowest && !r.AtLeast)
            ? Invariant($" All lie below {lowest:0} dB(C), the lowest peak level of the rule sets named.") : Invariant($" Not all lie below {lowest:0} dB(C), the lowest peak level of the rule sets named.");
        if (capacity < lowest) text += Invariant($" The recorder is full at a peak of {capacity:0} dB, unweighted; ") + (rows.Any(r => r.AtLeast) ? "some takes filled it, and their peaks may have been higher." : "no take filled it.");
        return text;
    }

    private static IEnumerable<string> Cautions(double capacity)
    {
        yield return Invariant($"The recorder is full at a peak of {capacity:0} dB, unweighted. That is no C-weighted level: sound of low frequency fills it with a lower C-weighted peak. Miniature microphones overload earlier, often near 120 to 130 dB, and then show too little: a low peak proves nothing unless the microphone’s own limit is known.");
        yield return "Peaks are those of the takes. A knock, a radio burst or a door between takes can be higher; averages of steady noise say nothing about them, and steady losses do not hold for impulses.";
        yield return ExposureRules.Deference;
    }
}
