using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Devices that always come in the same order: whatever changes in the course of a run falls on the later one.</summary>
/// <remarks>A device precedes another in a run where all its takes in use lie before all of the other's: only such an order leaves nothing to tell the two apart from
/// the passing of time. Asked of two runs or more, and of all runs in which one wearer had both on. A warning where it holds for every two devices, a note where others
/// changed places. How much it does cannot be read from the takes, so no size is named. Trade knowledge, no source.</remarks>
internal static class OrderCheck
{
    private const int LeastRuns = 2;

    public static IEnumerable<Finding> Check(ComparedTakes trial)
    {
        var sequences = trial.Readings.Where(t => t.Entry.LeftOut is null && trial.ConditionOf(t) is not null).GroupBy(t => (t.Entry.Run, t.Entry.Wearer))
            .Select(g => (g.Key.Run, Places: Places(trial, [.. g]))).ToList();
        var devices = trial.Document.Devices.Where(d => sequences.Exists(s => s.Places.ContainsKey(d.Id))).ToList();
        var (pairs, turned, runs) = (new List<string>(), 0, new List<string>());
        for (var i = 0; i < devices.Count; i++)
            for (var j = i + 1; j < devices.Count; j++)
            {
                var (one, other) = (devices[i], devices[j]);
                var both = sequences.Where(s => s.Places.ContainsKey(one.Id) && s.Places.ContainsKey(other.Id)).ToList();
                var times = both.Select(s => s.Run).Distinct().ToList();
                if (times.Count < LeastRuns) continue;
                bool Always(Device first, Device second) => both.TrueForAll(s => s.Places[first.Id].Last < s.Places[second.Id].First);
                if (!Always(one, other) && !Always(other, one)) { turned++; continue; }
                var (first, second) = Always(one, other) ? (one, other) : (other, one);
                pairs.Add(Invariant($"{first.Name} before {second.Name} in all {times.Count} runs"));
                runs.AddRange(times);
            }
        if (pairs.Count == 0) yield break;
        yield return new(new("TAK-044", turned == 0 ? Severity.Warning : Severity.Note, $"runs {string.Join(", ", runs.Distinct())}", string.Join("; ", pairs), "each device before the other as often as after it",
            "Cushions that warm up, a battery that runs down, a drifting cabin and a tired wearer all fall on the device that comes last, and the takes cannot tell that from the devices. Draw a balanced order for the next runs, and state the order in the report."), []);
    }

    /// <summary>First and last place of every device in one sequence of takes: by clock where all have one, else as written.</summary>
    private static Dictionary<string, (int First, int Last)> Places(ComparedTakes trial, List<TakeLevels> takes)
    {
        if (takes.TrueForAll(t => t.Clock is not null)) takes = [.. takes.OrderBy(t => t.Clock)];
        return takes.Select((t, i) => (Device: trial.ConditionOf(t)!.Device, Place: i)).GroupBy(t => t.Device, StringComparer.Ordinal)
            .ToDictionary(g => g.Key, g => (g.Min(t => t.Place), g.Max(t => t.Place)), StringComparer.Ordinal);
    }
}
