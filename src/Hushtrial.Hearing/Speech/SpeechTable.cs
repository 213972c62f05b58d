namespace Hushtrial.Hearing.Speech;

/// <summary>Fixed data of one procedure, in band order.</summary>
/// <param name="Hertz">Nominal midband frequencies.</param>
/// <param name="SpreadHertz">Frequencies at which the spread of masking arrives: the geometric middle of a critical band, as in the reference program of the
/// standard's working group (the nominal midband changes an index by up to 0.0002), the nominal midband of a one-third octave.</param>
/// <param name="UpperHertz">Upper band limits, where masking starts to spread from.</param>
/// <param name="BandwidthDecibels">10 lg of the bandwidth in Hz.</param>
/// <param name="Importance">Band importance of average speech; sums to 1.</param>
/// <param name="Speech">Standard speech spectrum levels by vocal effort, dB.</param>
/// <param name="InternalNoise">Reference internal noise spectrum level, dB.</param>
internal sealed record SpeechTable(double[] Hertz, double[] SpreadHertz, double[] UpperHertz, double[] BandwidthDecibels, double[] Importance, double[][] Speech, double[] InternalNoise)
{
    private static readonly SpeechTable _critical = CriticalBands();
    private static readonly SpeechTable _equal = EquallyContributing(_critical);
    private static readonly SpeechTable _third = ThirdOctaves();
    private static readonly SpeechTable _octave = Octaves(_third);

    /// <summary>The table of a procedure.</summary>
    public static SpeechTable Of(SpeechProcedure procedure) => procedure switch
    {
        SpeechProcedure.CriticalBand => _critical,
        SpeechProcedure.EquallyContributing => _equal,
        SpeechProcedure.ThirdOctave => _third,
        SpeechProcedure.Octave => _octave,
        _ => throw new ArgumentOutOfRangeException(nameof(procedure), procedure, "Unknown procedure."),
    };

    // ANSI S3.5-1997, Table 1.
    private static SpeechTable CriticalBands()
    {
        double[] lower = [100, 200, 300, 400, 510, 630, 770, 920, 1080, 1270, 1480, 1720, 2000, 2320, 2700, 3150, 3700, 4400, 5300, 6400, 7700];
        double[] upper = [200, 300, 400, 510, 630, 770, 920, 1080, 1270, 1480, 1720, 2000, 2320, 2700, 3150, 3700, 4400, 5300, 6400, 7700, 9500];
        return new(
            [150, 250, 350, 450, 570, 700, 840, 1000, 1170, 1370, 1600, 1850, 2150, 2500, 2900, 3400, 4000, 4800, 5800, 7000, 8500],
            [.. lower.Zip(upper, (l, h) => Math.Sqrt(l * h))], upper, [.. lower.Zip(upper, (l, h) => 10 * Math.Log10(h - l))],
            [0.0103, 0.0261, 0.0419, 0.0577, 0.0577, 0.0577, 0.0577, 0.0577, 0.0577, 0.0577, 0.0577, 0.0577, 0.0577, 0.0577, 0.0577, 0.0577, 0.0577, 0.046, 0.0343, 0.0226, 0.011],
            [
                [31.44, 34.75, 34.14, 34.58, 33.17, 30.64, 27.59, 25.01, 23.52, 22.28, 20.15, 18.29, 16.37, 13.8, 12.21, 11.09, 9.33, 5.84, 3.47, 1.78, -0.14],
                [34.06, 38.98, 38.62, 39.84, 39.44, 37.99, 35.85, 33.86, 32.56, 30.91, 28.58, 26.37, 24.34, 22.35, 21.04, 19.56, 16.78, 12.14, 9.04, 6.36, 3.44],
                [34.21, 41.55, 43.68, 44.08, 45.34, 45.22, 43.6, 42.16, 41.07, 39.68, 37.7, 35.62, 33.17, 30.98, 29.01, 27.71, 25.41, 19.2, 15.37, 12.61, 9.62],
                [28.69, 42.5, 47.14, 48.46, 50.17, 51.68, 51.43, 51.31, 49.4, 49.03, 47.65, 45.47, 43.13, 40.8, 39.15, 37.3, 34.41, 29.01, 25.17, 22.08, 18.76],
            ],
            [1.5, -3.9, -7.2, -8.9, -10.3, -11.4, -12, -12.5, -13.2, -14, -15.4, -16.9, -18.8, -21.2, -23.2, -24.9, -25.9, -24.2, -19, -11.7, -6]);
    }

    // Table 2: the bands 300 Hz to 6.4 kHz of Table 1, each 0.0588; the printed importances add up to 0.9996.
    private static SpeechTable EquallyContributing(SpeechTable critical) => new(critical.Hertz[2..19], critical.SpreadHertz[2..19], critical.UpperHertz[2..19], critical.BandwidthDecibels[2..19],
        [.. Enumerable.Repeat(0.0588, 17)], [.. critical.Speech.Select(s => s[2..19])], critical.InternalNoise[2..19]);

    // Table 3. Its masking formula writes the upper limit as f/0.89 and the bandwidth as 10 lg f − 6.353.
    private static SpeechTable ThirdOctaves()
    {
        double[] hertz = [160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000];
        return new(hertz, hertz, [.. hertz.Select(f => f / 0.89)], [.. hertz.Select(f => (10 * Math.Log10(f)) - 6.353)],
            [0.0083, 0.0095, 0.015, 0.0289, 0.044, 0.0578, 0.0653, 0.0711, 0.0818, 0.0844, 0.0882, 0.0898, 0.0868, 0.0844, 0.0771, 0.0527, 0.0364, 0.0185],
            [
                [32.41, 34.48, 34.75, 33.98, 34.59, 34.27, 32.06, 28.3, 25.01, 23, 20.15, 17.32, 13.18, 11.55, 9.33, 5.31, 2.59, 1.13],
                [33.81, 33.92, 38.98, 38.57, 39.11, 40.15, 38.78, 36.37, 33.86, 31.89, 28.58, 25.32, 22.35, 20.15, 16.78, 11.47, 7.67, 5.07],
                [35.29, 37.76, 41.55, 43.78, 43.3, 44.85, 45.55, 44.05, 42.16, 40.53, 37.7, 34.39, 30.98, 28.21, 25.41, 18.35, 13.87, 11.39],
                [30.77, 36.65, 42.5, 46.51, 47.4, 49.24, 51.21, 51.44, 51.31, 49.63, 47.65, 44.32, 40.8, 38.13, 34.41, 28.24, 23.45, 20.72],
            ],
            [0.6, -1.7, -3.9, -6.1, -8.2, -9.7, -10.8, -11.9, -12.5, -13.5, -15.4, -17.7, -21.2, -24.2, -25.9, -23.6, -15.8, -7.1]);
    }

    // Table 4: spectrum levels are those of Table 3 at the same frequencies; the importances are its own.
    private static SpeechTable Octaves(SpeechTable third)
    {
        double[] hertz = [250, 500, 1000, 2000, 4000, 8000];
        double[] At(double[] column) => [.. hertz.Select(f => column[Array.IndexOf(third.Hertz, f)])];
        return new(hertz, hertz, [.. hertz.Select(f => f * Math.Sqrt(2))], [.. hertz.Select(f => 10 * Math.Log10(f / Math.Sqrt(2)))],
            [0.0617, 0.1671, 0.2373, 0.2648, 0.2142, 0.0549], [.. third.Speech.Select(At)], At(third.InternalNoise));
    }
}
