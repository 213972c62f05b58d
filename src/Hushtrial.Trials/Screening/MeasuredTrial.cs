using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Screening;

/// <summary>A trial after measuring: calibrations, levels of every take, own noise, and what the checks found.</summary>
/// <param name="Absolute">Whether levels are sound pressure levels.</param>
/// <param name="RelativeReason">Why not, in words; null when they are.</param>
/// <param name="Calibrations">Calibration of every channel.</param>
/// <param name="FullScale">Level of 0 dB re full scale by channel, dB; 0 where levels stay re full scale.</param>
/// <param name="Takes">Levels of every take, in the document's order.</param>
/// <param name="OwnNoise">Own noise by channel.</param>
/// <param name="Histories">Level history of every run, for the figure.</param>
/// <param name="Problems">Problems and findings, the inputs' first.</param>
public sealed record MeasuredTrial(bool Absolute, string? RelativeReason, ChannelCalibrations Calibrations, IReadOnlyDictionary<string, double> FullScale,
    IReadOnlyList<TakeLevels> Takes, IReadOnlyDictionary<string, ChannelLevels> OwnNoise, IReadOnlyList<RunHistory> Histories, IReadOnlyList<Problem> Problems)
{
    /// <summary>Warning sounds and quiet spans as measured.</summary>
    public MeasuredListening Listening { get; init; } = MeasuredListening.None;

    /// <summary>What was found by holding takes against each other.</summary>
    public IReadOnlySet<Problem> Compared { get; init; } = new HashSet<Problem>();

    /// <summary>Noises of the other cabins by identity.</summary>
    public IReadOnlyDictionary<string, CabinSpectrum> Cabins { get; init; } = new Dictionary<string, CabinSpectrum>(StringComparer.Ordinal);

    /// <summary>Standard uncertainty of the level at the ear by calibration, dB, the largest of the ear channels; null in relative mode.</summary>
    public double? CalibrationUncertainty(TrialDocument document) => !Absolute ? null
        : EarLogs(document) is { Count: > 0 } logs ? logs.Max(l => l.Uncertainty ?? document.MeterUncertainty ?? 0)
        : document.Channels.Where(c => !c.Outside).Select(c => Calibrations.ByChannel[c.Id].StandardUncertainty.Decibels).DefaultIfEmpty(document.MeterUncertainty ?? 0).Max();

    /// <summary>Standard uncertainty of the outside channel's calibration, dB; null in relative mode or without one.</summary>
    public double? OutsideUncertainty(TrialDocument document) => !Absolute ? null
        : document.Logs.FirstOrDefault(l => l.Outside) is { } log ? log.Uncertainty ?? document.MeterUncertainty
        : document.Channels.Where(c => c.Outside && Calibrations.ByChannel[c.Id].FullScale is not null).Select(c => (double?)Calibrations.ByChannel[c.Id].StandardUncertainty.Decibels).FirstOrDefault();

    /// <summary>The logs that takes in use name: in such a trial all levels at the ear come from logs.</summary>
    internal static IReadOnlyList<LogEntry> EarLogs(TrialDocument document) => [.. document.Logs.Where(l => document.Takes.Any(t => t.Log == l.Id && t.Excluded is null))];

    /// <summary>Measures a trial.</summary>
    public static MeasuredTrial Of(TrialInputs inputs, IProgress<double>? progress, CancellationToken cancellation)
    {
        var calibrations = ChannelCalibrations.Of(inputs);
        var reason = WhyRelative(inputs.Document, calibrations);
        var fullScale = calibrations.FullScale(reason is null);
        var safety = SafetyTracks.Of(inputs);
        var takes = TakeMeasurement.Measure(inputs, fullScale, safety, progress, cancellation);
        var ownNoise = NoiseFloors.Measure(inputs, fullScale);
        // Takes with the radio on are unlike the others on purpose.
        var compared = SignalChecks.OfTrial(new ComparedTakes(inputs.Document, [.. takes.Where(t => !t.Entry.CommsOn && t.ComparedBefore is null)], ownNoise), calibrations).ToList();
        // Without their sound takes are not compared anew: what was found then stands.
        compared.AddRange(takes.SelectMany(t => (t.ComparedBefore ?? []).Select(p => new Finding(p, [t.Entry.Id]) { Bands = t.Incomparable })));
        takes = [.. takes.Select(t => Found(t, compared))];
        var listening = MeasuredListening.Of(inputs, fullScale);
        return new(reason is null, reason, calibrations, fullScale, takes, ownNoise, [.. LevelHistories.Measure(inputs, fullScale, cancellation), .. LogTakes.Histories(inputs, takes)],
            [.. inputs.Problems, .. KeptSound.Notes(inputs), .. calibrations.Problems, .. safety.Problems, .. NoiseFloors.Missing(inputs, ownNoise), .. NoiseFloors.Reached(takes, ownNoise), .. takes.SelectMany(t => t.Findings).Concat(compared.Select(c => c.Problem)).Distinct(), .. listening.Problems]) { Listening = listening, Cabins = CabinSpectra.Of(inputs, calibrations), Compared = compared.Select(c => c.Problem).ToHashSet() };
    }

    private static TakeLevels Found(TakeLevels take, List<Finding> compared)
    {
        var found = compared.Where(c => c.Takes.Contains(take.Entry.Id)).ToList();
        var own = found.Select(c => c.Problem).ToList();
        return take with { Findings = [.. take.Findings, .. own], Incomparable = [.. found.SelectMany(c => c.Bands).Distinct().Order()], Refused = own.FirstOrDefault(p => p.Code == CabinCheck.RefusedCode)?.Found };
    }

    private static string? WhyRelative(TrialDocument document, ChannelCalibrations calibrations)
    {
        var difference = document.Quantity == MeasuredQuantity.LevelDifference;
        var logged = EarLogs(document);
        // A level difference compares two microphones: both have to be calibrated.
        if (document.MeterUncertainty is null && logged.Concat(document.Logs.Where(l => difference && l.Outside)).FirstOrDefault(l => l.Uncertainty is null) is { } unknown)
            return $"the log {unknown.Id} comes from an instrument that is not said to be calibrated";
        if (document.Channels.Count == 0)
            return document.MeterUncertainty is null && logged.Count == 0 ? "the readings were noted from a meter that is not said to be calibrated" : null;
        var failed = document.Channels.Where(c => (c.Outside ? difference : logged.Count == 0) && !calibrations.ByChannel[c.Id].IsUsable).ToList();
        if (failed.Count == 0) return null;
        return failed.Any(c => calibrations.ByChannel[c.Id].FullScale is not null || calibrations.ByChannel[c.Id].Problems.Count > 0)
            ? $"the calibration of channel {failed[0].Id} cannot be used" : $"channel {failed[0].Id} has no calibration";
    }
}
