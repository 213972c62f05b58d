using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Ratings;

/// <summary>Predicted A-weighted levels under a protector by the methods of ISO 4869-2 and by the labelled single numbers.</summary>
/// <remarks>These are values for a share of wearers, not for one person: see <see cref="WearerPrediction"/>.</remarks>
public static class EarLevelPrediction
{
    /// <summary>Difference below which two predictions mean the same.</summary>
    /// <remarks>Source: ISO 4869-2:2018, introduction: differences of 3 dB or less between comparable protectors are insignificant.</remarks>
    public static LevelDifference Insignificant { get; } = LevelDifference.FromDecibels(3);

    /// <summary>Octave-band method: 10 lg Σ 10^(0.1 (Lp + A − APV)) from 63 Hz, when noise and protector both have it, or 125 Hz to 8 kHz.</summary>
    /// <param name="noise">Octaves, or one-third octaves that are summed to octaves.</param>
    /// <param name="published">The protector.</param>
    /// <param name="performance">The share of wearers.</param>
    /// <remarks>Source: ISO 4869-2:2018, formula (2).</remarks>
    /// <exception cref="ArgumentException">The noise lacks an octave from 125 Hz to 8 kHz.</exception>
    public static Level ByOctaves(Spectrum noise, PublishedAttenuation published, ProtectionPerformance performance)
    {
        var octaves = noise.ToOctaves();
        var protection = published.AssumedProtection(performance);
        var bands = PublishedAttenuation.RatingBands.Prepend(PublishedAttenuation.LowBand).Where(b => b != PublishedAttenuation.LowBand || (octaves[b] is not null && protection.ContainsKey(b)));
        return Level.EnergySum([.. bands.Select(b => (octaves[b] ?? throw new ArgumentException($"The noise lacks the octave at {b}.", nameof(noise)))
            + TabulatedWeighting.At(FrequencyWeighting.A, b) - protection[b])]);
    }

    /// <summary>Predicted noise level reduction from H, M and L and the noise's C − A.</summary>
    /// <remarks>Source: ISO 4869-2:2018, formulas (16) and (17). Give rounded ratings for the standard's result.</remarks>
    public static LevelDifference ReductionByHml(Level levelC, Level levelA, SingleNumberRatings ratings)
    {
        var d = (levelC - levelA).Decibels - 2;
        return d <= 0
            ? ratings.Medium - ((ratings.High - ratings.Medium) * (d / 4))
            : ratings.Medium - ((ratings.Medium - ratings.Low) * (d / 8));
    }

    /// <summary>HML method: L'A = LA − PNR.</summary>
    /// <inheritdoc cref="ReductionByHml"/>
    public static Level ByHml(Level levelC, Level levelA, SingleNumberRatings ratings) => levelA - ReductionByHml(levelC, levelA, ratings);

    /// <summary>SNR method: L'A = LC − SNR (ISO 4869-2:2018, 8.3).</summary>
    public static Level BySnr(Level levelC, LevelDifference snr) => levelC - snr;

    /// <summary>NRR with the C-weighted level: L'A = LC − NRR (29 CFR 1910.95, appendix B).</summary>
    public static Level ByNrr(Level levelC, LevelDifference nrr) => levelC - nrr;

    /// <summary>NRR with the A-weighted level alone: L'A = LA − (NRR − 7) (29 CFR 1910.95, appendix B); 7 dB stand for the unknown C − A.</summary>
    public static Level ByNrrFromA(Level levelA, LevelDifference nrr) => levelA - (nrr - LevelDifference.FromDecibels(7));
}
