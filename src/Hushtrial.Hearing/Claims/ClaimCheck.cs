using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;
using Hushtrial.Statistics.Distributions;
using static System.FormattableString;

namespace Hushtrial.Hearing.Claims;

/// <summary>Checks published claims against measured losses.</summary>
/// <remarks>One threshold, the claim less the allowance: at most 5 % wrong support when the truth lies below it and at most 5 % wrong contradiction when above.
/// Own rules; see the method notes of the project.</remarks>
public static class ClaimCheck
{
    private const double Confidence = 0.95;
    private const int PredictionNodes = 999;
    private const int TableSteps = 4000;
    private const double TableReach = 12;

    /// <summary>'At least q': supported below a probability of 5 % of missing the threshold, contradicted above 95 %.</summary>
    public static ClaimOutcome AtLeast(MeasuredLoss measured, LevelDifference claimed, LevelDifference allowance)
    {
        var missed = measured.ProbabilityUpTo(claimed - allowance);
        var verdict = missed < 1 - Confidence ? ClaimVerdict.Supported : missed > Confidence ? ClaimVerdict.Contradicted : ClaimVerdict.Unresolved;
        var threshold = Threshold(claimed, allowance);
        return new(verdict, 1 - missed, verdict switch
        {
            ClaimVerdict.Supported => Invariant($"Supported: measured {Words(measured)}; {threshold} is reached with {Percent(1 - missed)} probability."),
            ClaimVerdict.Contradicted => Invariant($"Contradicted by this measurement: measured {Words(measured)}; {threshold} is missed with {Percent(missed)} probability."),
            _ => Invariant($"Not resolved: measured {Words(measured)}; {threshold} may or may not be reached ({Percent(1 - missed)} probability that it is)."),
        });
    }

    /// <summary>'Up to q' over bands: contradicted only when the simultaneous upper limit of every band stays below; never supported, because one band is all it promises.</summary>
    /// <exception cref="ArgumentException">No band.</exception>
    public static ClaimOutcome UpTo(IReadOnlyList<(Band Band, MeasuredLoss Loss)> bands, LevelDifference claimed, LevelDifference allowance)
    {
        if (bands.Count == 0) throw new ArgumentException("At least one band is needed.", nameof(bands));
        var limit = claimed - allowance;
        // Šidák over the bands: together the limits hold with 95 %.
        var p = (1 + Math.Pow(Confidence, 1.0 / bands.Count)) / 2;
        var best = bands.MaxBy(b => b.Loss.Mean.Decibels);
        var probability = 1 - bands.Min(b => b.Loss.ProbabilityUpTo(limit));
        var threshold = Threshold(claimed, allowance);
        if (bands.All(b => b.Loss.Quantile(p).CompareTo(limit) < 0))
            return new(ClaimVerdict.Contradicted, probability,
                Invariant($"Contradicted by this measurement: no measured band reaches {threshold}; the best is {best.Loss.Mean.Decibels:0.0} dB at {best.Band}."));
        if (best.Loss.Quantile(1 - p).CompareTo(limit) >= 0)
            return new(ClaimVerdict.Unresolved, probability,
                Invariant($"Reached at {best.Band}: measured {Words(best.Loss)}. 'Up to' promises no more than one such band; it says nothing about the others or about dB(A)."), best.Band);
        return new(ClaimVerdict.Unresolved, probability,
            Invariant($"Not resolved: the best band, {best.Band}, measured {Words(best.Loss)}; whether it reaches {threshold} cannot be told."));
    }

    /// <summary>'q on average': supported when the 90 % interval lies within the allowance about q, contradicted when the 95 % interval lies outside it.</summary>
    public static ClaimOutcome Mean(MeasuredLoss measured, LevelDifference claimed, LevelDifference allowance)
    {
        var (low90, high90) = measured.Interval(0.90);
        var (low95, high95) = measured.Interval(Confidence);
        var (from, to) = (claimed - allowance, claimed + allowance);
        var verdict = low90.CompareTo(from) >= 0 && high90.CompareTo(to) <= 0 ? ClaimVerdict.Supported
            : high95.CompareTo(from) < 0 || low95.CompareTo(to) > 0 ? ClaimVerdict.Contradicted : ClaimVerdict.Unresolved;
        var head = verdict switch { ClaimVerdict.Supported => "Supported", ClaimVerdict.Contradicted => "Contradicted by this measurement", _ => "Not resolved" };
        return new(verdict, measured.ProbabilityUpTo(to) - measured.ProbabilityUpTo(from),
            Invariant($"{head}: measured {Words(measured)}; the claim is {claimed.Decibels:0.#} dB on average, with {allowance.Decibels:0.#} dB allowed either way."));
    }

