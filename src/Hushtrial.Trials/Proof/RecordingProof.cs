using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Proof;

/// <summary>How often something held.</summary>
/// <param name="Held">Number of times it held.</param>
/// <param name="Of">Number of times it was asked.</param>
public sealed record ProofCount(int Held, int Of)
{
    /// <summary>The share; null when it was never asked.</summary>
    public double? Share => Of == 0 ? null : (double)Held / Of;

    /// <summary>One more answer.</summary>
    public ProofCount Plus(bool held) => new(Held + (held ? 1 : 0), Of + 1);

    internal static ProofCount None { get; } = new(0, 0);
}

/// <summary>What simulated trials gave that went the whole way: from synthesised recordings over levels, own noise and calibration to verdicts.</summary>
/// <param name="Trials">Number of trials.</param>
/// <param name="Bands">95 % intervals of band losses that hold the truth, in general.</param>
/// <param name="BandsAsWorn">The same for the donnings made.</param>
/// <param name="Losses">95 % intervals of A- and C-weighted losses that hold the truth, in general.</param>
/// <param name="LossesAsWorn">The same for the donnings made.</param>
/// <param name="Pairs">Single 95 % intervals of A-weighted differences that hold the truth, in general.</param>
/// <param name="PairsAsWorn">The same for the donnings made.</param>
/// <param name="WrongSign">Pairs called different with the wrong sign.</param>
/// <param name="FalseEquivalent">Pairs called equivalent whose true difference is at least the margin.</param>
public sealed record RecordingProof(int Trials, ProofCount Bands, ProofCount BandsAsWorn, ProofCount Losses, ProofCount LossesAsWorn,
    ProofCount Pairs, ProofCount PairsAsWorn, ProofCount WrongSign, ProofCount FalseEquivalent)
{
    /// <summary>Makes helicopter trials from seeds of their own and analyses each as a user's files would be.</summary>
    /// <param name="trials">Number of trials, from 1; each takes some seconds and 150 MB.</param>
    /// <param name="seed">Seed of the first; the others follow it.</param>
    /// <param name="progress">Receives the share that is done.</param>
    /// <param name="cancellation">Stops between trials.</param>
    public static RecordingProof Run(int trials, ulong seed, IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        var none = ProofCount.None;
        var proof = new RecordingProof(trials, none, none, none, none, none, none, none, none);
        for (var trial = 0; trial < trials; trial++)
        {
            cancellation.ThrowIfCancellationRequested();
            var made = HelicopterTrial.Make(seed + (ulong)trial);
            proof = proof.With(made.Truth, Analyse(made, cancellation));
            progress?.Report((trial + 1.0) / trials);
        }
        return proof;
    }

    private static TrialResults Analyse(SyntheticTrial made, CancellationToken cancellation)
    {
        var files = new Dictionary<string, Recording>(StringComparer.Ordinal);
        Parallel.ForEach(made.Recordings, recording =>
        {
            using var stream = new MemoryStream((int)(recording.Frames * 3) + 100);
            using (var writer = new WaveWriter(stream, recording.SampleRate, 1, WaveSampleFormat.Integer24)) recording.Render(samples => writer.Write(samples));
            var opened = Recording.Open(new BufferedBytes(stream.ToArray()), recording.File);
            lock (files) files[recording.File] = opened;
        });
        return Analysis.Run(new TrialInputs(made.Document, made.Document.Recordings.ToDictionary(r => r.Id, r => files[r.File], StringComparer.Ordinal), [], [], ""), null, cancellation);
    }

    private RecordingProof With(TrialTruth truth, TrialResults results)
    {
        var p = this;
        foreach (var condition in results.Conditions.Where(c => truth.Conditions.ContainsKey(c.Condition.Id)))
        {
            var real = truth.Conditions[condition.Condition.Id];
            foreach (var band in condition.Loss.Bands.Where(b => b.Valid))
                p = p with { Bands = p.Bands.Plus(Holds(band.Effect.General, real.GeneralBands[band.Band])), BandsAsWorn = p.BandsAsWorn.Plus(Holds(band.Effect.AsWorn, real.AsWornBands[band.Band])) };
            p = p with { Losses = p.Losses.Plus(Holds(condition.Loss.A?.General, real.GeneralA)), LossesAsWorn = p.LossesAsWorn.Plus(Holds(condition.Loss.A?.AsWorn, real.AsWornA)) };
            if (real is { GeneralC: { } c, AsWornC: { } worn })
                p = p with { Losses = p.Losses.Plus(Holds(condition.Loss.C?.General, c)), LossesAsWorn = p.LossesAsWorn.Plus(Holds(condition.Loss.C?.AsWorn, worn)) };
        }
        foreach (var pair in results.Pairs)
        {
            if (!truth.Conditions.TryGetValue(pair.First, out var first) || !truth.Conditions.TryGetValue(pair.Second, out var second)) continue;
            var (general, worn) = (first.GeneralA - second.GeneralA, first.AsWornA - second.AsWornA);
            p = p with { Pairs = p.Pairs.Plus(Holds(pair.General?.Difference, general)), PairsAsWorn = p.PairsAsWorn.Plus(Holds(pair.AsWorn?.Difference, worn)) };
            if (pair.In(EstimateScope.General) is not { } verdict) continue;
            var different = verdict.Verdict is VerdictKind.Different or VerdictKind.DifferentWithinMargin;
            p = p with { WrongSign = p.WrongSign.Plus(different && Math.Sign(verdict.Difference.Value) != Math.Sign(general)) };
            if (Math.Abs(general) >= results.Document.Margin.Decibels)
                p = p with { FalseEquivalent = p.FalseEquivalent.Plus(verdict.Verdict is VerdictKind.Equivalent or VerdictKind.DifferentWithinMargin) };
        }
        return p;
    }

    private static bool Holds(Estimate? estimate, double truth) => estimate is not null && truth >= estimate.Low && truth <= estimate.High;
}
