using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Claims;

/// <summary>Which measured value speaks for a claim at one frequency.</summary>
public enum PointSource
{
    /// <summary>The one-third-octave band that holds the frequency.</summary>
    Band,

    /// <summary>The band, whose energy is a tone: the value holds at the tone's frequency.</summary>
    BandAtTone,

    /// <summary>The noise within a twelfth of an octave either side, tones left out.</summary>
    NarrowBand,

    /// <summary>The noise has a tone elsewhere in the band: not measured at the claimed frequency.</summary>
    NotMeasured,
}

/// <summary>What is known of the band that holds the claimed frequency.</summary>
/// <param name="Claimed">The claimed frequency.</param>
/// <param name="Centroid">Energy centroid of the band in the open reading.</param>
/// <param name="Tone">Frequency of the strongest tone in the band; null without.</param>
/// <param name="ToneExcess">Band level minus level without the tone's bins; 0 without a tone.</param>
/// <param name="SlopePerOctave">Change of the loss per octave, from the neighbouring bands.</param>
public sealed record PointEvidence(Frequency Claimed, Frequency Centroid, Frequency? Tone, LevelDifference ToneExcess, LevelDifference SlopePerOctave);

/// <summary>The choice.</summary>
/// <param name="Source">Which value to take.</param>
/// <param name="At">The frequency it holds at.</param>
/// <param name="AddedUncertainty">Standard uncertainty to add, for the distance between that and the claimed frequency.</param>
public sealed record PointChoice(PointSource Source, Frequency At, LevelDifference AddedUncertainty);

/// <summary>Chooses the measured value for 'q dB at f'.</summary>
/// <remarks>Own rule: the band when the loss changes by less than 1 dB over it or f lies within 1/24 octave of the energy centroid; with a tone of 10 dB excess or
/// more the band is the loss at the tone; otherwise a narrow band without tones.</remarks>
public static class PointOfClaim
{
    private const double BandOctaves = 1 / 3.0;

    /// <summary>The choice for one claim.</summary>
    public static PointChoice Choose(PointEvidence evidence)
    {
        var slope = Math.Abs(evidence.SlopePerOctave.Decibels);
        if (evidence.Tone is { } tone && evidence.ToneExcess.Decibels >= 10)
        {
            var distance = Octaves(evidence.Claimed, tone);
            return new(distance > 1 / 12.0 ? PointSource.NotMeasured : PointSource.BandAtTone, tone, LevelDifference.FromDecibels(slope * distance));
        }

        return slope * BandOctaves < 1 || Octaves(evidence.Claimed, evidence.Centroid) <= 1 / 24.0
            ? new(PointSource.Band, evidence.Claimed, LevelDifference.Zero)
            : new(PointSource.NarrowBand, evidence.Claimed, LevelDifference.Zero);
    }

    private static double Octaves(Frequency a, Frequency b) => Math.Abs(Math.Log2(a.Hertz / b.Hertz));
}
