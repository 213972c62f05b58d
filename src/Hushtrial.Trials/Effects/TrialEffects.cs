using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Effects;

/// <summary>The fits of all quantities of a trial: A- and C-weighted and every band.</summary>
/// <param name="Settings">The estimator's settings.</param>
/// <param name="Fits">Fit by name of quantity.</param>
/// <param name="Bands">The bands that were read.</param>
public sealed record TrialEffects(EstimatorSettings Settings, IReadOnlyDictionary<string, QuantityFit> Fits, IReadOnlyList<Band> Bands)
{
    /// <summary>What was known from elsewhere than the readings, by name of quantity.</summary>
    public IReadOnlyDictionary<string, QuantityKnowledge> Knowledge { get; init; } = new Dictionary<string, QuantityKnowledge>(StringComparer.Ordinal);

    /// <summary>What the open takes show at claimed frequencies.</summary>
    public IReadOnlyDictionary<double, OpenTone> Tones { get; init; } = new Dictionary<double, OpenTone>();

    /// <summary>The fit of the noise near a claimed frequency, tones left out; null when it was not looked at.</summary>
    public QuantityFit? Near(double hertz) => Fits.GetValueOrDefault(QuantityName.Near(hertz));

    /// <summary>The A-weighted fit.</summary>
    public QuantityFit A => Fits[QuantityName.A];

    /// <summary>The C-weighted fit.</summary>
    public QuantityFit C => Fits[QuantityName.C];

    /// <summary>The A-weighted fit of levels referred to the field; null when they cannot be.</summary>
    public QuantityFit? FieldA => Fits.GetValueOrDefault(QuantityName.FieldA);

    /// <summary>The C-weighted fit of levels referred to the field; null when they cannot be.</summary>
    public QuantityFit? FieldC => Fits.GetValueOrDefault(QuantityName.FieldC);

    /// <summary>The fit of one band.</summary>
    public QuantityFit Of(Band band) => Fits[QuantityName.Of(band)];

    /// <summary>The fits that levels at the ear are read from: the same ones, except for an active part, whose model knows no level.</summary>
    public IReadOnlyDictionary<string, QuantityFit> Levels { get => field ?? Fits; init; }

    /// <summary>The readings that the fits were made of.</summary>
    public IReadOnlyList<Reading> Readings { get; init; } = [];

    /// <summary>What the electronics add in the same donning, where this was read; in a trial of the active part these are the fits themselves.</summary>
    public TrialEffects? ActiveParts { get; init; }

    /// <summary>In a trial of the level difference with open-ear takes: ear minus outside with the ear open, as levels of 'open'.</summary>
    public TrialEffects? OpenTransfer { get; init; }

    /// <summary>Fits every quantity.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="table">Its readings.</param>
    /// <param name="calibrationUncertainty">Standard uncertainty of the ear channel's calibration, dB; null in relative mode.</param>
    /// <param name="outsideUncertainty">The same of the outside channel; null when not calibrated or not there.</param>
    public static TrialEffects Fit(TrialDocument document, ReadingTable table, double? calibrationUncertainty, double? outsideUncertainty = null)
    {
        var main = Fit(document, table, document.Quantity, table.For(document, document.Quantity), calibrationUncertainty, outsideUncertainty);
        if (document.Quantity == MeasuredQuantity.ActivePart)
        {
            var levels = Fit(document, table, MeasuredQuantity.InsertionLoss, table.Readings, calibrationUncertainty, null);
            main = main with { Levels = levels.Fits };
            return main with { ActiveParts = main };
        }
        var paired = table.For(document, MeasuredQuantity.ActivePart);
        var open = document.Quantity == MeasuredQuantity.LevelDifference ? table.Readings.Where(r => r.Donning is null).ToList() : [];
        return main with
        {
            ActiveParts = paired.Count > 0 ? Fit(document, table, MeasuredQuantity.ActivePart, paired, calibrationUncertainty, null) : null,
            OpenTransfer = open.Count > 0 && calibrationUncertainty is not null ? Fit(document, table, MeasuredQuantity.InsertionLoss, open, calibrationUncertainty, outsideUncertainty) : null,
        };
    }

