using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Effects;

/// <summary>What is known to be uncertain of an active part from elsewhere than the readings (type B).</summary>
/// <remarks>Off and on were read by one microphone in one donning within minutes: calibration, gain drift, the microphone's place, its cable and, band by band, its response cancel. What is
/// left is the own noise taken off, the gain of a safety track that one of the two was read from, and in weighted levels the response, because the two spectra differ.</remarks>
internal static class ActivePartUncertainties
{
    /// <summary>The sources of every quantity of a trial.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="table">The readings of the active part.</param>
    /// <param name="partners">By condition with the electronics on, the one with them off.</param>
    public static IReadOnlyDictionary<string, QuantityKnowledge> Of(TrialDocument document, ReadingTable table, IReadOnlyDictionary<string, string> partners)
    {
        var knowledge = new Dictionary<string, QuantityKnowledge>(StringComparer.Ordinal);
        foreach (var band in table.Bands)
        {
            List<UncertaintySource> sources = [.. SafetyGains(table, partners)];
            if (document.Recordings.Count > 0)
                foreach (var (on, off) in partners)
                {
                    Add(on, on);
                    Add(off, on);
                }
            knowledge[QuantityName.Of(band)] = new(sources, table.TakeScatterFloors.GetValueOrDefault(QuantityName.Of(band)));

            void Add(string read, string on)
            {
                if (table.NoiseEffects.GetValueOrDefault((read, band)).Uncertainty is > 0 and var u) sources.Add(UncertaintySource.OfOne(on, "own noise taken off", u));
            }
        }
        foreach (var (name, weighting, field) in KnownUncertainties.Weighted(table))
            knowledge[name] = new([.. SafetyGains(table, partners), .. Response(table, partners, weighting, field)], table.TakeScatterFloors.GetValueOrDefault(weighting == FrequencyWeighting.A ? QuantityName.A : QuantityName.C));
        return knowledge;
    }

    // Where off and on were both read from the safety track its gain cancels.
    private static IEnumerable<UncertaintySource> SafetyGains(ReadingTable table, IReadOnlyDictionary<string, string> partners) => table.SafetyShares.Select(s => new UncertaintySource(KnownUncertainties.SafetyGainName, s.StandardUncertainty, 0,
        partners.ToDictionary(p => p.Key, p => s.Shares.GetValueOrDefault(p.Key) - s.Shares.GetValueOrDefault(p.Value), StringComparer.Ordinal)));

    // An unknown response moves off and on each by its own energy shares; their difference is what moves the active part.
    private static IEnumerable<UncertaintySource> Response(ReadingTable table, IReadOnlyDictionary<string, string> partners, FrequencyWeighting weighting, FieldTransfer? field)
    {
        var bands = table.Bands.Where(b => (field is null || field.Values.ContainsKey(b)) && table.Readings.All(r => r.Values.ContainsKey(QuantityName.Of(b)))).ToList();
        if (bands.Count < 3) return [];
        var spectra = table.Readings.Select(r => r.Condition).Distinct(StringComparer.Ordinal).ToDictionary(c => c, c => (IReadOnlyDictionary<Band, double>)bands.ToDictionary(b => b,
            b => table.Readings.Where(r => r.Condition == c).Average(r => r.Values[QuantityName.Of(b)]) + table.Ambient.GetValueOrDefault(QuantityName.Of(b)) - (field?.Values[b] ?? 0)), StringComparer.Ordinal);
        var sources = MicrophoneResponse.Sources(spectra, weighting);
        if (field is not null) sources = sources.Concat(MicrophoneResponse.Sources(spectra, weighting, KnownUncertainties.FieldSourceName, field.StandardUncertainty));
        return sources.Select(s => s with
        {
            Particular = partners.Where(p => spectra.ContainsKey(p.Key)).ToDictionary(p => p.Key, p => s.SensitivityOf(p.Key) - s.SensitivityOf(p.Value), StringComparer.Ordinal),
        });
    }
}
