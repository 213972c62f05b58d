using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Effects;

/// <summary>What a table of readings as a whole lacks or contradicts.</summary>
internal static class TableChecks
{
    public static void Add(List<Problem> problems, IReadOnlyList<Reading> readings, IReadOnlyList<int> lines, ReadingColumns columns, string name)
    {
        if (readings.Count == 0) return;
        var worn = readings.Where(r => r.Condition != TrialDocument.OpenEar).ToList();
        if (worn.Count == 0)
            problems.Add(new("EST-011", Severity.Error, name, "only open-ear readings", "readings under at least one device", "Add the readings made under the devices."));
        if (worn.Count == readings.Count)
            problems.Add(new("EST-012", Severity.Warning, name, "no reading of the open ear (condition 'open')", "open readings before, between and after the devices", "Without them only differences between devices can be said, no insertion loss."));
        if (readings.Any(r => r.Clock is null))
            problems.Add(new("EST-013", Severity.Warning, name, columns.Has("clock_s") ? "readings without a clock" : "no column clock_s", "seconds since the start of the flight", "In flights without a complete clock the episodes are taken to be one minute apart in the order of the lines."));
        if (worn.Any(r => r.Donning is null))
            problems.Add(new("EST-014", Severity.Warning, name, columns.Has("donning") ? "device readings without a donning" : "no column donning", "one name for every putting-on", "All such readings of a device in a flight count as one putting-on; name the donnings if it was put on again."));
        foreach (var group in worn.Where(r => r.Donning is not null).GroupBy(r => r.Donning!, StringComparer.Ordinal))
            if (group.Select(r => (r.Flight, r.Wearer)).Distinct().Count() > 1)
                problems.Add(new("EST-015", Severity.Warning, name, $"donning '{group.Key}' occurs in several flights or with several wearers", "one name for one putting-on", "With one wearer it counts as one putting-on kept through several flights; give every putting-on a name of its own if it was not."));
        foreach (var group in Enumerable.Range(0, readings.Count).GroupBy(i => (readings[i].Flight, readings[i].Wearer, readings[i].Episode)))
            if (group.Select(i => (readings[i].Condition, readings[i].Donning)).Distinct().Count() > 1)
                problems.Add(new("EST-016", Severity.Note, string.Create(CultureInfo.InvariantCulture, $"{name}, line {lines[group.First()]}"), $"episode '{group.Key.Episode}' holds several conditions or donnings", "one condition in one donning", "It is split."));
        foreach (var quantity in columns.Quantities)
            if (readings.Count(r => !r.Values.ContainsKey(quantity)) is > 0 and var missing)
                problems.Add(new("EST-017", Severity.Note, name, string.Create(CultureInfo.InvariantCulture, $"{missing} of {readings.Count} readings lack {quantity}"), "a value in every line", "The others are used."));
    }
}
