using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Verdicts;

/// <summary>The used takes in which a check found more than a note.</summary>
internal sealed class FlaggedTakes
{
    // Each costs a fit; a trial with more has one fault in all of them, and leaving one out says nothing.
    private const int MostOneByOne = 40;

    public FlaggedTakes(IReadOnlyList<TakeLevels> takes) => All = [.. takes.Where(t => t.Used && t.Findings.Any(f => f.Severity != Severity.Note))];

    /// <summary>All of them.</summary>
    public IReadOnlyList<TakeLevels> All { get; }

    /// <summary>Those that are left out in turn: all, or none when there are more than 40.</summary>
    public IReadOnlyList<TakeLevels> OneByOne => All.Count <= MostOneByOne ? All : [];

    /// <summary>The codes of a take's findings.</summary>
    public static string Codes(TakeLevels take) => string.Join(", ", take.Findings.Where(f => f.Severity != Severity.Note).Select(f => f.Code).Distinct(StringComparer.Ordinal));

    /// <summary>Whether every condition, and the open ear where there is one, keeps a reading without some takes.</summary>
    public bool Leaves(IReadOnlyList<Reading> readings, IReadOnlyList<TakeLevels> without)
    {
        var gone = without.Select(t => t.Entry.Id).ToHashSet(StringComparer.Ordinal);
        var left = readings.Where(r => r.Take is null || !gone.Contains(r.Take)).ToList();
        var open = readings.Any(r => r.Condition == TrialDocument.OpenEar);
        return left.Count < readings.Count && readings.Select(r => r.Condition).Distinct(StringComparer.Ordinal).All(c => left.Any(l => l.Condition == c))
            && (!open || readings.Select(r => r.Flight).Distinct(StringComparer.Ordinal).All(f => left.Any(l => l.Flight == f)));
    }
}
