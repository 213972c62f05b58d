namespace Hushtrial.Quantities;

/// <summary>Frequency weighting of IEC 61672-1.</summary>
public enum FrequencyWeighting
{
    /// <summary>A weighting.</summary>
    A,

    /// <summary>C weighting.</summary>
    C,

    /// <summary>Zero weighting: flat.</summary>
    Z,
}

/// <summary>Exponential time weighting of IEC 61672-1.</summary>
public enum TimeWeighting
{
    /// <summary>F, time constant 125 ms.</summary>
    Fast,

    /// <summary>S, time constant 1 s.</summary>
    Slow,
}

/// <summary>The frequency weightings as functions of frequency.</summary>
/// <remarks>Source: IEC 61672-1:2013, Annex E, formulas (E.1) to (E.7), with the design-goal poles. Normalised by the computed, not
/// the rounded, gain at 1 kHz: with the rounded one (−2.000 dB) the 160 Hz entry of Table 3 rounds to −13.3 instead of −13.4 dB.</remarks>
public static class Weightings
{
    /// <summary>Pole f1 of the C weighting (double), Hz.</summary>
    public const double LowPole = 20.598997;

    /// <summary>Pole f2 of the A weighting, Hz.</summary>
    public const double FirstAPole = 107.65265;

    /// <summary>Pole f3 of the A weighting, Hz.</summary>
    public const double SecondAPole = 737.86223;

    /// <summary>Pole f4 of the C weighting (double), Hz.</summary>
    public const double HighPole = 12194.217;

    /// <summary>The weighting at one frequency, as the difference to add to an unweighted level of that frequency.</summary>
    /// <param name="weighting">A, C or Z.</param>
    /// <param name="frequency">For a band the exact midband; a nominal one (160 instead of 158.49 Hz) is up to 0.28 dB off.</param>
    /// <returns>dB; exactly 0 at 1 kHz.</returns>
    public static LevelDifference At(FrequencyWeighting weighting, Frequency frequency) => weighting switch
    {
        FrequencyWeighting.A => LevelDifference.FromDecibels(20 * Math.Log10(GainA(frequency.Hertz) / GainA(1000))),
        FrequencyWeighting.C => LevelDifference.FromDecibels(20 * Math.Log10(GainC(frequency.Hertz) / GainC(1000))),
        FrequencyWeighting.Z => LevelDifference.Zero,
        _ => throw new ArgumentOutOfRangeException(nameof(weighting), weighting, "The weightings are A, C and Z."),
    };

    private static double GainC(double f)
    {
        var f2 = f * f;
        return f2 * Square(HighPole) / ((f2 + Square(LowPole)) * (f2 + Square(HighPole)));
    }

    private static double GainA(double f) => GainC(f) * f * f / Math.Sqrt(((f * f) + Square(FirstAPole)) * ((f * f) + Square(SecondAPole)));

    private static double Square(double x) => x * x;
}
