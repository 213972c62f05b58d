using System.Globalization;
using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Loudness;

/// <summary>A ratio with its interval.</summary>
/// <param name="Value">Best estimate.</param>
/// <param name="Low">Lower 95 % limit.</param>
/// <param name="High">Upper 95 % limit.</param>
public readonly record struct RatioInterval(double Value, double Low, double High);

/// <summary>How loud it is under a device compared with the open ear, beside what the sound's energy does.</summary>
/// <param name="Open">Loudness of the open ear's spectrum.</param>
/// <param name="Covered">Loudness of the spectrum under the device.</param>
/// <param name="LoudnessRatio">Covered over open loudness, sone over sone: 0.5 is half as loud.</param>
/// <param name="EnergyRatio">Covered over open A-weighted energy: 3 dB are a half, 10 dB a tenth.</param>
/// <param name="LevelDropA">A-weighted level difference open minus covered.</param>
public sealed record LoudnessComparison(LoudnessResult Open, LoudnessResult Covered, RatioInterval LoudnessRatio, RatioInterval EnergyRatio, LevelDifference LevelDropA)
{
    /// <summary>Why 3 dB, 10 dB and 'half as loud' are three different things.</summary>
    /// <remarks>The 10 dB rule: common practice for tones well above threshold, no single source.</remarks>
    public const string WhyTheyDiffer = "3 dB less is half the sound energy, and doubles the time allowed under the 3 dB rules, yet it is only just "
        + "noticeable; about 10 dB less sounds half as loud (common practice). The loudness ratio here is calculated from the spectrum, "
        + "because the ear weighs the bands differently from the A-weighting.";

    /// <summary>Compares the spectra outside (open ear, referred to the field) and under the device.</summary>
    /// <param name="open">One-third-octave levels of the field, at least 25 Hz to 12.5 kHz.</param>
    /// <param name="covered">One-third-octave levels under the device, referred to the field.</param>
    /// <param name="lossHalfWidth">Half-width of the 95 % interval of the loss per band; bands without one count as exact.</param>
    /// <param name="field">The field.</param>
    /// <remarks>The limits move all bands together, as a seal does: the widest the interval can be. Loudness rises with every level, so
    /// they are the loudness of the spectra at the limits.</remarks>
    /// <exception cref="ArgumentException">A needed band is missing in one of the spectra.</exception>
    public static LoudnessComparison Between(Spectrum open, Spectrum covered, IReadOnlyDictionary<Band, LevelDifference> lossHalfWidth, SoundField field)
    {
        var quieter = covered.Minus(lossHalfWidth);
        var louder = covered.Minus(lossHalfWidth.ToDictionary(e => e.Key, e => -e.Value));
        var (reference, best) = (StationaryLoudness.Of(open, field), StationaryLoudness.Of(covered, field));
        return new(reference, best,
            new(Sones(best, reference), Sones(StationaryLoudness.Of(quieter, field), reference), Sones(StationaryLoudness.Of(louder, field), reference)),
            new(Energy(covered, open), Energy(quieter, open), Energy(louder, open)),
            open.Total(FrequencyWeighting.A) - covered.Total(FrequencyWeighting.A));
    }

    /// <summary>The comparison in one plain sentence with its interval.</summary>
    public string Sentence() => string.Create(CultureInfo.InvariantCulture,
        $"Under the device it is {LoudnessRatio.Value:0.00} times as loud as with the open ear (95 % interval {LoudnessRatio.Low:0.00} to {LoudnessRatio.High:0.00}), {Covered.Total.Value:0.0} instead of {Open.Total.Value:0.0} sone; the A-weighted level falls by {LevelDropA.Decibels:0.0} dB.");

    private static double Sones(LoudnessResult a, LoudnessResult b) => b.Total.Value > 0 ? a.Total.Value / b.Total.Value : 1;

    private static double Energy(Spectrum a, Spectrum b) => Math.Pow(10, (a.Total(FrequencyWeighting.A) - b.Total(FrequencyWeighting.A)).Decibels / 10);
}
