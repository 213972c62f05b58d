using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Signals.Calibration;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Screening;

/// <summary>The calibration of every channel, from what the document says was done before and after.</summary>
/// <param name="ByChannel">By identity of the channel; a channel without any is <see cref="Calibration.None"/>.</param>
/// <param name="Problems">What was wrong, each once.</param>
public sealed record ChannelCalibrations(IReadOnlyDictionary<string, Calibration> ByChannel, IReadOnlyList<Problem> Problems)
{
    /// <summary>Every calibration of the document by itself, as made from its entry.</summary>
    public IReadOnlyList<(CalibrationEntry Entry, Calibration Calibration)> Made { get; init; } = [];

    /// <summary>Whether every ear channel has a usable calibration, so that levels are absolute.</summary>
    /// <param name="document">The trial; hand-noted readings alone have no channel and are absolute only when the document states a calibrated meter.</param>
    public bool Absolute(TrialDocument document) => document.Channels.Any(c => !c.Outside)
        && document.Channels.Where(c => !c.Outside).All(c => ByChannel[c.Id].IsUsable);

    /// <summary>Level of 0 dB re full scale by channel, dB; 0 for a channel that is not calibrated, whose levels stay re full scale.</summary>
    public IReadOnlyDictionary<string, double> FullScale(bool absolute) =>
        ByChannel.ToDictionary(c => c.Key, c => absolute && c.Value.FullScale is { } level ? level.Decibels : 0, StringComparer.Ordinal);

    /// <summary>Calibrates every channel.</summary>
    public static ChannelCalibrations Of(TrialInputs inputs)
    {
        var byChannel = new Dictionary<string, Calibration>(StringComparer.Ordinal);
        var all = new List<(CalibrationEntry, Calibration)>();
        foreach (var channel in inputs.Document.Channels)
        {
            var entries = inputs.Document.Calibrations.Where(c => c.Channel == channel.Id).ToList();
            var made = entries.Select(e => (Entry: e, Calibration: Make(e, channel, inputs))).ToList();
            all.AddRange(made);
            var before = made.FirstOrDefault(m => m.Entry.When != "after").Calibration;
            var after = made.LastOrDefault(m => m.Entry.When == "after").Calibration;
            byChannel[channel.Id] = (before, after) switch
            {
                (null, null) => Calibration.None,
                ({ } b, null) => b,
                (null, { } a) => a,
                ({ } b, { } a) => Calibration.BeforeAndAfter(b, a, $"calibrations of channel {channel.Id}"),
            };
        }
        return new(byChannel, [.. byChannel.Values.SelectMany(c => c.Problems).Distinct()]) { Made = all };
    }

    private static Calibration Make(CalibrationEntry entry, ChannelEntry channel, TrialInputs inputs)
    {
        var uncertainty = LevelDifference.FromDecibels(entry.Uncertainty);
        if (entry.Kind == CalibrationKind.Sensitivity)
            return Calibration.Stated(Level.FromDecibels(entry.LevelDecibels), uncertainty, entry.Where);
        if (inputs.Kept.TryGetValue(entry.Recording!, out var kept))
            return kept.Calibration(entry) ?? Calibration.Kept(null, LevelDifference.Zero, "a calibration that was changed after its sound was discarded", [KeptSound.OtherCalibration(entry, kept)]);
        if (!inputs.Recordings.TryGetValue(entry.Recording!, out var recording) || recording.Samples is not { } samples) return Calibration.None;
        var span = new RecordingSpan(entry.From ?? 0, entry.To ?? recording.Duration.TotalSeconds);
        if (entry.Kind == CalibrationKind.Tone)
            return CalibratorTone.Measure(recording, channel.Number - 1, span, new ToneCalibrator(Level.FromDecibels(entry.LevelDecibels),
                Frequency.FromHertz(entry.FrequencyHertz ?? 1000), uncertainty, Kind(entry.Piston), entry.PressureKilopascal));
        var first = (long)(span.From * samples.SampleRate);
        var count = (long)((span.To - span.From) * samples.SampleRate);
        var where = string.Create(CultureInfo.InvariantCulture, $"{recording.Name}, second {span.From:0.###} to {span.To:0.###}");
        if (channel.Number > samples.Channels || first < 0 || count < 1 || first + count > samples.Frames)
            return Calibration.None with { Words = $"the span beside the meter lies outside {where}" };
        var measured = LevelAnalysis.Measure(samples, channel.Number - 1, first, count, new LevelSettings { Thirds = false, Octaves = false });
        return Calibration.BesideMeter(Level.FromDecibels(entry.LevelDecibels), entry.Weighting,
            Level.FromMeanSquareRatio(measured.MeanSquare(entry.Weighting)), uncertainty, where);
    }

    private static CalibratorType Kind(bool? piston) => piston switch { null => CalibratorType.NotStated, true => CalibratorType.Piston, false => CalibratorType.Feedback };
}
