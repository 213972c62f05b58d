using Hushtrial.Quantities;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Summary;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Verdicts;

namespace Hushtrial.Trials;

/// <summary>The way of a trial from its inputs to its results. Read this first: the stages stand in order, each hands an immutable value to the next.</summary>
public static class Analysis
{
    /// <summary>Analyses a trial.</summary>
    /// <param name="inputs">The document and its opened recordings, without errors.</param>
    /// <param name="progress">Receives the share that is done, 0 to 1.</param>
    /// <param name="cancellation">Stops the work.</param>
    public static TrialResults Run(TrialInputs inputs, IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        var measured = Measure(inputs, progress, cancellation);                                  // bytes → levels at the ear, take by take
        var field = FieldTransfer.Of(inputs.Document, measured.Takes, measured.Absolute);        // the way back from the ear to the field, where it is known
        var readings = ReadingTable.From(measured.Takes, measured.OwnNoise, inputs.Document.Design, inputs.Document.Quantity, field); // own noise and outside channel off
        var effects = TrialEffects.Fit(inputs.Document, readings, measured.CalibrationUncertainty(inputs.Document), measured.OutsideUncertainty(inputs.Document)); // both scopes, all quantities
        var losses = PairedLosses.Of(effects.Readings, effects.Settings.Of);                     // reference − covered, donning by donning
        var pairs = Comparisons.Of(inputs.Document, effects);                                    // different, equivalent or not resolved
        var robustness = Robustness.Of(inputs.Document, measured, effects, pairs);      // what would change a verdict
        return Gathering.Of(inputs, measured, readings, losses, effects, pairs, robustness);
    }

    /// <summary>What the checks find in a trial's takes and calibrations, without analysing it.</summary>
    public static IReadOnlyList<Problem> Findings(TrialInputs inputs, IProgress<double>? progress = null, CancellationToken cancellation = default) =>
        Measure(inputs, progress, cancellation).Problems;

    private static MeasuredTrial Measure(TrialInputs inputs, IProgress<double>? progress, CancellationToken cancellation) =>
        MeasuredTrial.Of(inputs, progress, cancellation);
}
