namespace Hushtrial.Quantities;

/// <summary>A sound pressure level in dB: a point on a scale, like a date; not an amount.</summary>
/// <remarks>The reference is 20 µPa, or full scale where the container says that nothing was calibrated. Finite, −300…300 dB:
/// digital silence has no level and is <c>null</c>. <c>default</c> is 0 dB, not "missing": use <c>Level?</c>.
/// Two levels cannot be added; sources are summed with <see cref="EnergySum"/>.</remarks>
public readonly record struct Level : IComparable<Level>
{
    private Level(double decibels) => Decibels = decibels;

    /// <summary>The level in dB.</summary>
    public double Decibels { get; }

    /// <summary>A level from its value in dB.</summary>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="value"/> is not finite or outside −300…300 dB.</exception>
    public static Level FromDecibels(double value) => value is >= -300 and <= 300 ? new(value)
        : throw new ArgumentOutOfRangeException(nameof(value), value, "A level must lie in −300…300 dB.");

    /// <summary>The level of a mean square, 10 lg of its ratio to the square of the reference; <c>null</c> for a mean square of zero.</summary>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="ratio"/> is negative or not finite.</exception>
    public static Level? FromMeanSquareRatio(double ratio) => ratio switch
    {
        0 => null,
        > 0 and <= 1e30 => FromDecibels(10 * Math.Log10(Math.Max(ratio, 1e-30))),
        _ => throw new ArgumentOutOfRangeException(nameof(ratio), ratio, "A mean square must be finite and not negative."),
    };

    /// <summary>The mean square as a ratio to the square of the reference.</summary>
    public double MeanSquareRatio => Math.Pow(10, Decibels / 10);

    /// <summary>From one level to another.</summary>
    public static LevelDifference operator -(Level a, Level b) => LevelDifference.FromDecibels(a.Decibels - b.Decibels);

    /// <summary>A level moved up.</summary>
    public static Level operator +(Level a, LevelDifference d) => FromDecibels(a.Decibels + d.Decibels);

    /// <summary>A level moved down.</summary>
    public static Level operator -(Level a, LevelDifference d) => FromDecibels(a.Decibels - d.Decibels);

    /// <summary>The level of several incoherent sources together, 10 lg Σ 10^(L/10).</summary>
    /// <exception cref="ArgumentException"><paramref name="parts"/> is empty.</exception>
    public static Level EnergySum(IReadOnlyCollection<Level> parts) => parts.Count > 0
        ? FromDecibels(10 * Math.Log10(parts.Sum(p => p.MeanSquareRatio)))
        : throw new ArgumentException("A sum of no sources has no level.", nameof(parts));

    /// <summary>The level of the mean energy of several equally long readings, 10 lg (1/n Σ 10^(L/10)).</summary>
    /// <exception cref="ArgumentException"><paramref name="readings"/> is empty.</exception>
    public static Level EnergyMean(IReadOnlyCollection<Level> readings) => readings.Count > 0
        ? FromDecibels(10 * Math.Log10(readings.Average(p => p.MeanSquareRatio)))
        : throw new ArgumentException("A mean of no readings has no level.", nameof(readings));

    /// <summary>Orders by the value in dB.</summary>
    public int CompareTo(Level other) => Decibels.CompareTo(other.Decibels);
}
