using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Ratings;

/// <summary>One octave of the calculation of the NRR.</summary>
/// <param name="Band">The octave.</param>
/// <param name="Attenuation">Step 6: mean attenuation; at 4 and 8 kHz the mean of two test bands.</param>
/// <param name="TwoDeviations">Step 7: two standard deviations; at 4 and 8 kHz the sum of two.</param>
/// <param name="UnprotectedC">Step 3.</param>
/// <param name="UnprotectedA">Step 5.</param>
/// <param name="ProtectedA">Step 8.</param>
public sealed record NrrBand(Band Band, LevelDifference Attenuation, LevelDifference TwoDeviations, Level UnprotectedC, Level UnprotectedA, Level ProtectedA);

/// <summary>The noise reduction rating of the US labelling rule.</summary>
/// <param name="Value">Unrounded.</param>
/// <param name="TotalC">Step 3: unprotected C-weighted level.</param>
/// <param name="TotalA">Step 8: protected A-weighted level.</param>
/// <param name="Bands">The octaves.</param>
/// <param name="FromOctavesOnly">True when the test bands at 3.15 and 6.3 kHz were not given: near to, not exactly, the rule.</param>
/// <remarks>Source: 40 CFR 211.207, steps 1 to 9.</remarks>
public sealed record NoiseReductionRating(LevelDifference Value, Level TotalC, Level TotalA, IReadOnlyList<NrrBand> Bands, bool FromOctavesOnly)
{
    /// <summary>Step 7: what is taken off the means, in standard deviations. The rule knows no other share of wearers.</summary>
    public const int StandardDeviationsTakenOff = 2;

    /// <summary>As labelled: whole decibels.</summary>
    public LevelDifference Rounded => LevelDifference.FromDecibels(Math.Round(Value.Decibels, MidpointRounding.AwayFromZero));

    /// <summary>The rating from the nine test bands (one-third octaves at 125, 250, 500, 1000, 2000, 3150, 4000, 6300 and 8000 Hz).</summary>
    /// <exception cref="ArgumentException">A test band is missing.</exception>
    public static NoiseReductionRating Of(IReadOnlyDictionary<Band, BandAttenuation> testBands)
    {
        var octaves = new double[] { 125, 250, 500, 1000, 2000 }.Select(f => (Octave(f), At(f).Mean, At(f).StandardDeviation * StandardDeviationsTakenOff))
            .Append((Octave(4000), (At(3150).Mean + At(4000).Mean) * 0.5, At(3150).StandardDeviation + At(4000).StandardDeviation))
            .Append((Octave(8000), (At(6300).Mean + At(8000).Mean) * 0.5, At(6300).StandardDeviation + At(8000).StandardDeviation));
        return Of([.. octaves], fromOctavesOnly: false);

        BandAttenuation At(double hertz) => testBands.TryGetValue(Band.FromNominal(BandFraction.ThirdOctave, hertz)!.Value, out var value) ? value
            : throw new ArgumentException(FormattableString.Invariant($"The test band at {hertz} Hz is missing."), nameof(testBands));
    }

    /// <summary>The rating from octaves alone, with 4 and 8 kHz standing for the pairs of test bands.</summary>
    public static NoiseReductionRating Of(PublishedAttenuation octaves) =>
        Of([.. PublishedAttenuation.RatingBands.Select(b => (b, octaves[b]!.Value.Mean, octaves[b]!.Value.StandardDeviation * StandardDeviationsTakenOff))], fromOctavesOnly: true);

    private static NoiseReductionRating Of(IReadOnlyList<(Band Band, LevelDifference Mean, LevelDifference TwoDeviations)> octaves, bool fromOctavesOnly)
    {
        var pink = Level.FromDecibels(100);
        var spectrumAllowance = LevelDifference.FromDecibels(3);
        NrrBand[] bands = [.. octaves.Select(o =>
        {
            var a = pink + TabulatedWeighting.At(FrequencyWeighting.A, o.Band);
            return new NrrBand(o.Band, o.Mean, o.TwoDeviations, pink + TabulatedWeighting.At(FrequencyWeighting.C, o.Band), a, a - o.Mean + o.TwoDeviations);
        })];
        var (c, protectedA) = (Level.EnergySum([.. bands.Select(b => b.UnprotectedC)]), Level.EnergySum([.. bands.Select(b => b.ProtectedA)]));
        return new(c - protectedA - spectrumAllowance, c, protectedA, bands, fromOctavesOnly);
    }

    private static Band Octave(double hertz) => Band.FromNominal(BandFraction.Octave, hertz)!.Value;
}
