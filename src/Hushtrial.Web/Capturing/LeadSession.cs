using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Captures;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Leading;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Web.Capturing;

/// <summary>What the workspace knows of one capture while it grows: its running levels, and its takes as measured. Made anew from the marks when it is gone.</summary>
/// <remarks>For several threads. What it hears it hears while the shelf holds the capture, so nothing is asked of the shelf under <c>_lock</c>; under <c>_measuring</c> it is.</remarks>
/// <param name="source">What the capture is made with.</param>
/// <param name="from">First frame that it hears.</param>
internal sealed class LeadSession(CaptureSource source, long from)
{
    /// <summary>A session that another process began takes up so much of the take under way, s: more would keep the page waiting.</summary>
    public const int MostTakenUp = 300;

    /// <summary>Heard before a take, s: filters have settled, and a mark may come late.</summary>
    private const int Before = 15;

    /// <summary>The entry under which the growing recording is measured.</summary>
    public static RecordingEntry Growing { get; } = new("capture", "capture.wav", 0, null);

    private readonly Lock _lock = new(), _measuring = new();
    private readonly LiveTake? _live = LiveTake.CanMeasure(source.SampleRate) ? new(source.SampleRate, source.Channels) : null;
    private readonly Dictionary<(long From, long To), TakeLevels> _measured = [];

    /// <summary>The trial at the revision that was last looked at, and when.</summary>
    public (long At, LeadTrial Trial)? Trial { get; set; }

    /// <summary>Second of the take whose figure was sent last.</summary>
    public double Drawn { get; set; }

    /// <summary>The session of a capture that this process does not know yet: a workspace that was stopped in the middle of a take goes on with it, from the file on the disk.</summary>
    public static LeadSession TakeUp(CaptureState state, CaptureShelf shelf)
    {
        var now = LedRun.Of(state.Marks).Now;
        long rate = state.Source.SampleRate, first = Math.Max(0, Math.Max(Math.Min(now?.From ?? state.Frames, state.Frames) - (Before * rate), state.Frames - (MostTakenUp * rate)));
        var session = new LeadSession(state.Source, first);
        session.Follow(now);
        if (first < state.Frames && session._live is { } live)
            shelf.Look(state.Id, recording =>
            {
                if (recording.Samples is { } samples) live.Add(samples, first, Math.Min(state.Frames, samples.Frames) - first);
                return session;
            });
        return session;
    }

    /// <summary>Takes frames in.</summary>
    public void Hear(ReadOnlySpan<byte> interleaved)
    {
        lock (_lock) _live?.Add(interleaved);
    }

    /// <summary>A take begins or ends.</summary>
    public void Follow(UnderWay? now)
    {
        lock (_lock)
        {
            if (now is { Taking: true }) _live?.Begin(now.From - from);
            else _live?.End();
            Drawn = 0;
        }
    }

    /// <summary>What a channel reads now; null where the rate is below what levels are measured at.</summary>
    public LiveReading? Read(int channel, double fullScale)
    {
        lock (_lock) return _live is { } live && channel < live.Channels ? live.Read(channel, fullScale) : null;
    }

    /// <summary>Seconds into the take under way at which one of these channels first reached full scale, when it clips; null while none does.</summary>
    public double? ClippedAt(IEnumerable<int> channels)
    {
        lock (_lock) return _live is { } live ? channels.Where(c => c < live.Channels).Select(live.ClippedAt).Min() : null;
    }

    /// <summary>The takes of the run that count or wait for the observer's word, measured; each is measured once.</summary>
    public IReadOnlyList<(LedSpan Span, TakeLevels Levels)> Measured(LedRun run, LeadTrial trial, Func<Func<Recording, IReadOnlyList<(LedSpan, TakeLevels)>>, IReadOnlyList<(LedSpan, TakeLevels)>?> look)
    {
        // A lock of its own: the look waits for the capture, and whoever holds that may wait to be heard.
        lock (_measuring)
        {
            var spans = run.Takes.Where(t => t.Fate == TakeFate.Kept && trial.Knows(t.Condition)).ToList();
            if (spans.Count == 0) return [];
            if (spans.All(s => _measured.ContainsKey((s.From, s.To)))) return [.. spans.Select(s => (s, _measured[(s.From, s.To)]))];
            return look(recording =>
            {
                foreach (var span in spans)
                    if (!_measured.ContainsKey((span.From, span.To)) && span.To <= recording.Frames && span.To > span.From)
                        _measured[(span.From, span.To)] = TakeJudgement.Measure(trial.Document, recording, Growing, Entry(span), trial.FullScale);
                return [.. spans.Where(s => _measured.ContainsKey((s.From, s.To))).Select(s => (s, _measured[(s.From, s.To)]))];
            }) ?? [];
        }
    }

    private TakeEntry Entry(LedSpan span) => new(FormattableString.Invariant($"t{span.From}"), "run", null, span.Condition, span.Fit, Growing.Id,
        (double)span.From / source.SampleRate, (double)span.To / source.SampleRate, null, null, [], null, null, null, null, "");
}
