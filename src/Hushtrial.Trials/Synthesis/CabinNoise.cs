using Hushtrial.Quantities;

namespace Hushtrial.Trials.Synthesis;

/// <summary>A steady tone of a cabin: a rotor's or an engine's harmonic.</summary>
/// <param name="Hertz">Frequency, Hz.</param>
/// <param name="Level">Level, dB.</param>
public sealed record Tone(double Hertz, double Level);

/// <summary>The stated noise of a cabin at the open ear: a broadband spectrum with tones on it.</summary>
/// <remarks>The power spectral density lies on straight lines (dB over the logarithm of frequency) through the one-third-octave levels.</remarks>
public sealed class CabinNoise
{
    private readonly LossCurve _densityLevel;

    /// <summary>A cabin from 31 one-third-octave levels of its broadband noise, 20 Hz to 20 kHz, dB, and its tones.</summary>
    /// <exception cref="ArgumentException">Not 31 levels.</exception>
    public CabinNoise(IReadOnlyList<double> thirdOctaveLevels, IReadOnlyList<Tone> tones)
    {
        if (thirdOctaveLevels.Count != Band.ThirdOctaves.Count)
            throw new ArgumentException($"31 one-third-octave levels are needed; {thirdOctaveLevels.Count} were given.", nameof(thirdOctaveLevels));
        Tones = tones;
        _densityLevel = new([.. Band.ThirdOctaves.Zip(thirdOctaveLevels,
            (b, level) => (b.ExactMidband.Hertz, level - (10 * Math.Log10(b.UpperEdge.Hertz - b.LowerEdge.Hertz))))]);
    }

    /// <summary>The tones.</summary>
    public IReadOnlyList<Tone> Tones { get; }

    /// <summary>Power spectral density at a frequency, reference pressure squared per Hz. Below 12 Hz and above 22 kHz there is none.</summary>
    public double Density(double hertz) => hertz is < 12 or > 22_000 ? 0 : Math.Pow(10, _densityLevel.At(hertz) / 10);
}
