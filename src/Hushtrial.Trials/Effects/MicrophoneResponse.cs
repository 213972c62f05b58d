using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Effects;

/// <summary>How an unknown microphone response enters A- and C-weighted losses. Band by band it cancels: the same microphone reads open and covered.</summary>
/// <remarks>A weighted level is a sum over bands, each with the response's error at that band, so an error δ(b) moves the level by Σ q_b·δ(b),
/// with q the shares of the weighted energy. δ has the standard deviation 0.7 dB below 1 kHz, 1 dB to 4 kHz and 2 dB above (common practice, no
/// source), and is correlated over frequency as 0.5 per octave between: a first-order Markov chain over the bands, here written as independent
/// sources, so that what two conditions share cancels in their difference by construction.</remarks>
public static class MicrophoneResponse
{
    private const double CorrelationPerOctave = 0.5;

    /// <summary>Name of the source in a budget.</summary>
    public const string SourceName = "microphone response over frequency";

    /// <summary>Name of the source for the microphone outside.</summary>
    public const string OutsideSourceName = "response of the outside microphone over frequency";

    /// <summary>Standard uncertainty of a miniature microphone's response, dB (common practice, no source).</summary>
    public static double StandardUncertainty(Band band) => band.ExactMidband.Hertz switch { < 1000 => 0.7, <= 4000 => 1, _ => 2 };

    /// <summary>Shares of the weighted energy per band; they sum to 1.</summary>
    public static IReadOnlyDictionary<Band, double> Shares(IReadOnlyDictionary<Band, double> levels, FrequencyWeighting weighting)
    {
        var energies = levels.ToDictionary(l => l.Key, l => Math.Pow(10, (l.Value + Weightings.At(weighting, l.Key.ExactMidband).Decibels) / 10));
        var total = energies.Values.Sum();
        return energies.ToDictionary(e => e.Key, e => e.Value / total);
    }

    /// <summary>Independent sources that together move the weighted levels of the open ear and of all conditions as the unknown response does.</summary>
    /// <param name="spectra">Band levels by condition, 'open' among them where it was read; all over the same bands, dB.</param>
    /// <param name="weighting">A or C.</param>
    /// <param name="name">Name of the source in a budget.</param>
    /// <param name="uncertainty">Standard uncertainty per band, dB; that of the microphone when not given.</param>
    public static IEnumerable<UncertaintySource> Sources(IReadOnlyDictionary<string, IReadOnlyDictionary<Band, double>> spectra, FrequencyWeighting weighting,
        string name = SourceName, Func<Band, double>? uncertainty = null)
    {
        var size = uncertainty ?? StandardUncertainty;
        var shares = spectra.ToDictionary(s => s.Key, s => Shares(s.Value, weighting), StringComparer.Ordinal);
        Band[] bands = [.. shares.First().Value.Keys.Order()];
        for (var source = 0; source < bands.Length; source++)
        {
            // Source k acts on band k with its fresh part, and on every higher band with what the chain still remembers of it.
            var particular = new Dictionary<string, double>(StringComparer.Ordinal);
            foreach (var (condition, share) in shares)
            {
                var memory = source == 0 ? 1 : Math.Sqrt(1 - Math.Pow(Remembered(bands, source), 2));
                var sensitivity = 0.0;
                for (var b = source; b < bands.Length; b++)
                {
                    if (b > source) memory *= Remembered(bands, b);
                    sensitivity += share.GetValueOrDefault(bands[b]) * size(bands[b]) * memory;
                }
                particular[condition] = sensitivity;
            }
            yield return new(name, 1, 0, particular);
        }
    }

    private static double Remembered(Band[] bands, int b) =>
        Math.Pow(CorrelationPerOctave, Math.Log2(bands[b].ExactMidband.Hertz / bands[b - 1].ExactMidband.Hertz));
}
