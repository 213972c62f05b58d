using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Screening;

/// <summary>Measures every take: the span of its recording on every channel, its span of a level log, or the reading that was noted.</summary>
public static class TakeMeasurement
{
    // One thread a take: the takes share the cores.
    private static readonly LevelSettings _settings = new() { History = true, Octaves = false, MaxThreads = 1 };

    /// <summary>Levels of all takes, in the document's order; excluded takes are measured too, so that the report can show them.</summary>
    /// <param name="inputs">The document and its opened recordings.</param>
    /// <param name="fullScale">Level of 0 dB re full scale by channel, dB; 0 where nothing was calibrated.</param>
    /// <param name="safety">Safety tracks, from which takes with flat tops are read.</param>
    /// <param name="progress">Receives the share that is done, 0 to 1.</param>
    /// <param name="cancellation">Stops between takes.</param>
    internal static IReadOnlyList<TakeLevels> Measure(TrialInputs inputs, IReadOnlyDictionary<string, double> fullScale, SafetyTracks safety, IProgress<double>? progress, CancellationToken cancellation)
    {
        var takes = inputs.Document.Takes;
        var measured = new TakeLevels[takes.Count];
        var logged = LogTakes.AtEar(inputs, cancellation);
        var done = 0;
        Parallel.For(0, takes.Count, new ParallelOptions { CancellationToken = cancellation }, i =>
        {
            measured[i] = takes[i].Log is not null ? logged[takes[i].Id] : takes[i].Recording is null ? Noted(takes[i]) : Recorded(takes[i], inputs, fullScale, safety);
            progress?.Report((double)Interlocked.Increment(ref done) / takes.Count);
        });
        LogTakes.AddOutside(inputs, measured, cancellation);
        return measured;
    }

    private static TakeLevels Noted(TakeEntry take) => new(take, take.Clock, null,
        [new("", take.ReadingA, take.ReadingC, take.ReadingBands.ToDictionary(b => b.Key, b => b.Value))], null, []);

    internal static TakeLevels Recorded(TakeEntry take, TrialInputs inputs, IReadOnlyDictionary<string, double> fullScale, SafetyTracks safety)
    {
        var entry = inputs.Document.Recordings.First(r => r.Id == take.Recording);
        if (inputs.Kept.TryGetValue(entry.Id, out var kept)) return KeptSound.Take(take, entry, kept, ClockOf(inputs.Document, take, entry), fullScale);
        if (!inputs.Recordings.TryGetValue(entry.Id, out var recording) || recording.Samples is not { } samples)
            return new(take, null, null, [], null, []);
        var (from, to) = (take.From!.Value, take.To!.Value);
        var first = (long)Math.Round(from * samples.SampleRate);
        var count = (long)Math.Round((to - from) * samples.SampleRate);
        // Start and length rounded each for itself may come to a frame more than the end does.
        if (first + count > samples.Frames && (long)Math.Round(to * samples.SampleRate) <= samples.Frames) count = samples.Frames - first;
        if (first + count > samples.Frames)
            return new(take, null, null, [], null, [Outside(take, entry, samples)]);
        var channels = inputs.Document.ChannelsOf(entry).Where(c => c.Number <= samples.Channels).ToList();
        var missing = inputs.Document.ChannelsOf(entry).Where(c => c.Number > samples.Channels).Select(c => NoChannel(take, entry, c, samples)).ToList();
        if (channels.Count == 0) return new(take, null, to - from, [], null, missing);
        var numbers = channels.Select(c => c.Number - 1).ToArray();
        var signals = SignalPass.Measure(samples, numbers, first, count);
        var replaced = new List<(int Place, int AtPeak, string Words)>();
        for (var i = 0; i < channels.Count; i++)
        {
            if (safety.Gain(entry.Id, channels[i].Id) is not { } gain || !ClippingCheck.IsClipped(signals.Shapes[i], count)) continue;
            replaced.Add((i, (int)signals.Shapes[i].AtPeak, gain.Words));
            numbers[i] = channels[i].Safety!.Number - 1;
            fullScale = new Dictionary<string, double>(fullScale, StringComparer.Ordinal) { [channels[i].Id] = fullScale.GetValueOrDefault(channels[i].Id) + gain.Decibels };
        }
        // The whole take from one track: nothing is mixed.
        if (replaced.Count > 0) signals = SignalPass.Measure(samples, numbers, first, count);
        var spans = numbers.Select(n => LevelAnalysis.Measure(samples, n, first, count, _settings)).ToList();
        var elsewhere = OutsideRecorder.Of(inputs, take, entry, fullScale, _settings);
        missing.AddRange(elsewhere.Problems);
        var measured = Compose(inputs.Document, take, entry, channels, spans, signals, fullScale, first, replaced, elsewhere.Outside);
        ChannelLevels Looked(ChannelLevels levels) => levels with
        {
            Looks = [.. ClaimedHertz(inputs.Document).Select(f => NarrowLooks.At(samples, numbers[channels.FindIndex(c => c.Id == levels.Channel)], first, count, f, fullScale.GetValueOrDefault(levels.Channel))).OfType<NarrowLook>()],
        };
        var read = replaced.Select(r => safety.Gain(entry.Id, channels[r.Place].Id)!.Value is var gain ? new SafetyReading(gain.Measured ? entry.Id : null, channels[r.Place].Id, gain.Uncertainty) : null).OfType<SafetyReading>().ToList();
        return measured with { Safety = read, Ears = [.. measured.Ears.Select(Looked)], Outside = measured.Outside is { } o && elsewhere.Outside is null ? Looked(o) : measured.Outside, Findings = [.. missing, .. measured.Findings] };
    }

