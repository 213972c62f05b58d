using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Logs;

/// <summary>What the values of columns say about each other: maxima above averages, and bands that sum up to a broadband level under one weighting only.</summary>
internal sealed class Relations(IReadOnlyList<double?[]> rows)
{
    // A band sum misses what lies outside its bands; two hypotheses are told apart when they differ by well more.
    private const double Fits = 0.6;
    private const double Apart = 1.5;

    /// <summary>The weighting under which bands sum up to a broadband column.</summary>
    /// <param name="bands">Index and band of the columns.</param>
    /// <param name="total">Index of the broadband column.</param>
    /// <param name="totalWeighting">Its weighting.</param>
    /// <returns>The median of sum minus column for each weighting that the bands may have, dB; null without rows.</returns>
    internal IReadOnlyList<(FrequencyWeighting Bands, double Median)>? BandSums(IReadOnlyList<(int Index, Band Band)> bands, int total, FrequencyWeighting totalWeighting)
    {
        var sums = new List<double>[] { [], [], [] };
        foreach (var row in rows)
        {
            if (row[total] is not { } level || bands.Any(b => row[b.Index] is null)) continue;
            for (var w = 0; w < 3; w++)
                sums[w].Add((10 * Math.Log10(bands.Sum(b => Math.Pow(10, (row[b.Index]!.Value + At(totalWeighting, b.Band) - At((FrequencyWeighting)w, b.Band)) / 10)))) - level);
        }
        return sums[0].Count == 0 ? null : [.. sums.Select((s, w) => ((FrequencyWeighting)w, Median(s)))];
    }

    /// <summary>The weighting that fits while no other comes near, or null.</summary>
    internal static FrequencyWeighting? Only(IReadOnlyList<(FrequencyWeighting Bands, double Median)> sums)
    {
        double Off(FrequencyWeighting w) => Math.Abs(sums.First(s => s.Bands == w).Median);
        // C takes 3 dB off at 31.5 Hz and nothing above 200 Hz: sums hardly tell it from Z. Bands with C are headed so; without, Z is meant unless C fits clearly better.
        var flat = Off(FrequencyWeighting.C) < Off(FrequencyWeighting.Z) - (Fits / 2) ? FrequencyWeighting.C : FrequencyWeighting.Z;
        var best = Off(FrequencyWeighting.A) < Off(flat) ? FrequencyWeighting.A : flat;
        var other = best == FrequencyWeighting.A ? flat : FrequencyWeighting.A;
        return Off(best) <= Fits && Off(other) >= Apart ? best : null;
    }

    /// <summary>In words: 'as Z 0.1 dB, as A −12.3 dB, as C −0.4 dB'.</summary>
    internal static string Words(IReadOnlyList<(FrequencyWeighting Bands, double Median)> sums) =>
        string.Join(", ", sums.OrderByDescending(s => s.Bands).Select(s => Invariant($"taken as {s.Bands} {s.Median:0.0} dB")));

    /// <summary>The band with the highest mean level, or null without values.</summary>
    internal (Band Band, double Level)? Loudest(IReadOnlyList<(int Index, Band Band)> bands)
    {
        var means = bands.Select(b => (b.Band, Levels: rows.Select(r => r[b.Index]).OfType<double>().ToList())).Where(b => b.Levels.Count > 0).Select(b => (b.Band, Level: b.Levels.Average())).ToList();
        return means.Count == 0 ? null : means.MaxBy(m => m.Level);
    }

    /// <summary>The share of rows in which one column lies above another by more than a tenth of a decibel, of those that hold both.</summary>
    internal (double Share, int Count) Above(int column, int other)
    {
        var (above, count) = (0, 0);
        foreach (var row in rows)
        {
            if (row[column] is not { } a || row[other] is not { } b) continue;
            count++;
            if (a > b + 0.1) above++;
        }
        return (count == 0 ? 0 : (double)above / count, count);
    }

    private static double At(FrequencyWeighting weighting, Band band) => Weightings.At(weighting, band.ExactMidband).Decibels;

    private static double Median(List<double> values)
    {
        values.Sort();
        return values[values.Count / 2];
    }
}
