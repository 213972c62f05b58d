using System.Globalization;
using Hushtrial.Store;
using Hushtrial.Trials.Proof;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Cli.Commands;

/// <summary>The proof of the signal checks, told as a table that the documentation can hold.</summary>
internal static class CheckProofAnswer
{
    public static int Give(Edge edge, int trials, ulong seed, string? only, bool json, CancellationToken cancellation)
    {
        var faults = Faults.All.Where(f => only is null || f.Name.Contains(only, StringComparison.OrdinalIgnoreCase)).ToList();
        if (faults.Count == 0) throw new WrongUseException($"No fault is named '{only}'; there are: {string.Join(", ", Faults.All.Select(f => f.Name).Distinct(StringComparer.Ordinal))}.");
        var proof = Progressing.Run(edge, "Making takes and checking them", p => CheckProof.Run(trials, seed, faults, p, cancellation));
        return new Answer(edge, json).Give([], w =>
        {
            w.WriteNumber("trials", trials);
            w.WriteNumber("seed", seed);
            w.WriteStartObject("clean");
            w.WriteNumber("takes", proof.CleanTakes);
            w.WriteNumber("false", proof.FalseTakes);
            w.WriteNumber("takes_outside", proof.CleanTakesOutside);
            w.WriteNumber("false_outside", proof.FalseTakesOutside);
            w.WriteNumber("takes_ears", proof.CleanTakesEars);
            w.WriteNumber("false_ears", proof.FalseTakesEars);
            w.WriteStartObject("by_code");
            foreach (var (code, count) in proof.FalseByCode) w.WriteNumber(code, count);
            w.WriteEndObject();
            w.WriteEndObject();
            w.WriteStartArray("faults");
            foreach (var row in proof.Faults)
            {
                w.WriteStartObject();
                w.WriteString("fault", row.Fault.Name);
                w.WriteString("size", row.Fault.Size);
                w.WriteString("code", row.Fault.Codes[0]);
                w.WriteBoolean("whole_run", row.Fault.WholeRun);
                w.WriteBoolean("below_threshold", row.Fault.Small);
                w.WriteNumber("detected", row.Detected);
                w.WriteNumber("of", row.Of);
                w.WriteStartObject("missed_in");
                foreach (var (condition, count) in row.Missed) w.WriteNumber(condition, count);
                w.WriteEndObject();
                w.WriteEndObject();
            }
            w.WriteEndArray();
        }, t =>
        {
            t.WriteLine("| fault | size | code | detected | of |");
            t.WriteLine("|---|---|---|---|---|");
            foreach (var row in proof.Faults)
                t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"| {row.Fault.Name} | {row.Fault.Size}{(row.Fault.Small ? " (below the limit)" : "")} | {row.Fault.Codes[0]} | {row.Detected} | {row.Of}{(row.Fault.WholeRun ? " runs" : "")} |"));
            t.WriteLine();
            t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Clean takes flagged: {proof.FalseTakes} of {proof.CleanTakes} (one channel), {proof.FalseTakesOutside} of {proof.CleanTakesOutside} (two channels), {proof.FalseTakesEars} of {proof.CleanTakesEars} (both ears)."));
            foreach (var (code, count) in proof.FalseByCode) t.WriteLine($"  {code}: {count}");
        });
    }
}
