namespace Hushtrial.Quantities;

/// <summary>A frequency in Hz, above 0 and at most 1 MHz.</summary>
public readonly record struct Frequency : IComparable<Frequency>
{
    private Frequency(double hertz) => Hertz = hertz;

    /// <summary>The frequency in Hz.</summary>
    public double Hertz { get; }

    /// <summary>A frequency from its value in Hz.</summary>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="value"/> is not above 0 and at most 1 000 000 Hz.</exception>
    public static Frequency FromHertz(double value) => value is > 0 and <= 1e6 ? new(value)
        : throw new ArgumentOutOfRangeException(nameof(value), value, "A frequency must lie above 0 and at most at 1 MHz.");

    /// <summary>Orders by the value in Hz.</summary>
    public int CompareTo(Frequency other) => Hertz.CompareTo(other.Hertz);

    /// <summary>Whether one frequency is below another.</summary>
    public static bool operator <(Frequency a, Frequency b) => a.Hertz < b.Hertz;

    /// <summary>Whether one frequency is above another.</summary>
    public static bool operator >(Frequency a, Frequency b) => a.Hertz > b.Hertz;
}
