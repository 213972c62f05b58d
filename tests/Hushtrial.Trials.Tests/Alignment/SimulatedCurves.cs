using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Alignment;

namespace Hushtrial.Trials.Tests.Alignment;

/// <summary>A cabin whose level moves, and instruments in it that begin at different times and whose clocks run unlike. Levels by energy over the true intervals.</summary>
/// <remarks>Movement: 0.5 to 1.5 dB with a time constant of 0.7 to 3.2 s, 1.5 dB over a minute, and a bang or call every five minutes. Every instrument adds 0.5 to 1.3 dB of
/// its own to each 125 ms (what two microphones in one noise do not share), one of them by devices put on and off: 12 to 27 dB less for 20 to 120 s.</remarks>
internal sealed class SimulatedCurves
{
    private const double Grid = 0.05;

    private readonly double[] _energy;

    public SimulatedCurves(SeededGenerator random, double seconds)
    {
        var (size, time) = (Between(random, 0.5, 1.5), Between(random, 0.7, 3.2));
        var levels = new double[(int)(seconds / Grid)];
        var (fast, slow, f, g) = (0.0, 0.0, Math.Exp(-Grid / time), Math.Exp(-Grid / 60));
        for (var i = 0; i < levels.Length; i++)
        {
            fast = (f * fast) + (Math.Sqrt(1 - (f * f)) * size * random.NextNormal());
            slow = (g * slow) + (Math.Sqrt(1 - (g * g)) * 1.5 * random.NextNormal());
            levels[i] = 90 + fast + slow;
        }
        for (var k = 0; k < seconds / 300; k++)
        {
            var (from, length, up) = ((int)(random.NextUniform() * levels.Length), (int)(Between(random, 0.2, 2.2) / Grid), Between(random, 3, 13));
            for (var i = from; i < Math.Min(levels.Length, from + length); i++) levels[i] += up;
        }
        _energy = new double[levels.Length + 1];
        for (var i = 0; i < levels.Length; i++) _energy[i + 1] = _energy[i] + Math.Pow(10, levels[i] / 10);
    }

    public static double Between(SeededGenerator random, double low, double high) => low + ((high - low) * random.NextUniform());

    /// <summary>What an instrument reads that began at a true time and whose seconds last a little longer or shorter.</summary>
    public LevelCurve Read(SeededGenerator random, double begins, double ppm, double seconds, double step, bool devices)
    {
        var levels = new double[(int)(seconds / step)];
        var (own, gain, scale, off, left) = (Between(random, 0.5, 1.3) * Math.Sqrt(0.125 / step), 10 * random.NextNormal(), Between(random, 0.8, 1), 0.0, 0);
        for (var i = 0; i < levels.Length; i++)
        {
            if (devices && left-- <= 0) (left, off) = ((int)(Between(random, 20, 120) / step), off > 0 ? 0 : Between(random, 12, 27));
            var rate = 1 + (ppm * 1e-6);
            levels[i] = gain + (scale * Mean(begins + (i * step * rate), begins + ((i + 1) * step * rate))) - off + (own * random.NextNormal());
        }
        return LevelCurve.OfSteps(step, levels);
    }

    private double Mean(double from, double to) => 10 * Math.Log10((At(to) - At(from)) / ((to - from) / Grid));

    private double At(double time)
    {
        var place = Math.Clamp(time / Grid, 0, _energy.Length - 1);
        var below = Math.Min((int)place, _energy.Length - 2);
        return _energy[below] + ((place - below) * (_energy[below + 1] - _energy[below]));
    }
}
