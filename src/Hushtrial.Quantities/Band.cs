using System.Globalization;

namespace Hushtrial.Quantities;

/// <summary>The width of a fractional-octave band: the number of bands in one octave ratio of 10^(3/10).</summary>
public enum BandFraction
{
    /// <summary>One band per octave.</summary>
    Octave = 1,

    /// <summary>Three bands per octave.</summary>
    ThirdOctave = 3,
}

/// <summary>A fractional-octave band of the base-ten system.</summary>
/// <remarks>Source: IEC 61260-1:2014, 5.2 to 5.6: octave ratio G = 10^(3/10), exact midband 1000·G^(index/b) Hz for odd b,
/// edges at midband·G^(±1/(2b)). Index 0 is the band at 1 kHz; one-third octaves 20 Hz…20 kHz have the indices −17…13,
/// octaves 31.5 Hz…16 kHz −5…4.</remarks>
public readonly record struct Band : IComparable<Band>
{
    private static readonly double[] _nominalMantissas = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8];

    private Band(BandFraction fraction, int index) => (Fraction, Index) = (fraction, index);

    /// <summary>Octave or one-third octave.</summary>
    public BandFraction Fraction { get; }

    /// <summary>Number of bands from the one at 1 kHz.</summary>
    public int Index { get; }

    /// <summary>A one-third-octave band by its distance from the 1 kHz band, −20 (10 Hz) to 16 (40 kHz).</summary>
    /// <exception cref="ArgumentOutOfRangeException">The index is outside −20…16.</exception>
    public static Band ThirdOctave(int index) => index is >= -20 and <= 16 ? new(BandFraction.ThirdOctave, index)
        : throw new ArgumentOutOfRangeException(nameof(index), index, "One-third-octave bands run from −20 (10 Hz) to 16 (40 kHz).");

    /// <summary>An octave band by its distance from the 1 kHz band, −6 (16 Hz) to 5 (31.5 kHz).</summary>
    /// <exception cref="ArgumentOutOfRangeException">The index is outside −6…5.</exception>
    public static Band Octave(int index) => index is >= -6 and <= 5 ? new(BandFraction.Octave, index)
        : throw new ArgumentOutOfRangeException(nameof(index), index, "Octave bands run from −6 (16 Hz) to 5 (31.5 kHz).");

    /// <summary>The 31 one-third-octave bands from 20 Hz to 20 kHz.</summary>
    public static IReadOnlyList<Band> ThirdOctaves { get; } = List(BandFraction.ThirdOctave, -17, 31);

    /// <summary>The 10 octave bands from 31.5 Hz to 16 kHz.</summary>
    public static IReadOnlyList<Band> Octaves { get; } = List(BandFraction.Octave, -5, 10);

    private static Band[] List(BandFraction fraction, int first, int count)
    {
        // A loop: every program that measures anything begins here, and pays for each generic method over Band at its start.
        var bands = new Band[count];
        for (var i = 0; i < count; i++) bands[i] = new(fraction, first + i);
        return bands;
    }

    /// <summary>The band with this nominal midband frequency, or null.</summary>
    public static Band? FromNominal(BandFraction fraction, double nominalHertz)
    {
        if (!(nominalHertz > 0)) return null;
        var b = (int)fraction;
        var index = (int)Math.Round(b * Math.Log10(nominalHertz / 1000) / 0.3);
        if (fraction == BandFraction.ThirdOctave ? index is < -20 or > 16 : index is < -6 or > 5) return null;
        var band = new Band(fraction, index);
        return Math.Abs(band.NominalHertz / nominalHertz - 1) < 0.005 || Math.Abs(band.ExactMidband.Hertz / nominalHertz - 1) < 0.001
            ? band : null;
    }

    /// <summary>Exact midband frequency, 1000·10^(0.3·index/b) Hz.</summary>
    public Frequency ExactMidband => Frequency.FromHertz(1000 * Math.Pow(10, 0.3 * Index / (int)Fraction));

    /// <summary>Lower band-edge frequency.</summary>
    public Frequency LowerEdge => Frequency.FromHertz(ExactMidband.Hertz * Math.Pow(10, -0.15 / (int)Fraction));

    /// <summary>Upper band-edge frequency.</summary>
    public Frequency UpperEdge => Frequency.FromHertz(ExactMidband.Hertz * Math.Pow(10, 0.15 / (int)Fraction));

    /// <summary>The printed (preferred) midband frequency in Hz, as in ISO 266.</summary>
    public double NominalHertz
    {
        get
        {
            var thirds = Index * (3 / (int)Fraction);
            var decade = (int)Math.Floor(thirds / 10.0);
            return Math.Round(_nominalMantissas[thirds - (10 * decade)] * Math.Pow(10, decade + 3), 2);
        }
    }

    /// <summary>The one-third-octave bands that make up this octave, or the band itself.</summary>
    public IEnumerable<Band> Thirds => Fraction == BandFraction.ThirdOctave
        ? [this]
        : new[] { (3 * Index) - 1, 3 * Index, (3 * Index) + 1 }.Select(ThirdOctave);

    /// <summary>The printed frequency with its unit, for example '31.5 Hz' or '1.25 kHz'.</summary>
    public override string ToString() => NominalHertz < 1000
        ? string.Create(CultureInfo.InvariantCulture, $"{NominalHertz} Hz")
        : string.Create(CultureInfo.InvariantCulture, $"{NominalHertz / 1000} kHz");

    /// <summary>Orders by midband frequency.</summary>
    public int CompareTo(Band other) => ExactMidband.CompareTo(other.ExactMidband);
}
