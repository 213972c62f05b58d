using System.Globalization;

namespace Hushtrial.Hearing.Loudness;

/// <summary>A loudness in sone: 1 sone is as loud as a 1 kHz tone of 40 dB, 2 sone twice as loud.</summary>
public readonly record struct Sone : IComparable<Sone>
{
    private Sone(double value) => Value = value;

    /// <summary>The loudness in sone, 0 or more.</summary>
    public double Value { get; }

    /// <summary>A loudness from its value in sone.</summary>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="value"/> is negative or not finite.</exception>
    public static Sone FromValue(double value) => value is >= 0 and <= 1e6 ? new(value)
        : throw new ArgumentOutOfRangeException(nameof(value), value, "A loudness lies in 0…1 000 000 sone.");

    /// <summary>The loudness level: 40 + 10 lg(N)/lg 2 from 1 sone on, 40 (N + 0.0005)^0.35 below, at least 3 phon.</summary>
    /// <remarks>Source: ISO 532-1:2017, 5.7 (relation of loudness and loudness level).</remarks>
    public Phon ToPhon() => Phon.FromValue(Value >= 1 ? 40 + (10 * Math.Log2(Value)) : Math.Max(3, 40 * Math.Pow(Value + 0.0005, 0.35)));

    /// <summary>Orders by loudness.</summary>
    public int CompareTo(Sone other) => Value.CompareTo(other.Value);

    /// <summary>For example '8.2 sone'.</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Value:0.##} sone");
}
