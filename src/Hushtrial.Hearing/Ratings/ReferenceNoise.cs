namespace Hushtrial.Hearing.Ratings;

/// <summary>A-weighted octave levels, 125 Hz to 8 kHz, of the noises the ratings are defined with.</summary>
internal static class ReferenceNoise
{
    /// <summary>ISO 4869-2:2018, Table 2: eight noises of 100 dB(A).</summary>
    public static readonly double[][] OfSpread =
    [
        [62.6, 70.8, 81, 90.4, 96.2, 94.7, 92.3],
        [68.9, 78.3, 84.3, 92.8, 96.3, 94, 90],
        [71.1, 80.8, 88, 95, 94.4, 94.1, 89],
        [77.2, 84.5, 89.8, 95.5, 94.3, 92.5, 88.8],
        [77.4, 86.5, 92.5, 96.4, 93, 90.4, 83.7],
        [82, 89.3, 93.3, 95.6, 93, 90.1, 83],
        [84.2, 90.1, 93.6, 96.2, 91.3, 87.9, 81.9],
        [88, 93.4, 93.8, 94.2, 91.4, 87.9, 79.9],
    ];

    /// <summary>ISO 4869-2:2018, Table 2: the constants d of the eight noises.</summary>
    public static readonly double[] Constants = [-1.2, -0.49, 0.14, 1.56, -2.98, -1.01, 0.85, 3.14];

    /// <summary>ISO 4869-2:2018, Table 3: pink noise of 100 dB(C).</summary>
    public static readonly double[] Pink = [75.9, 83.4, 88.8, 92, 93.2, 93, 90.9];
}
