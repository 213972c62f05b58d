using System.Globalization;
using System.Text.Json;
using Hushtrial.Tests;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Tests.Effects;

/// <summary>The fixed example: 36 readings of four devices in two flights.</summary>
internal static class ExampleTable
{
    public static readonly string[] Quantities = ["LA", "L125", "L1000"];

    public static readonly string[] Devices = ["P", "Q", "R", "S"];

    public static IReadOnlyList<ConditionTraits> Traits { get; } = [.. Devices.Select(d => new ConditionTraits(d))];

    public static IReadOnlyList<Reading> Readings { get; } = [.. Reference.Read("statistics/example1.csv").Select(row => new Reading(
        row["flight"], null, row.Number("clock_s"), row["episode"], row["donning"].Length == 0 ? null : row["donning"], row["condition"],
        Quantities.ToDictionary(q => q, q => double.Parse(row[q], CultureInfo.InvariantCulture), StringComparer.Ordinal)))];

    public static JsonElement Expected(string file) =>
        JsonDocument.Parse(File.ReadAllText(Path.Combine(Reference.Root, "reference", "statistics", file))).RootElement.GetProperty("quantities");
}
