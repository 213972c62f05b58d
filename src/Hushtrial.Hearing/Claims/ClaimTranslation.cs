using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Claims;

/// <summary>What 'q dB at f' can mean in one noise, for one weighting.</summary>
/// <param name="Weighting">A or C.</param>
/// <param name="Floor">What is sure when nothing but this band is reduced.</param>
/// <param name="Ceiling">The most it can be when no band does better.</param>
/// <param name="ShareOfBand">Share of the weighted energy in the band, 0…1.</param>
public sealed record ClaimRange(FrequencyWeighting Weighting, LevelDifference Floor, LevelDifference Ceiling, double ShareOfBand);

/// <summary>Turns 'q dB at f' into what can be gained in this noise.</summary>
/// <remarks>Floor: −10 lg(1 − w (1 − 10^(−q/10))), with the band's share w of the weighted energy. Ceiling: q itself, if q is the largest value at any frequency.</remarks>
public static class ClaimTranslation
{
    /// <summary>A claim on the whole device.</summary>
    /// <param name="noise">The noise, octaves or one-third octaves; the claim is taken for the whole band that holds f.</param>
    /// <param name="claimed">q.</param>
    /// <param name="at">f.</param>
    /// <param name="weighting">A or C.</param>
    /// <exception cref="ArgumentException">No band of the noise holds f.</exception>
    public static ClaimRange Of(Spectrum noise, LevelDifference claimed, Frequency at, FrequencyWeighting weighting)
    {
        var share = Share(noise, BandOf(noise, at), weighting);
        return new(weighting, LevelDifference.FromDecibels(-10 * Math.Log10(1 - (share * (1 - Math.Pow(10, -claimed.Decibels / 10))))), claimed, share);
    }

    /// <summary>A claim on the active part of a device: on top of its passive loss, and nowhere above a frequency.</summary>
    /// <param name="noise">The noise outside.</param>
    /// <param name="passive">Passive loss per band; a band without one is not reduced.</param>
    /// <param name="claimed">q of the active part.</param>
    /// <param name="at">f.</param>
    /// <param name="upTo">Highest frequency at which electronics can act; 1 kHz at most in cups (common practice).</param>
    /// <param name="weighting">A or C.</param>
    /// <exception cref="ArgumentException">No band of the noise holds f.</exception>
    public static ClaimRange OfActivePart(Spectrum noise, IReadOnlyDictionary<Band, LevelDifference> passive, LevelDifference claimed, Frequency at, Frequency upTo, FrequencyWeighting weighting)
    {
        var left = noise.Minus(passive);
        // Nominal midbands: 'up to 500 Hz' includes the band named 500 Hz, whose exact midband is 501.2 Hz.
        var gain = left.Bands.Where(b => b.NominalHertz <= upTo.Hertz).ToDictionary(b => b, _ => claimed);
        return Of(left, claimed, at, weighting) with { Ceiling = Reduction(left, gain, weighting) };
    }

    /// <summary>The weighted reduction that a loss per band gives in a noise.</summary>
    public static LevelDifference Reduction(Spectrum noise, IReadOnlyDictionary<Band, LevelDifference> loss, FrequencyWeighting weighting) =>
        noise.Total(weighting) - noise.Minus(loss).Total(weighting);

    /// <summary>The translation in one plain sentence.</summary>
    public static string Sentence(LevelDifference claimed, Frequency at, ClaimRange range) => FormattableString.Invariant(
        $"'{claimed.Decibels:0.#} dB at {at.Hertz:0.#} Hz' can mean {range.Floor.Decibels:0.0} to {range.Ceiling.Decibels:0.0} dB({range.Weighting}) in this noise, where that band holds {100 * range.ShareOfBand:0.#} % of the {range.Weighting}-weighted energy.");

    private static Band BandOf(Spectrum noise, Frequency at) => noise.Bands.Where(b => at.Hertz >= b.LowerEdge.Hertz && at.Hertz < b.UpperEdge.Hertz).Select(b => (Band?)b).FirstOrDefault()
        ?? throw new ArgumentException(FormattableString.Invariant($"The noise has no band that holds {at.Hertz} Hz."), nameof(noise));

    private static double Share(Spectrum noise, Band band, FrequencyWeighting weighting) =>
        Math.Pow(10, (noise[band]!.Value + Weightings.At(weighting, band.ExactMidband) - noise.Total(weighting)).Decibels / 10);
}
