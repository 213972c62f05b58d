using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Ratings;

/// <summary>One person's levels at both ears under an active earmuff, one-third octaves.</summary>
/// <param name="PassiveLeft">Left ear, electronics off.</param>
/// <param name="PassiveRight">Right ear, electronics off.</param>
/// <param name="ActiveLeft">Left ear, electronics on.</param>
/// <param name="ActiveRight">Right ear, electronics on.</param>
public sealed record ActiveEarLevels(Spectrum PassiveLeft, Spectrum PassiveRight, Spectrum ActiveLeft, Spectrum ActiveRight);

/// <summary>Total attenuation of an active earmuff: the active part by microphones added to the passive part by threshold.</summary>
/// <remarks>Source: ISO 4869-6:2019, 5.5. For steady noise only. The standard rounds its steps to 0.1 dB, as <see cref="TotalByOctave"/> can.</remarks>
public static class ActiveEarmuff
{
    /// <summary>Active insertion loss per one-third octave: passive minus active level, at the ear where it is lower.</summary>
    /// <exception cref="ArgumentException">A spectrum is not in one-third octaves, or lacks a band of the first.</exception>
    public static IReadOnlyDictionary<Band, LevelDifference> ActivePart(ActiveEarLevels person)
    {
        if (person.PassiveLeft.Fraction != BandFraction.ThirdOctave) throw new ArgumentException("One-third octaves are needed.", nameof(person));
        return person.PassiveLeft.Bands.ToDictionary(b => b, b =>
        {
            var left = At(person.PassiveLeft, b) - At(person.ActiveLeft, b);
            var right = At(person.PassiveRight, b) - At(person.ActiveRight, b);
            return left.CompareTo(right) <= 0 ? left : right;
        });

        Level At(Spectrum spectrum, Band band) => spectrum[band] ?? throw new ArgumentException($"A spectrum lacks the band at {band}.", nameof(person));
    }

    /// <summary>Passive attenuation at one-third octaves, interpolated linearly over nominal frequency in Hz; the outermost lines go on beyond the ends.</summary>
    /// <exception cref="ArgumentException">Fewer than two octaves.</exception>
    public static IReadOnlyDictionary<Band, LevelDifference> PassiveAtThirds(IReadOnlyDictionary<Band, LevelDifference> passiveOctaves, IEnumerable<Band> thirds)
    {
        var known = passiveOctaves.OrderBy(e => e.Key).Select(e => (Hertz: e.Key.NominalHertz, Value: e.Value.Decibels)).ToArray();
        if (known.Length < 2) throw new ArgumentException("Two octaves are needed to interpolate.", nameof(passiveOctaves));
        return thirds.ToDictionary(b => b, b =>
        {
            var i = Math.Clamp(Array.FindIndex(known, k => k.Hertz >= b.NominalHertz) is var at && at < 0 ? known.Length - 1 : at, 1, known.Length - 1);
            var (low, high) = (known[i - 1], known[i]);
            return LevelDifference.FromDecibels(low.Value + ((high.Value - low.Value) * (b.NominalHertz - low.Hertz) / (high.Hertz - low.Hertz)));
        });
    }

    /// <summary>Total attenuation by octave: −10 lg of the mean of 10^(−0.1 A) over the octave's one-third octaves.</summary>
    /// <param name="person">Levels at the ears.</param>
    /// <param name="passiveOctaves">The same person's passive attenuation by threshold.</param>
    /// <param name="decimals">Decimals each step is rounded to, 1 as in the standard's workbook; null for none.</param>
    /// <returns>The octaves of which all three one-third octaves were measured.</returns>
    public static IReadOnlyDictionary<Band, LevelDifference> TotalByOctave(ActiveEarLevels person, IReadOnlyDictionary<Band, LevelDifference> passiveOctaves, int? decimals)
    {
        var active = ActivePart(person);
        var passive = PassiveAtThirds(passiveOctaves, active.Keys);
        var total = active.ToDictionary(e => e.Key, e => Rounded(e.Value.Decibels) + Rounded(passive[e.Key].Decibels));
        return Band.Octaves.Where(o => o.Thirds.All(total.ContainsKey)).ToDictionary(o => o,
            o => LevelDifference.FromDecibels(Rounded(-10 * Math.Log10(o.Thirds.Average(t => Math.Pow(10, -0.1 * total[t]))))));

        double Rounded(double value) => decimals is { } d ? Math.Round(value, d, MidpointRounding.AwayFromZero) : value;
    }
}