    /// <summary>Puts a take together from what was measured of its channels, and runs the checks that need it alone.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="take">The take.</param>
    /// <param name="entry">Its recording.</param>
    /// <param name="channels">The channels that were measured.</param>
    /// <param name="spans">Levels of each.</param>
    /// <param name="signals">The pass of the checks over the same channels.</param>
    /// <param name="fullScale">Level of 0 dB re full scale by channel, dB.</param>
    /// <param name="firstFrame">First frame of the take.</param>
    /// <param name="replaced">Places among the channels that were read from their safety track, with the samples of the main track that had flat tops, and the gain in words.</param>
    /// <param name="elsewhere">The microphone outside on another recorder at the same time.</param>
    internal static TakeLevels Compose(TrialDocument document, TakeEntry take, RecordingEntry entry, IReadOnlyList<ChannelEntry> channels, IReadOnlyList<SpanLevels> spans,
        SpanSignals signals, IReadOnlyDictionary<string, double> fullScale, long firstFrame, IReadOnlyList<(int Place, int AtPeak, string Words)>? replaced = null, ChannelTake? elsewhere = null)
    {
        var active = document.Conditions.Any(c => c.Id == take.Condition && c.Mode == "active");
        var seen = channels.Select((channel, i) =>
        {
            var level = fullScale.GetValueOrDefault(channel.Id);
            var signal = new ChannelSignal(signals.Shapes[i], spans[i].History!, signals.Low?.Density(i), signals.Low?.Resolution ?? 0, level, spans[i].SampleRate);
            return new ChannelTake(take, entry, channel, Levels(channel.Id, spans[i], level) with { Signal = signal }, signal, firstFrame) { Active = active && !channel.Outside };
        }).ToList();
        var ears = seen.Where(s => !s.Channel.Outside).ToList();
        var outside = seen.FirstOrDefault(s => s.Channel.Outside) ?? elsewhere;
        List<Problem> findings = [.. (replaced ?? []).Select(r => SafetyTracks.Used(seen[r.Place], r.AtPeak, r.Words)), .. seen.Concat(elsewhere is null ? [] : [elsewhere]).SelectMany(SignalChecks.OfTake)];
        var gate = GateOf(ears, outside, findings);
        // Fewer segments share too much by chance; two recorders do not keep step to the sample.
        var coherence = outside is null || elsewhere is not null || signals.Low is not { Segments: >= 4 } low ? []
            : ears.Select(e => low.Coherence(seen.IndexOf(e), seen.IndexOf(outside), 20, 100)).ToList();
        var (from, to) = (take.From!.Value, take.To!.Value);
        return new(take, ClockOf(document, take, entry), to - from, [.. ears.Select(e => e.Levels)], outside?.Levels, findings) { Gate = gate, Coherence = coherence };
    }

