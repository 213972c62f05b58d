using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Speech;

/// <summary>Band levels of the standard speech spectra.</summary>
public static class SpeechSpectrum
{
    /// <summary>The standard spectrum at 1 m, as band levels.</summary>
    /// <param name="fraction">One-third octaves 160 Hz to 8 kHz, or octaves 250 Hz to 8 kHz.</param>
    /// <param name="effort">Vocal effort.</param>
    /// <remarks>Source: ANSI S3.5-1997, Tables 3 and 4: spectrum level plus 10 lg of the bandwidth, (2^(1/6) − 2^(−1/6))·f or f/√2.</remarks>
    public static Spectrum Standard(BandFraction fraction, VocalEffort effort)
    {
        var table = SpeechTable.Of(fraction == BandFraction.Octave ? SpeechProcedure.Octave : SpeechProcedure.ThirdOctave);
        return Spectrum.Of(table.Hertz.Select((f, i) => KeyValuePair.Create(Band.FromNominal(fraction, f)!.Value, Level.FromDecibels(
            table.Speech[(int)effort][i] + (10 * Math.Log10(f * (fraction == BandFraction.Octave ? Math.Sqrt(0.5) : Math.Pow(2, 1 / 6.0) - Math.Pow(2, -1 / 6.0))))))));
    }

    /// <summary>What a channel lets through: bands outside its pass band are absent; one of which a part passes is kept.</summary>
    /// <exception cref="ArgumentException">No band passes.</exception>
    public static Spectrum Through(Spectrum speech, Frequency? low, Frequency? high) => Spectrum.Of(speech.Entries.Where(e =>
        (low is not { } l || e.Key.UpperEdge.CompareTo(l) > 0) && (high is not { } h || e.Key.LowerEdge.CompareTo(h) < 0)));

    /// <summary>The same spectrum moved to an A-weighted level.</summary>
    public static Spectrum AtLevel(Spectrum speech, Level levelA)
    {
        var by = levelA - speech.Total(FrequencyWeighting.A);
        return Spectrum.Of(speech.Entries.Select(e => KeyValuePair.Create(e.Key, e.Value + by)));
    }

    /// <summary>The index of band levels; bands the speech does not hold count as absent.</summary>
    /// <param name="speech">Band levels of the speech.</param>
    /// <param name="noise">Band levels of the noise: all of 160 Hz to 8 kHz in one-third octaves, or of 250 Hz to 8 kHz in octaves.</param>
    /// <exception cref="ArgumentException">The two are in different bands.</exception>
    public static SpeechResult Index(Spectrum speech, Spectrum noise)
    {
        var procedure = noise.Fraction == BandFraction.Octave ? SpeechProcedure.Octave : SpeechProcedure.ThirdOctave;
        return IntelligibilityIndex.Of(new()
        {
            Procedure = procedure,
            Speech = IntelligibilityIndex.SpectrumLevels(speech, procedure),
            Noise = IntelligibilityIndex.SpectrumLevels(noise, procedure),
        });
    }
}
