using System.Globalization;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Proof;

namespace Hushtrial.Cli.Commands;

/// <summary>The proof of the finding of takes, told.</summary>
internal static class FindingProofAnswer
{
    private static readonly double[] _steps = [0, 0.5, 0.7, 0.8, 0.9, 0.95, 1.01];

    public static int Give(Edge edge, int trials, ulong seed, bool json, CancellationToken cancellation)
    {
        var proof = Progressing.Run(edge, "Making flights and finding takes", _ => FindingProof.Run(seed, trials, withCards: true, cancellation: cancellation));
        var labelled = proof.Judged.Where(j => j.Span.Condition is not null).ToList();
        (string Key, string Words, int Held, int Of)[] counts =
        [
            ("found", "true spans found", proof.True - proof.Missed.Count, proof.True),
            ("labels_right", "labels given that are right", labelled.Count(j => j.Truth?.Condition == j.Span.Condition), labelled.Count),
            ("labels_right_usable", "… and nine tenths of the span inside the true one", labelled.Count(j => j.IsRight), labelled.Count),
            ("labels_right_exact", "… and all of it, 0.5 s allowed", labelled.Count(j => j.IsRight && j.Exact), labelled.Count),
            ("false_takes", "labelled spans that are none", labelled.Count(j => j.Truth is null), labelled.Count),
            ("labelled", "found spans that were given a label", proof.Judged.Count(j => j.Truth is not null && j.Span.Condition is not null), proof.Judged.Count(j => j.Truth is not null)),
            ("sounds", "tones and quiet spans found", proof.SoundsRight, proof.SoundsTrue),
        ];
        (string Key, string Words, double[] Errors)[] edges =
        [
            ("start_device", "start, device, s behind the true one", Sorted(proof.Judged.Where(j => j.Truth is { Donning: > 0 }).Select(j => j.StartError))),
            ("start_open", "start, open ear", Sorted(proof.Judged.Where(j => j.Truth is { Condition: TrialDocument.OpenEar }).Select(j => j.StartError))),
            ("end", "end, s before the true one", Sorted(proof.Judged.Select(j => j.EndError))),
        ];
        var bins = _steps.Zip(_steps.Skip(1), (from, to) => (from, to, Spans: proof.Judged.Where(j => j.Span.Confidence >= from && j.Span.Confidence < to).ToList())).Where(b => b.Spans.Count > 0).ToList();
        return new Answer(edge, json).Give([], w =>
        {
            w.WriteNumber("trials", proof.Trials);
            foreach (var (key, _, held, of) in counts)
            {
                w.WriteStartObject(key);
                w.WriteNumber("held", held);
                w.WriteNumber("of", of);
                w.WriteEndObject();
            }
            w.WriteNumber("sounds_false", proof.SoundsFalse);
            w.WriteStartArray("edges");
            foreach (var (key, _, errors) in edges)
            {
                w.WriteStartObject();
                w.WriteString("edge", key);
                w.WriteNumber("of", errors.Length);
                if (errors.Length > 0) foreach (var q in (double[])[0.025, 0.5, 0.975]) w.WriteNumber(string.Create(CultureInfo.InvariantCulture, $"p{100 * q:0.#}"), Quantile(errors, q));
                w.WriteEndObject();
            }
            w.WriteEndArray();
            w.WriteStartArray("confidence");
            foreach (var (from, to, spans) in bins)
            {
                w.WriteStartObject();
                w.WriteNumber("from", from);
                w.WriteNumber("to", Math.Min(to, 1));
                w.WriteNumber("stated", Math.Round(spans.Average(s => s.Span.Confidence), 4));
                w.WriteNumber("right", spans.Count(s => s.IsRight));
                w.WriteNumber("of", spans.Count);
                w.WriteEndObject();
            }
            w.WriteEndArray();
        }, t =>
        {
            void Line(FormattableString line) => t.WriteLine(line.ToString(CultureInfo.InvariantCulture));
            Line($"{proof.Trials} trials of three flights, takes found with the order card");
            foreach (var (_, words, held, of) in counts) Line($"  {words,-54} {(of > 0 ? (double)held / of : 0):0.000}   {held} of {of}");
            Line($"  {"tones and quiet spans that are none",-54} {proof.SoundsFalse}");
            t.WriteLine("Edges (2.5 %, median, 97.5 %; not those beside knocks and calls)");
            foreach (var (_, words, errors) in edges.Where(e => e.Errors.Length > 0)) Line($"  {words,-40} {Quantile(errors, 0.025),6:0.0} {Quantile(errors, 0.5),6:0.0} {Quantile(errors, 0.975),6:0.0}   {errors.Length}");
            t.WriteLine("Confidence stated, and share right");
            foreach (var (from, to, spans) in bins) Line($"  {from:0.00} to {Math.Min(to, 1):0.00}   {spans.Average(s => s.Span.Confidence):0.000}   {spans.Average(s => s.IsRight ? 1.0 : 0):0.000}   {spans.Count}");
        });
    }

    private static double[] Sorted(IEnumerable<double?> errors) => [.. errors.OfType<double>().Order()];

    private static double Quantile(double[] sorted, double share) => Math.Round(sorted[(int)Math.Round(share * (sorted.Length - 1))], 3);
}
