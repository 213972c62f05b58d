using System.Globalization;
using Hushtrial.Trials.Proof;

namespace Hushtrial.Cli.Commands;

/// <summary>The proof from recordings to verdicts, told.</summary>
internal static class RecordingProofAnswer
{
    public static int Give(Edge edge, int trials, ulong seed, bool json, CancellationToken cancellation)
    {
        var proof = Progressing.Run(edge, "Making and analysing trials", p => RecordingProof.Run(trials, seed, p, cancellation));
        (string Key, string Words, ProofCount Count)[] rows =
        [
            ("coverage_bands", "band losses, in general", proof.Bands), ("coverage_bands_as_worn", "band losses, as worn", proof.BandsAsWorn),
            ("coverage_losses", "A- and C-weighted losses, in general", proof.Losses), ("coverage_losses_as_worn", "A- and C-weighted losses, as worn", proof.LossesAsWorn),
            ("coverage_pairs", "differences of pairs, in general", proof.Pairs), ("coverage_pairs_as_worn", "differences of pairs, as worn", proof.PairsAsWorn),
            ("wrong_sign", "called different with the wrong sign", proof.WrongSign), ("false_equivalent", "called equivalent at or beyond the margin", proof.FalseEquivalent),
        ];
        return new Answer(edge, json).Give([], w =>
        {
            w.WriteNumber("trials", proof.Trials);
            foreach (var (key, _, count) in rows)
            {
                w.WriteStartObject(key);
                if (count.Share is { } share) w.WriteNumber("share", Math.Round(share, 6));
                else w.WriteNull("share");
                w.WriteNumber("held", count.Held);
                w.WriteNumber("of", count.Of);
                w.WriteEndObject();
            }
        }, t =>
        {
            t.WriteLine($"{proof.Trials} trials from recordings to verdicts; nominal coverage 0.95");
            foreach (var (_, words, count) in rows)
                t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {words,-42} {(count.Share is { } s ? s.ToString("0.000", CultureInfo.InvariantCulture) : "–")}   {count.Held} of {count.Of}"));
        });
    }
}