    private static Gate? GateOf(List<ChannelTake> ears, ChannelTake? outside, List<Problem> findings)
    {
        bool[]? together = null;
        foreach (var ear in ears)
            if (Gating.Find(ear) is { } found) together = together is null ? found : [.. together.Zip(found, (a, b) => a || b)];
        if (together is null) return null;
        var spans = Gating.Spans(ears[0], together);
        var gate = new Gate(spans, [.. ears.Select(e => Gating.Without(e.Levels, together))], outside is null ? null : Gating.Without(outside.Levels, together));
        findings.AddRange(ears.Select((e, i) => Gating.Finding(e, spans, gate.Ears[i])));
        return gate;
    }

    internal static IEnumerable<double> ClaimedHertz(TrialDocument document) =>
        document.Devices.SelectMany(d => d.Published?.Claims ?? []).Select(c => c.Hertz).OfType<double>().Distinct();

    /// <summary>Levels of one channel from a measured span, dB.</summary>
    /// <param name="channel">Identity of the channel.</param>
    /// <param name="span">The measured span.</param>
    /// <param name="fullScale">Level of 0 dB re full scale, dB.</param>
    public static ChannelLevels Levels(string channel, SpanLevels span, double fullScale)
    {
        double? InDecibels(double meanSquare) => Level.FromMeanSquareRatio(meanSquare)?.Decibels + fullScale;
        var bands = new Dictionary<Band, double>();
        foreach (var band in span.Thirds)
            if (band.Valid && InDecibels(band.MeanSquare) is { } level) bands[band.Band] = level;
        return new(channel, InDecibels(span.MeanSquare(FrequencyWeighting.A)), InDecibels(span.MeanSquare(FrequencyWeighting.C)), bands)
        {
            HalfSeconds = HalfSeconds(span, fullScale),
            PeakC = span.PeakC > 0 ? (20 * Math.Log10(span.PeakC)) + fullScale : null,
        };
    }

    private static ShortTermLevels? HalfSeconds(SpanLevels span, double fullScale)
    {
        if (span.History is not { } history) return null;
        var perHalf = (int)Math.Round(ShortTermLevels.Seconds / history.StepSeconds);
        // The last step may be shorter than the others.
        var halves = (int)(span.Seconds / ShortTermLevels.Seconds);
        IReadOnlyList<double>? Series(IReadOnlyList<float> meanSquares)
        {
            var levels = new double[halves];
            for (var half = 0; half < halves; half++)
            {
                var sum = 0.0;
                for (var i = half * perHalf; i < (half + 1) * perHalf; i++) sum += meanSquares[i];
                if (!(sum > 0)) return null;
                levels[half] = (10 * Math.Log10(sum / perHalf)) + fullScale;
            }
            return levels;
        }
        var bands = new Dictionary<Band, IReadOnlyList<double>>();
        foreach (var (index, band) in history.Bands.Index())
            if (Series(history.Third(index)) is { } series) bands[band] = series;
        return new(Series(history.MeanSquareA), Series(history.MeanSquareC), bands);
    }

    /// <summary>Mid time of a take on the clock of its run, s; null without one.</summary>
    private static double? ClockOf(TrialDocument document, TakeEntry take, RecordingEntry entry) =>
        entry.StartClock is not null || OnlyOneOfItsRun(document, entry) ? entry.Clock.At((take.From!.Value + take.To!.Value) / 2) : null;

    private static bool OnlyOneOfItsRun(TrialDocument document, RecordingEntry entry) =>
        entry.Run is not null && document.Recordings.Count(r => r.Run == entry.Run) == 1;

    private static Problem Outside(TakeEntry take, RecordingEntry entry, SampleSource samples) => new("TAK-001", Severity.Error, take.Where,
        string.Create(CultureInfo.InvariantCulture, $"take {take.Id} from {take.From:0.######} s to {take.To:0.######} s of {entry.Name}"),
        // To a millionth: a take that reaches one sample too far is told apart from one that does not.
        string.Create(CultureInfo.InvariantCulture, $"a span inside the recording, which is {(double)samples.Frames / samples.SampleRate:0.######} s long"),
        "Correct the times of the take, or name the recording that holds it.");

    private static Problem NoChannel(TakeEntry take, RecordingEntry entry, ChannelEntry channel, SampleSource samples) => new("TAK-002", Severity.Error, take.Where,
        string.Create(CultureInfo.InvariantCulture, $"channel {channel.Id} on number {channel.Number}, and {entry.Name} with {samples.Channels} channel(s)"),
        string.Create(CultureInfo.InvariantCulture, $"a channel number from 1 to {samples.Channels}"),
        "Correct the number of the channel in 'channels', or name the recording that holds it.");
}