    private static TrialEffects Fit(TrialDocument document, ReadingTable table, MeasuredQuantity quantity, IReadOnlyList<Reading> readings, double? calibrationUncertainty, double? outsideUncertainty)
    {
        var settings = new EstimatorSettings(document.Design == TrialDesign.OutsideChannel, document.DonningScatterMedian, document.ScatterPerKind,
            document.Margin.Decibels, document.ReadingStep) { Of = EstimatedQuantity.Of(document, quantity, calibrationUncertainty is not null) };
        var quantities = new[] { QuantityName.A, QuantityName.C }.Concat(table.Bands.Select(QuantityName.Of))
            .Concat(new[] { QuantityName.FieldA, QuantityName.FieldC }.Concat(table.Tones.Keys.Select(QuantityName.Near)).Where(q => readings.Any(r => r.Values.ContainsKey(q)))).ToList();
        var knowledge = KnownUncertainties.Of(document, table with { Readings = readings }, calibrationUncertainty, settings.Of, outsideUncertainty);
        // Open ear against outside microphone: two microphones are compared here too.
        if (quantity == MeasuredQuantity.InsertionLoss && outsideUncertainty is { } other)
            knowledge = knowledge.ToDictionary(k => k.Key, k => k.Value with { Sources = [.. k.Value.Sources, UncertaintySource.SharedByAll("calibration of the outside microphone", other),
                .. table.Bands.Where(b => QuantityName.Of(b) == k.Key).Select(b => UncertaintySource.SharedByAll(MicrophoneResponse.OutsideSourceName, MicrophoneResponse.StandardUncertainty(b)))] }, StringComparer.Ordinal);
        // What is known of a band holds for a piece of it.
        var known = new Dictionary<string, QuantityKnowledge>(knowledge, StringComparer.Ordinal);
        foreach (var hertz in table.Tones.Keys)
            if (table.Bands.Where(b => hertz >= b.LowerEdge.Hertz && hertz < b.UpperEdge.Hertz).Select(b => (Band?)b).FirstOrDefault() is { } band && knowledge.TryGetValue(QuantityName.Of(band), out var own))
                known[QuantityName.Near(hertz)] = own;
        knowledge = known;
        var fits = Estimator.FitAll(readings, Traits(document), [.. quantities.Where(q => !table.OutsideShares.ContainsKey(q))], settings, knowledge);
        // Where only a share of the outside level was taken off, the wander of the noise has not cancelled.
        var partly = quantities.Where(table.OutsideShares.ContainsKey).ToList();
        if (partly.Count > 0)
            fits = fits.Concat(Estimator.FitAll(readings, Traits(document), partly, settings with { OutsideChannel = false }, knowledge)).ToDictionary(f => f.Key, f => f.Value, StringComparer.Ordinal);
        return new(settings, fits, table.Bands) { Knowledge = knowledge, Readings = readings, Tones = table.Tones };
    }

    /// <summary>Scatter factor and class of every condition: over-ear and helmet 1, on-ear 1.35, in-canal 2, with spectacles × 1.25.</summary>
    public static IReadOnlyList<ConditionTraits> Traits(TrialDocument document) =>
    [
        .. document.Conditions.Select(c =>
        {
            var kind = document.Devices.First(d => d.Id == c.Device).Kind;
            var factor = kind switch { DeviceKind.OnEar => 1.35, DeviceKind.InCanal => 2, _ => 1.0 };
            return new ConditionTraits(c.Id, c.WornWith.Contains("spectacles", StringComparer.OrdinalIgnoreCase) ? factor * 1.25 : factor, kind.ToString());
        }),
    ];
}
