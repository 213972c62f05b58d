using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Screening;

/// <summary>Takes from the recordings of a trial what its analysis needs, so that their sound can be discarded.</summary>
public static class KeepingLevels
{
    /// <summary>Largest difference of any level that is kept to the one measured from the sound, dB.</summary>
    public const double MostDifference = 0.01;

    /// <summary>What is to be kept of each recording that can be read, by its identity.</summary>
    /// <param name="inputs">The trial with its sound.</param>
    /// <param name="measured">The same, measured.</param>
    /// <param name="discarded">The date, for readers.</param>
    public static IReadOnlyDictionary<string, KeptRecording> Of(TrialInputs inputs, MeasuredTrial measured, string discarded)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        ArgumentNullException.ThrowIfNull(measured);
        var document = inputs.Document;
        return document.Recordings.Where(r => inputs.Recordings.TryGetValue(r.Id, out var opened) && opened.Samples is not null).ToDictionary(r => r.Id, entry =>
        {
            var recording = inputs.Recordings[entry.Id];
            return new KeptRecording
            {
                Discarded = discarded, Files = [.. inputs.Files.Where(f => entry.Files.Contains(f.File))], Lossy = recording.Lossy, Seconds = recording.Duration.TotalSeconds,
                OfDay = recording is { SampleRate: > 0, SamplesSinceMidnight: > 0 and var samples } ? (double)samples / recording.SampleRate % 86_400 : null,
                Takes = [.. measured.Takes.Where(t => t.Entry.Recording == entry.Id && t.Ears.Count + (t.Outside is null ? 0 : 1) > 0).Select(t => Take(t, measured))],
                Spans = [.. NamedSpans(document).Where(s => s.Recording == entry.Id).Distinct().Select(s => Span(s, recording, [.. document.ChannelsOf(entry)])).OfType<KeptSpan>()],
                Calibrations = [.. measured.Calibrations.Made.Where(m => m.Entry.Recording == entry.Id).Select(m => new KeptCalibration(m.Entry.Channel, m.Entry.Kind, m.Entry.From ?? 0, m.Entry.To ?? recording.Duration.TotalSeconds, m.Entry.LevelDecibels,
                    m.Entry.FrequencyHertz, m.Entry.Weighting, m.Entry.Uncertainty, m.Calibration.FullScale?.Decibels, m.Calibration.StandardUncertainty.Decibels, m.Calibration.Words, m.Calibration.Problems))],
                History = measured.Histories.FirstOrDefault(h => h.Recording == entry.Id) is { } history && document.ChannelsOf(entry).FirstOrDefault(c => !c.Outside) is { } ear
                    ? new(ear.Id, history.StepSeconds / entry.ClockRate, [.. history.LevelA.Select(l => l - measured.FullScale.GetValueOrDefault(ear.Id))]) : null,
            };
        }, StringComparer.Ordinal);
    }

    /// <summary>Where kept levels would give another answer than the sound, in words; null when they give the same.</summary>
    public static string? Difference(MeasuredTrial fromSound, MeasuredTrial fromLevels)
    {
        ArgumentNullException.ThrowIfNull(fromSound);
        ArgumentNullException.ThrowIfNull(fromLevels);
        foreach (var (a, b) in fromSound.Takes.Zip(fromLevels.Takes))
        {
            if (!a.Incomparable.SequenceEqual(b.Incomparable) || !a.Safety.SequenceEqual(b.Safety) || (a.Gate is null) != (b.Gate is null) || !a.Coherence.SequenceEqual(b.Coherence)) return $"take {a.Entry.Id}";
            if (a.Used != b.Used || a.Ears.Count != b.Ears.Count || (a.Outside is null) != (b.Outside is null)) return $"take {a.Entry.Id}";
            foreach (var (x, y) in a.Ears.Concat(a.Outside is { } o ? [o] : []).Zip(b.Ears.Concat(b.Outside is { } p ? [p] : [])))
                if (Apart(x.A, y.A) || Apart(x.C, y.C) || x.Bands.Count != y.Bands.Count || x.Bands.Any(l => Apart(l.Value, y.Bands.TryGetValue(l.Key, out var other) ? other : null))) return $"take {a.Entry.Id}, channel {x.Channel}";
        }
        if (fromSound.OwnNoise.Count != fromLevels.OwnNoise.Count || fromSound.OwnNoise.Any(n => Apart(n.Value.A, fromLevels.OwnNoise.GetValueOrDefault(n.Key)?.A))) return "the own noise";
        if (fromSound.Absolute != fromLevels.Absolute || fromSound.FullScale.Any(f => Apart(f.Value, fromLevels.FullScale.GetValueOrDefault(f.Key)))) return "the calibration";
        if (fromSound.Listening.Warnings.Count != fromLevels.Listening.Warnings.Count || fromSound.Listening.Under.Count != fromLevels.Listening.Under.Count || fromSound.Listening.Quiet.Count != fromLevels.Listening.Quiet.Count) return "the warning sounds and quiet spans";
        return fromSound.Cabins.Any(c => c.Value.Spectrum is null != (fromLevels.Cabins.GetValueOrDefault(c.Key)?.Spectrum is null)) ? "the other cabins" : null;
    }

    private static bool Apart(double? a, double? b) => a is { } x && b is { } y ? Math.Abs(x - y) > MostDifference : a is null != b is null;

    private static KeptTake Take(TakeLevels take, MeasuredTrial measured)
    {
        KeptChannel Kept(ChannelLevels levels) => KeptChannel.Of(levels, measured.FullScale.GetValueOrDefault(levels.Channel));
        return new(take.Entry.From!.Value, take.Entry.To!.Value, [.. take.Ears.Select(Kept)], take.Outside is { } outside ? Kept(outside) : null, take.Coherence, take.Gate?.Spans, [.. take.Gate?.Ears.Select(Kept) ?? []],
            take.Gate?.Outside is { } rest ? Kept(rest) : null, [.. take.Findings.Where(f => !measured.Compared.Contains(f))], [.. take.Findings.Where(measured.Compared.Contains)], take.Incomparable, take.Safety);
    }

    private static IEnumerable<(string Recording, int Number, double? From, double? To, bool Rounded)> NamedSpans(TrialDocument document)
    {
        foreach (var channel in document.Channels)
            if (channel.NoiseRecording is { } quiet) yield return (quiet, channel.Number, channel.NoiseFrom, channel.NoiseTo, false);
        var plan = document.Listening;
        foreach (var span in (plan?.Warnings ?? []).SelectMany(w => new[] { w.Span, w.Background }).Concat((plan?.Warnings ?? []).SelectMany(w => w.Under).SelectMany(u => new[] { u.Sound, u.Background })).Concat((plan?.Quiet ?? []).SelectMany(q => new[] { q.On, q.Off })).OfType<NamedSpan>())
            foreach (var ear in Of(span.Recording).Where(c => !c.Outside)) yield return (span.Recording, ear.Number, span.From, span.To, true);
        foreach (var cabin in document.Cabins.Where(c => c.Recording is not null))
            if ((cabin.Channel is { } named ? document.Channels.FirstOrDefault(c => c.Id == named) : Of(cabin.Recording!).MaxBy(c => c.Outside)) is { } channel) yield return (cabin.Recording!, channel.Number, cabin.From, cabin.To, true);

        IEnumerable<ChannelEntry> Of(string recording) => document.Recordings.FirstOrDefault(r => r.Id == recording) is { } entry ? document.ChannelsOf(entry) : [];
    }

    private static KeptSpan? Span((string Recording, int Number, double? From, double? To, bool Rounded) span, Signals.Recordings.Recording recording, IReadOnlyList<ChannelEntry> channels)
    {
        var samples = recording.Samples!;
        var (from, to) = (span.From ?? 0, span.To ?? recording.Duration.TotalSeconds);
        // As the stages that need it cut it.
        long Frame(double seconds) => span.Rounded ? (long)Math.Round(seconds * samples.SampleRate) : (long)(seconds * samples.SampleRate);
        var first = Frame(from);
        var count = (span.Rounded ? (long)Math.Round((to - from) * samples.SampleRate) : Math.Min(Frame(to), samples.Frames) - first);
        if (span.Number > samples.Channels || count < 1 || first + count > samples.Frames || channels.FirstOrDefault(c => c.Number == span.Number) is not { } channel) return null;
        var levels = TakeMeasurement.Levels(channel.Id, LevelAnalysis.Measure(samples, span.Number - 1, first, count, new LevelSettings { Octaves = false }), 0);
        return new(span.Number, from, to, KeptChannel.Of(levels with { HalfSeconds = null }, 0));
    }
}
