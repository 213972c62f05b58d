namespace Hushtrial.Trials.Alignment;

/// <summary>What a level curve does within seconds: the slow course and the steps of devices are taken off, single bangs are held down. Its mean over any stretch is exact.</summary>
internal sealed class Fluctuation
{
    /// <summary>Half the window of the running median, s: longer than what two instruments have in common in a steady noise, shorter than a take.</summary>
    private const double HalfWindow = 10;

    private const double HeldAt = 3;

    private readonly double _step;
    private readonly double[] _sum;
    private readonly double[] _there;

    private Fluctuation(double step, double[] sum, double[] there) => (_step, _sum, _there) = (step, sum, there);

    /// <summary>The fluctuation of each interval; NaN where the level is missing.</summary>
    public static double[] Of(LevelCurve curve)
    {
        var levels = curve.Levels;
        var half = Math.Max(3, (int)Math.Round(HalfWindow / curve.UsualLength));
        var window = new List<double>((2 * half) + 2);
        var result = new double[levels.Count];
        for (var i = 0; i < Math.Min(half, levels.Count); i++) Add(levels[i]);
        for (var i = 0; i < levels.Count; i++)
        {
            if (i + half < levels.Count) Add(levels[i + half]);
            if (i - half - 1 >= 0) Remove(levels[i - half - 1]);
            result[i] = double.IsNaN(levels[i]) ? double.NaN : levels[i] - ((window[(window.Count - 1) / 2] + window[window.Count / 2]) / 2);
        }
        var sizes = result.Where(r => !double.IsNaN(r)).Select(Math.Abs).Order().ToArray();
        var most = sizes.Length == 0 ? 0 : HeldAt * 1.4826 * sizes[sizes.Length / 2];
        for (var i = 0; i < result.Length; i++)
            if (!double.IsNaN(result[i])) result[i] = Math.Clamp(result[i], -most, most);
        return result;

        void Add(double level)
        {
            if (double.IsNaN(level)) return;
            var at = window.BinarySearch(level);
            window.Insert(at < 0 ? ~at : at, level);
        }

        void Remove(double level)
        {
            if (!double.IsNaN(level)) window.RemoveAt(window.BinarySearch(level));
        }
    }

    /// <summary>Makes means over any stretch ready.</summary>
    public static Fluctuation Prepare(LevelCurve curve)
    {
        var values = Of(curve);
        // A grid no finer than the curve; irregular rows are shared out to it.
        var step = curve.UsualLength;
        var cells = (int)Math.Ceiling(curve.Seconds / step) + 1;
        var (sum, there) = (new double[cells + 1], new double[cells + 1]);
        for (var i = 0; i < values.Length; i++)
        {
            if (double.IsNaN(values[i])) continue;
            var (from, to) = (curve.Starts[i], Math.Min(curve.Starts[i] + curve.Lengths[i], i + 1 < values.Length ? curve.Starts[i + 1] : double.MaxValue));
            for (var cell = (int)(from / step); cell < cells && cell * step < to - 1e-9; cell++)
            {
                var part = Math.Min(to, (cell + 1) * step) - Math.Max(from, cell * step);
                if (part <= 0) continue;
                sum[cell + 1] += part * values[i];
                there[cell + 1] += part;
            }
        }
        for (var c = 1; c <= cells; c++) (sum[c], there[c]) = (sum[c] + sum[c - 1], there[c] + there[c - 1]);
        return new(step, sum, there);
    }

    /// <summary>Mean over a stretch; NaN where less than nine tenths of it are there.</summary>
    public double Mean(double from, double to)
    {
        var there = At(_there, to) - At(_there, from);
        return there < 0.9 * (to - from) ? double.NaN : (At(_sum, to) - At(_sum, from)) / there;
    }

    private double At(double[] cumulated, double time)
    {
        var place = Math.Clamp(time / _step, 0, cumulated.Length - 1);
        var below = Math.Min((int)place, cumulated.Length - 2);
        return cumulated[below] + ((place - below) * (cumulated[below + 1] - cumulated[below]));
    }
}
