using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>The safety tracks of a trial: their gain below the main track, recording by recording, and whether a take may be read from them.</summary>
internal sealed class SafetyTracks
{
    /// <summary>Stated and measured gain may differ by the tolerance of a recorder's gain steps, dB (common practice, no source).</summary>
    private const double Tolerance = 0.5;

    /// <summary>Below this the two tracks did not hear the same.</summary>
    private const double LeastCorrelation = 0.9;

    private const double StatedUncertainty = 0.5;
    private const double MostSeconds = 1800;

    private readonly Dictionary<(string Recording, string Channel), (double Decibels, double Uncertainty, bool Measured, string Words)> _gains = [];
    private readonly List<Problem> _problems = [];

    /// <summary>What speaks against a safety track, once for each recording.</summary>
    public IReadOnlyList<Problem> Problems => _problems;

    /// <summary>Measures the gain of every safety track in every recording that takes name.</summary>
    public static SafetyTracks Of(TrialInputs inputs)
    {
        var tracks = new SafetyTracks();
        foreach (var channel in inputs.Document.Channels.Where(c => c.Safety is not null))
            foreach (var takes in inputs.Document.Takes.Where(t => t is { Recording: not null, Excluded: null }).GroupBy(t => t.Recording!))
                if (inputs.Document.Recordings.First(r => r.Id == takes.Key).Recorder == channel.Recorder && inputs.Recordings.TryGetValue(takes.Key, out var recording) && recording.Samples is { } samples && channel.Number <= samples.Channels)
                    tracks.Add(inputs.Document.Recordings.First(r => r.Id == takes.Key), channel, channel.Safety!, samples, takes);
        return tracks;
    }

    /// <summary>Level to add to a take read from the safety track and its standard uncertainty, dB, whether it was measured in this recording, with the words for the report; null when it may not be read from it.</summary>
    public (double Decibels, double Uncertainty, bool Measured, string Words)? Gain(string recording, string channel) => _gains.TryGetValue((recording, channel), out var gain) ? gain : null;

    /// <summary>The finding of a take that was read from the safety track.</summary>
    public static Problem Used(ChannelTake take, int atPeak, string words) => take.Finding("TAK-040", Severity.Note,
        Invariant($"{atPeak} samples with flat tops on the main track; the whole take was read from the safety track, number {take.Channel.Safety!.Number}, {words}"),
        "a main track without flat tops", "Nothing is lost. The own noise of the safety track may be higher in quiet bands; record with less gain next time.");

    private void Add(RecordingEntry entry, ChannelEntry channel, SafetyTrack track, SampleSource samples, IEnumerable<TakeEntry> takes)
    {
        if (track.Number > samples.Channels)
        {
            Refuse(entry, channel, Invariant($"a safety track on number {track.Number}, and {samples.Channels} channel(s)"), Invariant($"a number from 1 to {samples.Channels}"), "Correct the number of the safety track.");
            return;
        }
        var spans = takes.Select(t => (First: (long)Math.Round(t.From!.Value * samples.SampleRate), Count: (long)Math.Round((t.To!.Value - t.From.Value) * samples.SampleRate))).Where(s => s.First >= 0 && s.First + s.Count <= samples.Frames).ToList();
        // Takes that clip throughout leave nothing to compare: then the rest of the recording does.
        var gain = SafetyGain.Of(samples, channel.Number - 1, track.Number - 1, spans)
            ?? SafetyGain.Of(samples, channel.Number - 1, track.Number - 1, [(0, (long)Math.Min(samples.Frames, MostSeconds * samples.SampleRate))]);
        if (gain is null && track.Below is { } alone)
            _gains[(entry.Id, channel.Id)] = (alone, StatedUncertainty, false, Invariant($"{alone:0.0#} dB below as stated (standard uncertainty {StatedUncertainty} dB): no stretch without flat tops is left to measure it"));
        else if (gain is null)
            Refuse(entry, channel, "no stretch without flat tops, and no 'below_db'", "two seconds in which the main track does not clip", "State 'below_db' as set at the recorder.");
        else if (gain.Correlation < LeastCorrelation || double.IsNaN(gain.Decibels))
            Refuse(entry, channel, Invariant($"a safety track that does not follow the main track (correlation {gain.Correlation:0.00})"), "the same microphone with less gain, in step to the sample", "Correct the number of the safety track. Tracks with a delay between them cannot serve.");
        else if (track.Below is { } stated && Math.Abs(gain.Decibels - stated) > Tolerance + (2 * gain.StandardUncertainty))
            _problems.Add(new("TAK-041", Severity.Error, Where(entry, channel), Invariant($"a safety track {gain.Decibels:0.00} dB below the main track, measured over {gain.Stretches} stretches without flat tops (standard uncertainty {gain.StandardUncertainty:0.000} dB)"),
                Invariant($"{stated:0.0#} dB, as stated"), "No take was read from it. Was a gain changed, or is it another microphone? Correct 'below_db', or leave it out to have the measured one used.", gain.Decibels - stated));
        else
            _gains[(entry.Id, channel.Id)] = (gain.Decibels, gain.StandardUncertainty, true, Invariant($"{gain.Decibels:0.00} dB below by {gain.Stretches} stretches without flat tops (standard uncertainty {gain.StandardUncertainty:0.000} dB)"));
    }

    private void Refuse(RecordingEntry entry, ChannelEntry channel, string found, string expected, string remedy) => _problems.Add(new("TAK-042", Severity.Error, Where(entry, channel), found, expected, $"No take was read from it. {remedy}"));

    private static string Where(RecordingEntry entry, ChannelEntry channel) => $"{entry.Name}, channel {channel.Id}";
}
