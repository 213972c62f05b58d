using Hushtrial.Quantities;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Pairing;

/// <summary>What a channel's own noise did to one band of one take.</summary>
public enum OwnNoiseEffect
{
    /// <summary>At least 15 dB below the reading: nothing to do.</summary>
    None,

    /// <summary>3 to 15 dB below: taken off, with an uncertainty.</summary>
    Corrected,

    /// <summary>Less than 3 dB below: the reading is an upper bound of the sound.</summary>
    Reached,
}

/// <summary>Taking a microphone's own noise off a reading.</summary>
/// <remarks>Rule: 15 dB and more no correction; 3 to 15 dB the energy of the noise is taken off; below 3 dB only a bound remains. Informed
/// by the background rules of ISO 3744 and ISO 10140-4 (6 and 15 dB), extended down to 3 dB with its uncertainty.</remarks>
public static class OwnNoise
{
    /// <summary>Standard uncertainty of the level of the own noise, dB (common practice, no source).</summary>
    public const double LevelUncertainty = 0.5;

    /// <summary>A reading freed of the own noise.</summary>
    /// <param name="reading">Level read, dB.</param>
    /// <param name="noise">Level of the own noise, dB.</param>
    /// <returns>The corrected level (the reading itself where nothing can be taken off), what was done, and the standard uncertainty that it leaves, dB.</returns>
    public static (double Level, OwnNoiseEffect Effect, double Uncertainty) TakeOff(double reading, double noise)
    {
        var ratio = Math.Pow(10, -(reading - noise) / 10);
        return (reading - noise) switch
        {
            >= 15 => (reading, OwnNoiseEffect.None, 0),
            >= 3 => (reading + (10 * Math.Log10(1 - ratio)), OwnNoiseEffect.Corrected, ratio / (1 - ratio) * LevelUncertainty),
            _ => (reading, OwnNoiseEffect.Reached, LevelUncertainty),
        };
    }

    /// <summary>A channel's levels freed of its own noise; the A- and C-weighted levels lose the energy of the noise when it is at least 3 dB below.</summary>
    public static CorrectedLevels TakeOff(ChannelLevels read, ChannelLevels? noise)
    {
        if (noise is null)
            return new(read, new Dictionary<Band, OwnNoiseEffect>(), new Dictionary<Band, double>());
        var bands = new Dictionary<Band, double>();
        var effects = new Dictionary<Band, OwnNoiseEffect>();
        var uncertainties = new Dictionary<Band, double>();
        foreach (var (band, level) in read.Bands)
        {
            if (!noise.Bands.TryGetValue(band, out var floor)) { bands[band] = level; continue; }
            (bands[band], effects[band], uncertainties[band]) = TakeOff(level, floor);
        }
        return new(read with { A = Total(read.A, noise.A), C = Total(read.C, noise.C), Bands = bands }, effects, uncertainties);
    }

    private static double? Total(double? reading, double? noise) => reading is { } r && noise is { } n ? TakeOff(r, n).Level : reading;
}

/// <summary>Levels after the own noise was taken off.</summary>
/// <param name="Levels">The levels.</param>
/// <param name="Effects">What was done per band; a band without an entry had no known noise.</param>
/// <param name="Uncertainties">Standard uncertainty left per band, dB.</param>
public sealed record CorrectedLevels(ChannelLevels Levels, IReadOnlyDictionary<Band, OwnNoiseEffect> Effects, IReadOnlyDictionary<Band, double> Uncertainties);
