using System.Globalization;

namespace Hushtrial.Hearing.Loudness;

/// <summary>A loudness level in phon: the level of an equally loud 1 kHz tone, dB.</summary>
public readonly record struct Phon : IComparable<Phon>
{
    private Phon(double value) => Value = value;

    /// <summary>The loudness level in phon.</summary>
    public double Value { get; }

    /// <summary>A loudness level from its value in phon.</summary>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="value"/> is outside 0…200 phon.</exception>
    public static Phon FromValue(double value) => value is >= 0 and <= 200 ? new(value)
        : throw new ArgumentOutOfRangeException(nameof(value), value, "A loudness level lies in 0…200 phon.");

    /// <summary>The loudness: 2^((LN − 40)/10) from 40 phon on, (LN/40)^(1/0.35) − 0.0005 below, not below 0.</summary>
    public Sone ToSone() => Sone.FromValue(Value >= 40 ? Math.Pow(2, (Value - 40) / 10) : Math.Max(0, Math.Pow(Value / 40, 1 / 0.35) - 0.0005));

    /// <summary>Orders by loudness level.</summary>
    public int CompareTo(Phon other) => Value.CompareTo(other.Value);

    /// <summary>For example '70.4 phon'.</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Value:0.#} phon");
}
