using Hushtrial.Quantities;

namespace Hushtrial.Trials.Finding;

/// <summary>A trace as octave-wide groups of one-third octaves, 63 Hz to 8 kHz, in dB, with a running median that short sounds do not move.</summary>
internal sealed class BandGroups
{
    /// <summary>Octave indices of the groups from 1 kHz: 63 Hz to 8 kHz.</summary>
    public static IReadOnlyList<int> Octaves { get; } = [.. Enumerable.Range(-4, 8)];

    /// <summary>Groups from 2 kHz on, where every cup and plug reduces most.</summary>
    public static IReadOnlyList<int> High { get; } = [5, 6];

    private const double MedianSeconds = 2.1;
    private const double BlockSeconds = 0.5;
    private const double NoiseLagSeconds = 5;
    private const float Silence = 1e-18f;

    private BandGroups(LevelTrace trace, double[][] levels)
    {
        (Trace, Levels) = (trace, levels);
        var half = Math.Max(1, (int)Math.Round(MedianSeconds / trace.StepSeconds) / 2);
        Smooth = [.. levels.Select(l => RunningMedian(l, half))];
        BlockSteps = Math.Max(1, (int)Math.Round(BlockSeconds / trace.StepSeconds));
        Blocks = [.. Smooth.Select(s => Enumerable.Range(0, s.Length / BlockSteps).Select(b => s[(b * BlockSteps) + (BlockSteps / 2)]).ToArray())];
        Scatter = [.. Blocks.Select(ScatterOf)];
    }

    /// <summary>The trace.</summary>
    public LevelTrace Trace { get; }

    /// <summary>Levels by group, then by step, dB.</summary>
    public double[][] Levels { get; }

    /// <summary>Running medians over about 2 s by group, then by step, dB.</summary>
    public double[][] Smooth { get; }

    /// <summary>Steps in a block of about 0.5 s.</summary>
    public int BlockSteps { get; }

    /// <summary>The running medians once a block.</summary>
    public double[][] Blocks { get; }

    /// <summary>Standard deviation of a group's blocks where nothing changes, dB.</summary>
    public double[] Scatter { get; }

    /// <summary>The groups of a trace; null where a group has no band (a sampling rate too low).</summary>
    public static BandGroups? Of(LevelTrace trace)
    {
        var place = trace.Bands.Index().ToDictionary(b => b.Item.Index, b => b.Index);
        if (Octaves.Any(o => Enumerable.Range((3 * o) - 1, 3).Any(i => !place.ContainsKey(i)))) return null;
        var levels = Octaves.Select(o => Sum([.. Enumerable.Range((3 * o) - 1, 3).Select(i => trace.Third(place[i]))])).ToArray();
        return new(trace, levels);
    }

    /// <summary>Median of each group over steps, dB.</summary>
    public double[] Medians(int first, int end) => [.. Levels.Select(l => Median(l.AsSpan(first, end - first)))];

    /// <summary>The median; the span is not changed.</summary>
    public static double Median(ReadOnlySpan<double> values)
    {
        var sorted = values.ToArray();
        Array.Sort(sorted);
        return sorted.Length % 2 == 1 ? sorted[sorted.Length / 2] : 0.5 * (sorted[(sorted.Length / 2) - 1] + sorted[sorted.Length / 2]);
    }

    private static double[] Sum(IReadOnlyList<float>[] parts)
    {
        var sum = new double[parts[0].Count];
        for (var t = 0; t < sum.Length; t++) sum[t] = Decibels(parts[0][t] + parts[1][t] + parts[2][t]);
        return sum;
    }

    private static double Decibels(float meanSquare) => 10 * Math.Log10(Math.Max(meanSquare, Silence));

    // The deviation of blocks 5 s apart, over √2: noise and fast wander, of which slow drift and a few steps take no share.
    private double ScatterOf(double[] blocks)
    {
        var lag = (int)Math.Round(NoiseLagSeconds / (BlockSteps * Trace.StepSeconds));
        if (blocks.Length < 3 * lag) return 1;
        var differences = new double[blocks.Length - lag];
        for (var b = 0; b < differences.Length; b++) differences[b] = Math.Abs(blocks[b + lag] - blocks[b]);
        return Math.Clamp(1.4826 * Median(differences) / Math.Sqrt(2), 0.4, 3);
    }

    // A sorted window, one value out and one in at every step.
    private static double[] RunningMedian(double[] values, int half)
    {
        var result = new double[values.Length];
        var window = new List<double>((2 * half) + 1);
        for (var t = -half; t < values.Length; t++)
        {
            if (t + half < values.Length) Insert(values[t + half]);
            if (t - half - 1 >= 0) window.RemoveAt(window.BinarySearch(values[t - half - 1]));
            if (t >= 0) result[t] = window.Count % 2 == 1 ? window[window.Count / 2] : 0.5 * (window[(window.Count / 2) - 1] + window[window.Count / 2]);
        }
        return result;

        void Insert(double value)
        {
            var i = window.BinarySearch(value);
            window.Insert(i < 0 ? ~i : i, value);
        }
    }
}
