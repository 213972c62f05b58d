using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>A change of power: the tones of rotor, propeller or engine stand elsewhere than in the other takes of the run.</summary>
/// <remarks>The whitened low-frequency spectrum over the logarithm of frequency is moved against the mean of the other takes' by up to 6 %; the
/// move with the largest product is the shift, so no speed needs to be known. Method: flagged above 2.2 %, and above 1.5 % where a strong tone lies
/// close to the edge of its band. The two bands beside an edge that a strong tone crossed hold another sound than in the other takes: they are named, and no loss is
/// read from them. The effect is an order of magnitude: 55·lg of the speed ratio, a fit to published rider data at the ear.</remarks>
internal static class PowerCheck
{
    private const double Most = 0.022;
    private const double MostNearEdge = 0.015;
    private const double LeastHertz = 20;
    private const double MostHertz = 500;
    private const double StepRatio = 0.001;
    private const int MostLag = 60;
    private const double LeastLikeness = 0.4;
    private static readonly int _points = (int)(Math.Log(MostHertz / LeastHertz) / StepRatio);

    public static IEnumerable<Finding> Check(ComparedTakes trial)
    {
        foreach (var run in trial.Takes.Where(t => t.Ears[0].Signal?.LowDensity is not null).GroupBy(t => t.Entry.Run))
        {
            var maps = run.ToDictionary(t => t, t => Map(t.Ears[0].Signal!));
            foreach (var take in run)
            {
                var others = run.Where(o => o != take && o.Entry.Excluded is null).Select(o => maps[o]).ToList();
                if (others.Count < 2) continue;
                var mean = new double[_points];
                foreach (var other in others) for (var i = 0; i < _points; i++) mean[i] += other[i] / others.Count;
                var (shift, likeness) = Shift(maps[take], mean);
                if (likeness < LeastLikeness) continue;
                var crossed = Crossed(maps[take], shift);
                if (Math.Abs(shift) <= (crossed.Count == 0 ? Most : MostNearEdge)) continue;
                yield return trial.Finding(take, 0, "TAK-025", Severity.Warning,
                    Invariant($"tones {100 * shift:+0.0;−0.0} % from where they stand in the other takes of the run{(crossed.Count > 0 ? Invariant($", one at {crossed[0].Hertz:0} Hz next to the edge of its band") : "")}"),
                    "tones within 2.2 %, or 1.5 % next to the edge of a band", "The power or rotor speed changed. Compare takes at one setting only; single bands next to such a tone cannot be used.",
                    55 * Math.Log10(1 + shift)) with { Bands = [.. crossed.SelectMany(c => new[] { c.Below, c.Above }).Distinct().Order()] };
            }
        }
    }

    /// <summary>How far above its surroundings every point of the spectrum stands, dB, 0 to 20, over equal steps of the logarithm of frequency.</summary>
    internal static double[] Map(ChannelSignal signal)
    {
        var density = signal.LowDensity!;
        var levels = new double[_points];
        for (var i = 0; i < _points; i++)
        {
            var at = LeastHertz * Math.Exp(i * StepRatio) / signal.LowResolution;
            var line = (int)at;
            levels[i] = Robust.Decibels(line + 1 < density.Count ? ((line + 1 - at) * density[line]) + ((at - line) * density[line + 1]) : 0);
        }
        // Mean of ±8 % as the surroundings.
        const int Width = 80;
        var sums = new double[_points + 1];
        for (var i = 0; i < _points; i++) sums[i + 1] = sums[i] + levels[i];
        var map = new double[_points];
        for (var i = 0; i < _points; i++)
        {
            var (from, to) = (Math.Max(0, i - Width), Math.Min(_points, i + Width + 1));
            map[i] = Math.Clamp(levels[i] - ((sums[to] - sums[from]) / (to - from)) - 3, 0, 20);
        }
        return map;
    }

    /// <summary>The relative shift of one map against another, and their likeness there, 0…1.</summary>
    internal static (double Shift, double Likeness) Shift(double[] map, double[] other)
    {
        var products = new double[(2 * MostLag) + 1];
        var norm = Math.Sqrt(map.Sum(m => m * m) * other.Sum(o => o * o));
        if (norm <= 0) return (0, 0);
        for (var lag = -MostLag; lag <= MostLag; lag++)
        {
            var sum = 0.0;
            for (var i = Math.Max(0, lag); i < Math.Min(map.Length, map.Length + lag); i++) sum += map[i] * other[i - lag];
            products[lag + MostLag] = sum / norm;
        }
        var best = Array.IndexOf(products, products.Max());
        return (Math.Exp((best - MostLag) * StepRatio) - 1, products[best]);
    }

    /// <summary>The strong tones that the shift carries over the edge between two one-third octaves, with the bands on both sides.</summary>
    private static List<(double Hertz, Band Below, Band Above)> Crossed(double[] map, double shift)
    {
        var crossed = new List<(double, Band, Band)>();
        for (var i = 1; i + 1 < map.Length; i++)
        {
            if (map[i] < 10 || map[i] < map[i - 1] || map[i] < map[i + 1]) continue;
            var hertz = LeastHertz * Math.Exp(i * StepRatio);
            foreach (var below in Band.ThirdOctaves.Where(b => (b.UpperEdge.Hertz - hertz) * (b.UpperEdge.Hertz - (hertz / (1 + shift))) < 0))
                crossed.Add((hertz, below, Band.ThirdOctave(below.Index + 1)));
        }
        return crossed;
    }
}
