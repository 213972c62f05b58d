namespace Hushtrial.Signals.Tests.Levels;

/// <summary>Test signals, full scale = 1.</summary>
internal static class Signals
{
    internal static double[] Sine(int rate, double seconds, double hertz, double amplitude = 1, double phase = 0)
    {
        var x = new double[(int)Math.Round(rate * seconds)];
        for (var n = 0; n < x.Length; n++) x[n] = amplitude * Math.Sin((2 * Math.PI * hertz * n / rate) + phase);
        return x;
    }

    /// <summary>White Gaussian noise of unit variance, the same for the same seed everywhere (SplitMix64, Box and Muller).</summary>
    internal static double[] Noise(int frames, ulong seed)
    {
        var state = seed;
        double Uniform()
        {
            state += 0x9E3779B97F4A7C15;
            var v = state;
            v = (v ^ (v >> 30)) * 0xBF58476D1CE4E5B9;
            v = (v ^ (v >> 27)) * 0x94D049BB133111EB;
            return ((v ^ (v >> 31)) >> 11) * (1.0 / (1UL << 53));
        }
        var x = new double[frames];
        for (var n = 0; n < frames; n++)
            x[n] = Math.Sqrt(-2 * Math.Log(1 - Uniform())) * Math.Cos(2 * Math.PI * Uniform());
        return x;
    }

    internal static double Decibels(double meanSquare) => 10 * Math.Log10(meanSquare);
}
