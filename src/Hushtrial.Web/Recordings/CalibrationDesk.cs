using System.Collections.Concurrent;
using System.Globalization;
using System.Text.Json;
using Hushtrial.Signals.Calibration;
using Hushtrial.Store;
using Hushtrial.Store.Library;
using Hushtrial.Trials;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Web.Recordings;

/// <summary>What the calibrations of a trial give, at once, also while the rest of the trial cannot be analysed yet.</summary>
/// <param name="ByChannel">Before and after together, by identity of the channel.</param>
/// <param name="ByEntry">Each alone, by the name of its entry in the draft ('#0'); an entry that cannot be read is absent.</param>
/// <param name="Absolute">Whether every ear channel is calibrated: then levels are absolute.</param>
public sealed record CalibrationView(IReadOnlyDictionary<string, Calibration> ByChannel, IReadOnlyDictionary<string, Calibration> ByEntry, bool Absolute)
{
    /// <summary>Nothing is known.</summary>
    public static CalibrationView Nothing { get; } = new(new Dictionary<string, Calibration>(StringComparer.Ordinal), new Dictionary<string, Calibration>(StringComparer.Ordinal), false);

    /// <summary>Level of full scale of a channel, dB; null when levels stay re full scale.</summary>
    public double? FullScale(string channel) => ByChannel.TryGetValue(channel, out var calibration) && calibration.IsUsable ? calibration.FullScale!.Value.Decibels : null;
}

/// <summary>Measures calibrations when they have changed.</summary>
internal sealed class CalibrationDesk(Shelf shelf)
{
    private readonly ConcurrentDictionary<Guid, (string Content, CalibrationView View)> _kept = new();

    /// <summary>The calibrations of a trial as it stands.</summary>
    public CalibrationView Of(StoredTrial trial)
    {
        var content = JsonSerializer.Serialize(new[] { trial.Mark.Files, trial.Draft.Value("recordings"), trial.Draft.Value("channels"), trial.Draft.Value("calibrations") });
        if (_kept.TryGetValue(trial.Id, out var kept) && kept.Content == content) return kept.View;
        var view = Measure(trial);
        _kept[trial.Id] = (content, view);
        return view;
    }

    private CalibrationView Measure(StoredTrial trial)
    {
        if (trial.Draft.Ids("channels").Count == 0) return CalibrationView.Nothing;
        var document = SoundPart.Of(trial.Draft);
        using var loan = shelf.Take(trial);
        var recordings = document.Recordings.Select(r => (r.Id, loan.Find(r.Id)?.Recording)).Where(r => r.Recording is not null).ToDictionary(r => r.Id, r => r.Recording!, StringComparer.Ordinal);
        var inputs = new TrialInputs(document, recordings, [], [], ProductVersion.Text);
        var all = ChannelCalibrations.Of(inputs);
        var byEntry = new Dictionary<string, Calibration>(StringComparer.Ordinal);
        var readable = new Queue<CalibrationEntry>(inputs.Document.Calibrations);
        foreach (var entry in trial.Draft.Ids("calibrations"))
        {
            // Entries have no identity: those that could be read follow each other in the same order.
            if (readable.Count == 0 || !IsOf(readable.Peek(), trial.Draft, $"calibrations[{entry}]")) continue;
            var one = readable.Dequeue();
            byEntry[entry] = ChannelCalibrations.Of(inputs with { Document = inputs.Document with { Calibrations = [one] } }).ByChannel[one.Channel];
        }
        return new(all.ByChannel, byEntry, all.Absolute(inputs.Document));
    }

    private static bool IsOf(CalibrationEntry entry, TrialDraft draft, string path) => draft.Value(path + ".channel") == entry.Channel && draft.Value(path + ".recording") == entry.Recording
        && double.TryParse(draft.Value(path + ".level_db"), NumberStyles.Float, CultureInfo.InvariantCulture, out var level) && level.Equals(entry.LevelDecibels);
}
