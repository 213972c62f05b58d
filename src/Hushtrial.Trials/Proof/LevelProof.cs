using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Verdicts;

namespace Hushtrial.Trials.Proof;

/// <summary>Proof at level depth: the estimator itself, with its full grid, on simulated readings of known truth.</summary>
public static class LevelProof
{
    // Trials that share a layout, and the memory of a batch.
    private const int Batch = 50;

    /// <summary>Runs one cell.</summary>
    /// <param name="design">Shape of the trials.</param>
    /// <param name="scenario">The world.</param>
    /// <param name="trials">Number of trials, at least 1.</param>
    /// <param name="seed">Seed; equal seeds give equal cells.</param>
    /// <param name="settings">The estimator's settings; the number of draws behind simultaneous intervals is cut to 5 000.</param>
    /// <param name="cancellation">Stops the work.</param>
    public static ProofCell Run(ProofDesign design, ProofScenario scenario, int trials, ulong seed, EstimatorSettings? settings = null, CancellationToken cancellation = default)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(trials, 1);
        var used = (settings ?? new EstimatorSettings()) with
        {
            OutsideChannel = scenario.OutsideChannel || scenario.Quantity == MeasuredQuantity.LevelDifference, Draws = 5_000, ScatterPerClass = scenario.ClassesDeclared,
            Of = new(scenario.Quantity, scenario.Quantity == MeasuredQuantity.ActivePart ? Enumerable.Range(0, design.Devices).ToDictionary(ProofDesign.DeviceName, SimulatedPairedTrials.Off, StringComparer.Ordinal) : new(StringComparer.Ordinal), true),
        };
        ConditionTraits[] traits = [.. Enumerable.Range(0, design.Devices).Select(d => new ConditionTraits(ProofDesign.DeviceName(d), 1,
            scenario.ClassesDeclared && scenario.DonningFactors.Count > 0 ? $"class {d % scenario.DonningFactors.Count}" : ""))];
        var tally = new ProofTally(design);
        var generator = new SeededGenerator(seed);
        for (var done = 0; done < trials; done += Batch)
        {
            cancellation.ThrowIfCancellationRequested();
            var count = Math.Min(Batch, trials - done);
            var simulated = SimulatedTrials.Make(design, scenario, count, generator);
            string[] quantities = [.. Enumerable.Range(0, count).Select(SimulatedTrials.Quantity)];
            var fits = Estimator.FitAll(simulated.Readings, traits, quantities, used);
            var outcomes = new TrialOutcome[count];
            Parallel.For(0, count, s => outcomes[s] = TrialOutcome.Of(fits[quantities[s]], simulated.AsWornLosses[s], tally.Pairs, design, used));
            foreach (var outcome in outcomes) tally.Add(outcome);
        }
        return tally.Cell(scenario);
    }
}

/// <summary>What one simulated trial said of every pair.</summary>
internal sealed record TrialOutcome(bool[] Covered, bool[] CoveredAsWorn, double CoveredLosses, double[] Half, double[] HalfAsWorn, bool[] ExcludesZero, VerdictKind[] Verdicts, double[] Means)
{
    public static TrialOutcome Of(QuantityFit fit, double[] worn, IReadOnlyList<(int First, int Second)> pairs, ProofDesign design, EstimatorSettings settings)
    {
        var n = pairs.Count;
        var outcome = new TrialOutcome(new bool[n], new bool[n], 0, new double[n], new double[n], new bool[n], new VerdictKind[n], new double[n]);
        var names = pairs.Select(p => (ProofDesign.DeviceName(p.First), ProofDesign.DeviceName(p.Second))).ToArray();
        var family = PairFamily.Compare(fit.General!, names, settings, sensitivity: false)!;
        for (var j = 0; j < n; j++)
        {
            var (a, b) = pairs[j];
            var contrast = LevelContrast.Difference(names[j].Item1, names[j].Item2);
            (double low, double high) = Interval(fit.General!, contrast);
            var truth = design.TrueLoss(a) - design.TrueLoss(b);
            outcome.Covered[j] = low <= truth && truth <= high;
            outcome.Half[j] = (high - low) / 2;
            outcome.ExcludesZero[j] = low > 0 || high < 0;
            (low, high) = Interval(fit.AsWorn!, contrast);
            outcome.CoveredAsWorn[j] = low <= worn[a] - worn[b] && worn[a] - worn[b] <= high;
            outcome.HalfAsWorn[j] = (high - low) / 2;
            outcome.Verdicts[j] = family.Pairs[j]!.Verdict;
            outcome.Means[j] = family.Pairs[j]!.Difference.Value;
        }
        var losses = Enumerable.Range(0, worn.Length).Average(d =>
        {
            var (low, high) = Interval(fit.General!, LevelContrast.Loss(ProofDesign.DeviceName(d)));
            return low <= design.TrueLoss(d) && design.TrueLoss(d) <= high ? 1.0 : 0;
        });
        return outcome with { CoveredLosses = losses };
    }

