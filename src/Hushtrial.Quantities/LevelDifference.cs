namespace Hushtrial.Quantities;

/// <summary>A difference of two levels, dB: an insertion loss, a weighting correction, a drift. An amount, unlike a <see cref="Level"/>.</summary>
/// <remarks>Finite, −400…400 dB.</remarks>
public readonly record struct LevelDifference : IComparable<LevelDifference>
{
    private LevelDifference(double decibels) => Decibels = decibels;

    /// <summary>The difference in dB.</summary>
    public double Decibels { get; }

    /// <summary>No difference: 0 dB.</summary>
    public static LevelDifference Zero => default;

    /// <summary>A difference from its value in dB.</summary>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="value"/> is not finite or outside −400…400 dB.</exception>
    public static LevelDifference FromDecibels(double value) => value is >= -400 and <= 400 ? new(value)
        : throw new ArgumentOutOfRangeException(nameof(value), value, "A level difference must lie in −400…400 dB.");

    /// <summary>The sum of two differences.</summary>
    public static LevelDifference operator +(LevelDifference a, LevelDifference b) => FromDecibels(a.Decibels + b.Decibels);

    /// <summary>The difference of two differences.</summary>
    public static LevelDifference operator -(LevelDifference a, LevelDifference b) => FromDecibels(a.Decibels - b.Decibels);

    /// <summary>The difference with its sign turned.</summary>
    public static LevelDifference operator -(LevelDifference a) => FromDecibels(-a.Decibels);

    /// <summary>The difference times a pure number.</summary>
    public static LevelDifference operator *(LevelDifference a, double factor) => FromDecibels(a.Decibels * factor);

    /// <summary>Orders by the value in dB.</summary>
    public int CompareTo(LevelDifference other) => Decibels.CompareTo(other.Decibels);
}