    /// <summary>Measured against what published octave means and deviations predict for one wearer in this noise.</summary>
    public static PublishedComparison AgainstPublished(MeasuredLoss measured, WearerPrediction predicted)
    {
        double[] nodes = [.. Enumerable.Range(0, PredictionNodes).Select(i => predicted.Reduction.Quantile((i + 0.5) / PredictionNodes))];
        var upTo = Tabulated(measured);
        // Measured and predicted are independent: P(measured − predicted ≤ d) is the mean over the predicted values.
        double Cdf(double d) => nodes.Average(n => upTo(n + d));
        var mean = measured.Mean.Decibels - predicted.Reduction.Mean;
        var spread = Math.Sqrt(Math.Pow(measured.StandardDeviation.Decibels, 2) + Math.Pow(predicted.Reduction.StandardUncertainty, 2));
        var (low, high) = (Root(0.025), Root(0.975));
        var below = Cdf(0);
        var standing = below > 0.975 ? PublishedStanding.Below : below < 0.025 ? PublishedStanding.Above : PublishedStanding.Consistent;
        var words = standing switch
        {
            PublishedStanding.Below => "below what the published values let expect for one wearer",
            PublishedStanding.Above => "above what the published values let expect for one wearer",
            _ => "consistent with the published values, which predict one wearer only loosely",
        };
        return new(standing, LevelDifference.FromDecibels(mean), LevelDifference.FromDecibels(low), LevelDifference.FromDecibels(high), below, Invariant(
            $"Measured {Words(measured)}, predicted {predicted.Reduction.Quantile(0.025):0.0} to {predicted.Reduction.Quantile(0.975):0.0} dB for 95 % of wearers: {words} (difference {mean:0.0} dB, 95 % interval {low:0.0} to {high:0.0} dB)."));

        double Root(double p)
        {
            var (from, to) = (mean - (12 * spread), mean + (12 * spread));
            for (var i = 0; i < 60; i++)
            {
                var middle = (from + to) / 2;
                if (Cdf(middle) < p) from = middle;
                else to = middle;
            }

            return (from + to) / 2;
        }
    }

    /// <summary>Measured beside a labelled single number. Such a number is a value for many wearers: one wearer below it refutes nothing by itself.</summary>
    /// <param name="measured">Measured A-weighted loss of the wearer.</param>
    /// <param name="labelled">Reduction that the label predicts in this noise.</param>
    /// <param name="exceededBy95Percent">Reduction that 95 % of wearers should exceed in this noise; null when no such value follows from what is published.</param>
    /// <param name="fitChecked">Whether the fit was checked and found good.</param>
    public static ClaimOutcome AgainstLabel(MeasuredLoss measured, LevelDifference labelled, LevelDifference? exceededBy95Percent, bool fitChecked)
    {
        var d = (measured.Mean - labelled).Decibels;
        var (low, high) = measured.Interval(Confidence);
        var side = d >= 0 ? "above" : "below";
        var difference = Invariant($"The measured reduction lies {Math.Abs(d):0.0} dB {side} the labelled one (95 % interval {(low - labelled).Decibels:0.0} to {(high - labelled).Decibels:0.0} dB).");
        var probability = 1 - measured.ProbabilityUpTo(labelled);
        if (exceededBy95Percent is not { } floor || measured.ProbabilityUpTo(floor) <= Confidence)
            return new(ClaimVerdict.Unresolved, probability, difference + " A label speaks of many wearers and cannot be refuted or proved by one.");
        return fitChecked
            ? new(ClaimVerdict.Contradicted, probability, difference + Invariant($" It is below the {floor.Decibels:0.0} dB that 95 % of wearers should exceed, with a checked fit."))
            : new(ClaimVerdict.Unresolved, probability, difference + Invariant($" It is below the {floor.Decibels:0.0} dB that 95 % of wearers should exceed, but the fit was not checked."));
    }

    /// <summary>The distribution function of a measured loss, from a table: it is asked a hundred thousand times, and each answer is itself an average.</summary>
    /// <remarks>With 167 steps to one standard deviation a straight line between two of them is within a millionth of a bell-shaped distribution.</remarks>
    private static Func<double, double> Tabulated(MeasuredLoss measured)
    {
        var (mean, reach) = (measured.Mean.Decibels, TableReach * measured.StandardDeviation.Decibels);
        if (reach <= 0) return d => measured.ProbabilityUpTo(LevelDifference.FromDecibels(d));
        var step = 2 * reach / TableSteps;
        double[] table = [.. Enumerable.Range(0, TableSteps + 1).Select(i => measured.ProbabilityUpTo(LevelDifference.FromDecibels(mean - reach + (i * step))))];
        return d =>
        {
            var at = (d - mean + reach) / step;
            if (at < 0 || at >= TableSteps) return measured.ProbabilityUpTo(LevelDifference.FromDecibels(d));
            var i = (int)at;
            return table[i] + ((at - i) * (table[i + 1] - table[i]));
        };
    }

    private static string Threshold(LevelDifference claimed, LevelDifference allowance) => allowance.Decibels == 0
        ? Invariant($"the claimed {claimed.Decibels:0.#} dB")
        : Invariant($"the claimed {claimed.Decibels:0.#} dB less {allowance.Decibels:0.#} dB allowance");

    private static string Words(MeasuredLoss m)
    {
        var (low, high) = m.Interval(Confidence);
        return Invariant($"{m.Mean.Decibels:0.0} dB (95 % interval {low.Decibels:0.0} to {high.Decibels:0.0} dB)");
    }

    // Never '100 %': certainty is not on offer.
    private static string Percent(double p) => p > 0.995 ? "more than 99 %" : p < 0.005 ? "less than 1 %" : Invariant($"{100 * p:0} %");
}