    private static (double Low, double High) Interval(ScopeFit fit, LevelContrast contrast)
    {
        var posterior = fit.Along(contrast)!;
        return (posterior.Quantile(0.025), posterior.Quantile(0.975));
    }
}

/// <summary>Counts outcomes of one cell.</summary>
internal sealed class ProofTally(ProofDesign design)
{
    private const double Margin = 2;
    private readonly List<TrialOutcome> _outcomes = [];

    public IReadOnlyList<(int First, int Second)> Pairs { get; } =
        [.. Enumerable.Range(0, design.Devices).SelectMany(a => Enumerable.Range(a + 1, design.Devices - a - 1).Select(b => (a, b)))];

    public void Add(TrialOutcome outcome) => _outcomes.Add(outcome);

    public ProofCell Cell(ProofScenario scenario)
    {
        double True(int j) => design.TrueLoss(Pairs[j].First) - design.TrueLoss(Pairs[j].Second);
        int[] all = [.. Enumerable.Range(0, Pairs.Count)], equal = [.. all.Where(j => True(j) == 0)], apart = [.. all.Where(j => Math.Abs(True(j)) >= Margin)],
            two = [.. all.Where(j => Math.Abs(True(j)) is > 0 and <= 2)], more = [.. all.Where(j => Math.Abs(True(j)) > 2)];
        var worst = all.MinBy(j => _outcomes.Count(o => o.Covered[j]));
        static bool Different(VerdictKind v) => v is VerdictKind.Different or VerdictKind.DifferentWithinMargin;
        return new(design, scenario, _outcomes.Count, Share(all, (o, j) => o.Covered[j]), Share([worst], (o, j) => o.Covered[j]),
            $"{ProofDesign.DeviceName(Pairs[worst].First)}-{ProofDesign.DeviceName(Pairs[worst].Second)}", Share(all, (o, j) => o.CoveredAsWorn[j]),
            ProofShare.Of([.. _outcomes.Select(o => o.CoveredLosses)]), Median(o => o.Half), Median(o => o.HalfAsWorn),
            Any(equal, (o, j) => Different(o.Verdicts[j])), Any(apart, (o, j) => o.Verdicts[j] is VerdictKind.Equivalent or VerdictKind.DifferentWithinMargin),
            Any(apart, (o, j) => Different(o.Verdicts[j]) && o.Means[j] * True(j) < 0), Share(two, (o, j) => o.ExcludesZero[j]), Share(more, (o, j) => o.ExcludesZero[j]));
    }

    private ProofShare Share(int[] pairs, Func<TrialOutcome, int, bool> holds) => pairs.Length == 0 ? new(null, 0)
        : ProofShare.Of([.. _outcomes.Select(o => pairs.Average(j => holds(o, j) ? 1.0 : 0))]);

    private ProofShare Any(int[] pairs, Func<TrialOutcome, int, bool> holds) => pairs.Length == 0 ? new(null, 0)
        : ProofShare.Of([.. _outcomes.Select(o => pairs.Any(j => holds(o, j)) ? 1.0 : 0)]);

    private double Median(Func<TrialOutcome, double[]> values)
    {
        var sorted = _outcomes.SelectMany(values).Order().ToArray();
        return sorted[sorted.Length / 2];
    }
}
