using Hushtrial.Quantities;

namespace Hushtrial.Trials.Claims;

/// <summary>The noise at the open ear that published figures are translated for. Only its shape counts, so it may be relative.</summary>
/// <param name="Bands">Mean open spectrum; null when no band was read.</param>
/// <param name="A">A-weighted level of the same noise; null when not known.</param>
/// <param name="C">C-weighted level; null when not known.</param>
public sealed record OpenNoise(Spectrum? Bands, Level? A, Level? C)
{
    /// <summary>The noise from its spectrum and, where no band was read, from the weighted levels.</summary>
    /// <param name="spectrum">Mean open spectrum, dB; may be empty.</param>
    /// <param name="a">A-weighted level, dB; null when not known.</param>
    /// <param name="c">C-weighted level, dB; null when not known.</param>
    public static OpenNoise Of(IReadOnlyDictionary<Band, double> spectrum, double? a, double? c)
    {
        // Readings may mix octaves and one-third octaves: the finer ones count where there are any.
        var fraction = spectrum.Keys.Any(b => b.Fraction == BandFraction.ThirdOctave) ? BandFraction.ThirdOctave : BandFraction.Octave;
        var bands = spectrum.Where(b => b.Key.Fraction == fraction).Select(b => KeyValuePair.Create(b.Key, Level.FromDecibels(b.Value))).ToList();
        var noise = bands.Count > 0 ? Spectrum.Of(bands) : null;
        // A few bands are no spectrum: their totals would not be those of the noise.
        var whole = noise is not null && noise.Bands.Min().NominalHertz <= 80 && noise.Bands.Max().NominalHertz >= 4000;
        return new(noise, whole ? noise!.Total(FrequencyWeighting.A) : Known(a), whole ? noise!.Total(FrequencyWeighting.C) : Known(c));
    }

    private static Level? Known(double? level) => level is { } l ? Level.FromDecibels(l) : null;
}
