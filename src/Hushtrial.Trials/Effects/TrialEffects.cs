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

    /// <summary>The A-weighted fit.</summary>
    public QuantityFit A => Fits[QuantityName.A];

    /// <summary>The C-weighted fit.</summary>
    public QuantityFit C => Fits[QuantityName.C];

    /// <summary>The fit of one band.</summary>
    public QuantityFit Of(Band band) => Fits[QuantityName.Of(band)];

    /// <summary>Fits every quantity.</summary>
    public static TrialEffects Fit(TrialDocument document, ReadingTable table, double? calibrationUncertainty)
    {
        var settings = new EstimatorSettings(document.Design == TrialDesign.OutsideChannel, document.DonningScatterMedian, document.ScatterPerKind,
            document.Margin.Decibels, document.ReadingStep);
        var quantities = new[] { QuantityName.A, QuantityName.C }.Concat(table.Bands.Select(QuantityName.Of)).ToList();
        var knowledge = KnownUncertainties.Of(document, table, calibrationUncertainty);
        return new(settings, Estimator.FitAll(table.Readings, Traits(document), quantities, settings, knowledge), table.Bands) { Knowledge = knowledge };
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
