namespace Hushtrial.Hearing.Loudness;

/// <summary>The constants of the stationary method of ISO 532-1:2017.</summary>
/// <remarks>Source: ISO 532-1:2017, Tables A.3 to A.9. Written from memory, then found equal in every cell to public transcriptions of the standard's
/// program (reference/loudness/iso532-1-tables.csv); the check spectrum's published result comes back to the last digit.</remarks>
internal static class ZwickerTables
{
    /// <summary>Level ranges of the low-frequency corrections, dB.</summary>
    public static readonly double[] LowBandRanges = [45, 55, 65, 71, 80, 90, 100, 120];

    /// <summary>Corrections of the 11 lowest one-third octaves (25 Hz to 250 Hz) by level range, dB: equal-loudness contours below 250 Hz.</summary>
    public static readonly double[][] LowBandCorrections =
    [
        [-32, -24, -16, -10, -5, 0, -7, -3, 0, -2, 0],
        [-29, -22, -15, -10, -4, 0, -7, -2, 0, -2, 0],
        [-27, -19, -14, -9, -4, 0, -6, -2, 0, -2, 0],
        [-25, -17, -12, -9, -3, 0, -5, -2, 0, -2, 0],
        [-23, -16, -11, -7, -3, 0, -4, -1, 0, -1, 0],
        [-20, -14, -10, -6, -3, 0, -4, -1, 0, -1, 0],
        [-18, -12, -9, -6, -2, 0, -3, -1, 0, -1, 0],
        [-15, -10, -8, -4, -2, 0, -3, -1, 0, -1, 0],
    ];

    /// <summary>Level at the threshold in quiet of the 20 critical bands, dB.</summary>
    public static readonly double[] Threshold = [30, 18, 12, 8, 7, 6, 5, 4, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3];

    /// <summary>Transmission between free field and hearing system, dB.</summary>
    public static readonly double[] EarTransmission = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, -0.5, -1.6, -3.2, -5.4, -5.6, -4, -1.5, 2, 5, 12];

    /// <summary>Free-field minus diffuse-field level for equal loudness, dB.</summary>
    public static readonly double[] DiffuseField = [0, 0, 0.5, 0.9, 1.2, 1.6, 2.3, 2.8, 3, 2, 0, -1.4, -2, -1.9, -1, 0.5, 3, 4, 4.3, 4];

    /// <summary>Adaptation of one-third-octave to critical-band levels, dB.</summary>
    public static readonly double[] Bandwidth =
        [-0.25, -0.6, -0.8, -0.8, -0.5, 0, 0.5, 1.1, 1.5, 1.7, 1.8, 1.8, 1.7, 1.6, 1.4, 1.2, 0.8, 0.5, 0, -0.5];

    /// <summary>Upper limits of the approximated critical bands on the scale of critical-band rate, Bark; the last closes the scale.</summary>
    public static readonly double[] UpperLimits =
        [0.9, 1.8, 2.8, 3.5, 4.4, 5.4, 6.6, 7.9, 9.2, 10.6, 12.3, 13.8, 15.2, 16.7, 18.1, 19.3, 20.6, 21.8, 22.7, 23.6, 24.0];

    /// <summary>Ranges of specific loudness that choose the steepness of the upper slope, sone/Bark.</summary>
    public static readonly double[] SlopeRanges =
        [21.5, 18, 15.1, 11.5, 9, 6.1, 4.4, 3.1, 2.13, 1.36, 0.82, 0.42, 0.30, 0.22, 0.15, 0.10, 0.035, 0];

    /// <summary>Steepness of the upper slopes by range of specific loudness and critical band, sone/Bark².</summary>
    public static readonly double[][] Slopes =
    [
        [13.00, 8.20, 6.30, 5.50, 5.50, 5.50, 5.50, 5.50],
        [9.00, 7.50, 6.00, 5.10, 4.50, 4.50, 4.50, 4.50],
        [7.80, 6.70, 5.60, 4.90, 4.40, 3.90, 3.90, 3.90],
        [6.20, 5.40, 4.60, 4.00, 3.50, 3.20, 3.20, 3.20],
        [4.50, 3.80, 3.60, 3.20, 2.90, 2.70, 2.70, 2.70],
        [3.70, 3.00, 2.80, 2.35, 2.20, 2.20, 2.20, 2.20],
        [2.90, 2.30, 2.10, 1.90, 1.80, 1.70, 1.70, 1.70],
        [2.40, 1.70, 1.50, 1.35, 1.30, 1.30, 1.30, 1.30],
        [1.95, 1.45, 1.30, 1.15, 1.10, 1.10, 1.10, 1.10],
        [1.50, 1.20, 0.94, 0.86, 0.82, 0.82, 0.82, 0.82],
        [0.72, 0.67, 0.64, 0.63, 0.62, 0.62, 0.62, 0.62],
        [0.59, 0.53, 0.51, 0.50, 0.42, 0.42, 0.42, 0.42],
        [0.40, 0.33, 0.26, 0.24, 0.22, 0.22, 0.22, 0.22],
        [0.27, 0.21, 0.20, 0.18, 0.17, 0.17, 0.17, 0.17],
        [0.16, 0.15, 0.14, 0.12, 0.11, 0.11, 0.11, 0.11],
        [0.12, 0.11, 0.10, 0.08, 0.08, 0.08, 0.08, 0.08],
        [0.09, 0.08, 0.07, 0.06, 0.06, 0.06, 0.06, 0.05],
        [0.06, 0.05, 0.03, 0.02, 0.02, 0.02, 0.02, 0.02],
    ];
}
