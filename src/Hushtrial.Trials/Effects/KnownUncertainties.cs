using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Screening;

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

    /// <summary>Name of the transfer to the field in a budget.</summary>
    public const string FieldSourceName = "transfer from the ear to the field";

    /// <summary>Name of the gain of safety tracks in a budget.</summary>
    public const string SafetyGainName = "gain of the safety track against the main track";

    private const double CableBelowHertz = 250;

    /// <summary>Smaller changes of the cabin stay without an entry of their own: 0.05 dB of uncertainty.</summary>
    private const double LeastCabinChange = 0.5;

    /// <summary>The sources of every quantity of a trial.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="table">Its readings.</param>
    /// <param name="calibrationUncertainty">Standard uncertainty of the ear channel's calibration, dB; null in relative mode.</param>
    /// <param name="of">Which quantity; an insertion loss when not given.</param>
    /// <param name="outsideUncertainty">Standard uncertainty of the outside channel's calibration, dB; it counts in a level difference, where two microphones are compared.</param>
    public static IReadOnlyDictionary<string, QuantityKnowledge> Of(TrialDocument document, ReadingTable table, double? calibrationUncertainty, EstimatedQuantity? of = null, double? outsideUncertainty = null)
    {
        if (of?.Quantity == MeasuredQuantity.ActivePart) return ActivePartUncertainties.Of(document, table, of.Partners);
        var twoMicrophones = of?.Quantity == MeasuredQuantity.LevelDifference && calibrationUncertainty is not null;
        // A level difference is ear against outside by definition: nothing is corrected in it.
        var changes = of is null || of.Quantity == MeasuredQuantity.InsertionLoss;
        var knowledge = new Dictionary<string, QuantityKnowledge>(StringComparer.Ordinal);
        var recorded = document.Recordings.Count > 0;
        // One recorder's gain moves ear and outside alike; a second one has a gain of its own.
        var secondRecorder = document.Design == TrialDesign.OutsideChannel && document.Channels.Any(c => c.Outside && document.Channels.All(e => e.Outside || e.Recorder != c.Recorder));
        foreach (var band in table.Bands)
        {
            var sources = Everywhere(calibrationUncertainty, recorded, twoMicrophones, outsideUncertainty, secondRecorder, table);
            if (twoMicrophones) sources.Add(UncertaintySource.OfReference(MicrophoneResponse.OutsideSourceName, MicrophoneResponse.StandardUncertainty(band)));
            if (recorded)
            {
                if (calibrationUncertainty is not null) sources.Add(EarMicrophone(MicrophoneResponse.SourceName, MicrophoneResponse.StandardUncertainty(band), twoMicrophones));
                if (band.ExactMidband.Hertz < CableBelowHertz) sources.Add(UncertaintySource.OfCovered("the microphone's cable under the cushion", CableLeak));
                sources.AddRange(table.NoiseEffects.Where(n => n.Key.Band == band && n.Value.Uncertainty > 0)
                    .Select(n => UncertaintySource.OfOne(n.Key.Condition, "own noise taken off", n.Value.Uncertainty)));
            }
            if (changes) sources.AddRange(CabinChange(table, QuantityName.Of(band)));
            knowledge[QuantityName.Of(band)] = new(sources, table.TakeScatterFloors.GetValueOrDefault(QuantityName.Of(band)));
        }
        foreach (var (name, weighting, field) in Weighted(table))
        {
            var sources = Everywhere(calibrationUncertainty, recorded, twoMicrophones, outsideUncertainty, secondRecorder, table);
            if (MeanSpectra(table, twoMicrophones, field) is { } spectra)
            {
                sources.AddRange(MicrophoneResponse.Sources(spectra.Where(s => !twoMicrophones || s.Key != TrialDocument.OpenEar).ToDictionary(s => s.Key, s => s.Value, StringComparer.Ordinal), weighting));
                if (twoMicrophones) sources.AddRange(MicrophoneResponse.Sources(new Dictionary<string, IReadOnlyDictionary<Band, double>>(StringComparer.Ordinal) { [TrialDocument.OpenEar] = spectra[TrialDocument.OpenEar] }, weighting, MicrophoneResponse.OutsideSourceName));
                if (field is not null) sources.AddRange(MicrophoneResponse.Sources(spectra.Where(s => !twoMicrophones || s.Key != TrialDocument.OpenEar).ToDictionary(s => s.Key, s => s.Value, StringComparer.Ordinal), weighting, FieldSourceName, field.StandardUncertainty));
            }
            if (changes) sources.AddRange(CabinChange(table, weighting == FrequencyWeighting.A ? QuantityName.A : QuantityName.C));
            knowledge[name] = new(sources, table.TakeScatterFloors.GetValueOrDefault(weighting == FrequencyWeighting.A ? QuantityName.A : QuantityName.C));
        }
        return knowledge;
    }

    // The outside channel takes a change of the cabin off; it stands for the ear's field only as far as the field keeps its shape.
    private static IEnumerable<UncertaintySource> CabinChange(ReadingTable table, string quantity) => table.CabinChanges.Where(c => c.Key.Quantity == quantity && Math.Abs(c.Value) > LeastCabinChange)
        .Select(c => UncertaintySource.OfOne(c.Key.Condition, "cabin change, taken off with the outside channel", CabinCheck.UncertaintyShare * Math.Abs(c.Value)));

    private static List<UncertaintySource> Everywhere(double? calibrationUncertainty, bool recorded, bool twoMicrophones, double? outsideUncertainty, bool secondRecorder, ReadingTable table)
    {
        var sources = new List<UncertaintySource>();
        if (recorded) sources.Add(UncertaintySource.OfCovered(twoMicrophones ? "gain drift of one channel against the other" : "gain drift between open and covered", GainDrift));
        sources.AddRange(table.SafetyShares.Select(s => new UncertaintySource(SafetyGainName, s.StandardUncertainty, 0, s.Shares)));
        if (secondRecorder) sources.Add(UncertaintySource.OfCovered("gain drift of the second recorder", GainDrift));
        if (calibrationUncertainty is { } u) sources.Add(EarMicrophone("calibration", u, twoMicrophones));
        if (twoMicrophones && outsideUncertainty is { } v) sources.Add(UncertaintySource.OfReference("calibration of the outside microphone", v));
        return sources;
    }

    // One microphone reads open and covered: what is wrong with it cancels in a loss. In a level difference the reference is another microphone's.
    private static UncertaintySource EarMicrophone(string name, double standardUncertainty, bool twoMicrophones) =>
        twoMicrophones ? UncertaintySource.OfCovered(name, standardUncertainty) : UncertaintySource.SharedByAll(name, standardUncertainty);

    /// <summary>The weighted levels, as read and, where it can be, referred to the field.</summary>
    internal static IEnumerable<(string Name, FrequencyWeighting Weighting, FieldTransfer? Field)> Weighted(ReadingTable table)
    {
        yield return (QuantityName.A, FrequencyWeighting.A, null);
        yield return (QuantityName.C, FrequencyWeighting.C, null);
        if (table.Field.Source == FieldSource.None) yield break;
        yield return (QuantityName.FieldA, FrequencyWeighting.A, table.Field);
        yield return (QuantityName.FieldC, FrequencyWeighting.C, table.Field);
    }

    /// <summary>Mean band levels by condition, 'open' among them, over the bands that all of them have; null without an open ear or without bands.</summary>
    private static Dictionary<string, IReadOnlyDictionary<Band, double>>? MeanSpectra(ReadingTable table, bool twoMicrophones, FieldTransfer? field)
    {
        var conditions = table.Readings.Select(r => r.Condition).Distinct(StringComparer.Ordinal).ToList();
        if (!twoMicrophones && !conditions.Contains(TrialDocument.OpenEar)) return null;
        var bands = table.Bands.Where(b => table.Readings.All(r => r.Values.ContainsKey(QuantityName.Of(b)))).ToList();
        if (field is not null) bands = [.. bands.Where(field.Values.ContainsKey)];
        if (bands.Count < 3) return null;
        var spectra = conditions.ToDictionary(c => c, c => (IReadOnlyDictionary<Band, double>)bands.ToDictionary(b => b,
            // A reading relative to the outside channel has the spectrum of a transfer function; the energy shares need that of the sound.
            b => table.Readings.Where(r => r.Condition == c).Average(r => r.Values[QuantityName.Of(b)]) + table.Ambient.GetValueOrDefault(QuantityName.Of(b)) - (field?.Values[b] ?? 0)), StringComparer.Ordinal);
        // In a level difference the reference is the outside microphone.
        if (twoMicrophones) spectra[TrialDocument.OpenEar] = bands.ToDictionary(b => b, b => table.Ambient.GetValueOrDefault(QuantityName.Of(b)));
        return spectra;
    }
}
