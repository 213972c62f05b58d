using Hushtrial.Hearing.Speech;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests.Listening;

/// <summary>A trial of noted band levels: the open ear, then every device once. Invented data; with one reading of each the level is that reading.</summary>
internal static class NotedTrial
{
    public static readonly Band[] Octaves = [.. Enumerable.Range(-2, 6).Select(Band.Octave)];

    public static readonly Band[] Thirds = [.. Enumerable.Range(-8, 18).Select(Band.ThirdOctave)];

    public static double[] Flat(double level, int count) => [.. Enumerable.Repeat(level, count)];

    /// <summary>Analyses it.</summary>
    /// <param name="bands">The bands that were read.</param>
    /// <param name="levels">Levels by condition, the open ear as 'open'.</param>
    /// <param name="listening">What has to be heard.</param>
    /// <param name="calibrated">Whether a calibrated meter is stated.</param>
    /// <param name="more">Changes of the document.</param>
    public static TrialResults Analyse(Band[] bands, IReadOnlyDictionary<string, double[]> levels, ListeningPlan? listening, bool calibrated = true, Func<TrialDocument, TrialDocument>? more = null)
    {
        var ids = levels.Keys.Where(k => k != TrialDocument.OpenEar).ToList();
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("t", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.ReadingsOnly, Scope = EstimateScope.AsWorn,
            MeterUncertainty = calibrated ? 0.1 : null,
            Devices = [.. ids.Select(i => new Device(i, i, DeviceKind.OverEar, true, null, null, [], null))],
            Conditions = [.. ids.Select(i => new Condition(i, i, "passive", []))],
            Runs = [new("R", null, [])],
            Takes = [.. levels.Select((l, n) => Take(n, l.Key, bands, l.Value)), Take(levels.Count, TrialDocument.OpenEar, bands, levels[TrialDocument.OpenEar])],
            Listening = listening,
        };
        document = more?.Invoke(document) ?? document;
        return Analysis.Run(new(document, new Dictionary<string, Hushtrial.Signals.Recordings.Recording>(), [], [], "0"));
    }

    public static TakeEntry Take(int number, string condition, Band[] bands, double[] levels) => new($"T{number}", "R", null, condition, condition == TrialDocument.OpenEar ? null : $"D{condition}", null, null, null,
        Spectrum.Of(bands, levels).Total(FrequencyWeighting.A).Decibels, null, [.. bands.Zip(levels, KeyValuePair.Create)], 60.0 * number, null, null, null, "");

    /// <summary>Headset speech of stated bands, no pass band.</summary>
    public static ListeningPlan Speech(Band[] bands, double[] levels, ListeningRule rule = ListeningRule.FixedVolume, string? setUnder = null) =>
        new(new(SoundWay.Headset, null, null, [.. bands.Zip(levels, KeyValuePair.Create)], null, null, 0.1, rule, setUnder, null), [], [], null);

    /// <summary>Radio of a stated level.</summary>
    public static ListeningPlan Radio(double levelA, ListeningRule rule = ListeningRule.FixedVolume, string? setUnder = null) =>
        new(new(SoundWay.Headset, levelA, VocalEffort.Raised, [], 300, 3400, 2, rule, setUnder, null), [], [], null);
}
