using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Effects;

/// <summary>What is known to be uncertain from elsewhere than the readings, quantity by quantity (type B).</summary>
/// <remarks>Each source says how it moves the open and every covered level; what moves both alike cancels in a loss by construction.
/// Sizes are common practice, no source, unless one is named.</remarks>
public static class KnownUncertainties
{
    /// <summary>Drift of the gain between open and covered readings, dB.</summary>
    public const double GainDrift = 0.1;

    /// <summary>Leak that the microphone's own cable may make under the cushion below 250 Hz, dB.</summary>
    public const double CableLeak = 0.6;

    private const double CableBelowHertz = 250;

    /// <summary>The sources of every quantity of a trial.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="table">Its readings.</param>
    /// <param name="calibrationUncertainty">Standard uncertainty of the ear channel's calibration, dB; null in relative mode.</param>
    public static IReadOnlyDictionary<string, QuantityKnowledge> Of(TrialDocument document, ReadingTable table, double? calibrationUncertainty)
    {
        var knowledge = new Dictionary<string, QuantityKnowledge>(StringComparer.Ordinal);
        var recorded = document.Recordings.Count > 0;
        foreach (var band in table.Bands)
        {
            var sources = Everywhere(calibrationUncertainty, recorded);
            if (recorded)
            {
                if (calibrationUncertainty is not null) sources.Add(UncertaintySource.SharedByAll(MicrophoneResponse.SourceName, MicrophoneResponse.StandardUncertainty(band)));
                if (band.ExactMidband.Hertz < CableBelowHertz) sources.Add(UncertaintySource.OfCovered("the microphone's cable under the cushion", CableLeak));
                sources.AddRange(table.NoiseEffects.Where(n => n.Key.Band == band && n.Value.Uncertainty > 0)
                    .Select(n => UncertaintySource.OfOne(n.Key.Condition, "own noise taken off", n.Value.Uncertainty)));
            }
            knowledge[QuantityName.Of(band)] = new(sources, table.TakeScatterFloors.GetValueOrDefault(QuantityName.Of(band)));
        }
        foreach (var (name, weighting) in new[] { (QuantityName.A, FrequencyWeighting.A), (QuantityName.C, FrequencyWeighting.C) })
        {
            var sources = Everywhere(calibrationUncertainty, recorded);
            if (MeanSpectra(table) is { } spectra) sources.AddRange(MicrophoneResponse.Sources(spectra, weighting));
            knowledge[name] = new(sources, table.TakeScatterFloors.GetValueOrDefault(name));
        }
        return knowledge;
    }

    private static List<UncertaintySource> Everywhere(double? calibrationUncertainty, bool recorded)
    {
        var sources = new List<UncertaintySource>();
        if (recorded) sources.Add(UncertaintySource.OfCovered("gain drift between open and covered", GainDrift));
        if (calibrationUncertainty is { } u) sources.Add(UncertaintySource.SharedByAll("calibration", u));
        return sources;
    }

    /// <summary>Mean band levels by condition, 'open' among them, over the bands that all of them have; null without an open ear or without bands.</summary>
    private static Dictionary<string, IReadOnlyDictionary<Band, double>>? MeanSpectra(ReadingTable table)
    {
        var conditions = table.Readings.Select(r => r.Condition).Distinct(StringComparer.Ordinal).ToList();
        if (!conditions.Contains(TrialDocument.OpenEar)) return null;
        var bands = table.Bands.Where(b => table.Readings.All(r => r.Values.ContainsKey(QuantityName.Of(b)))).ToList();
        if (bands.Count < 3) return null;
        return conditions.ToDictionary(c => c, c => (IReadOnlyDictionary<Band, double>)bands.ToDictionary(b => b,
            // A reading relative to the outside channel has the spectrum of a transfer function; the energy shares need that of the sound.
            b => table.Readings.Where(r => r.Condition == c).Average(r => r.Values[QuantityName.Of(b)]) + table.Ambient.GetValueOrDefault(QuantityName.Of(b))), StringComparer.Ordinal);
    }
}
