using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Leading;

/// <summary>What the checks say of a take as soon as it is over: the same ones that the findings come from.</summary>
/// <param name="Findings">What speaks against it, in the order of the checks.</param>
/// <param name="Advice">Whether it is to be taken again. It is advice: the observer decides, and nothing is deleted.</param>
public sealed record TakeJudgement(IReadOnlyList<Problem> Findings, TakeFate Advice)
{
    /// <summary>A leak: the device has to be put on again.</summary>
    private static readonly IReadOnlyList<string> _putOn = ["TAK-031"];

    /// <summary>Clipping, holes, an unsteady level, silence, a stuck converter, a beat, knocks, speech and bursts, a phone, wind, a power change, a wrong name, an active system that is off,
    /// overload, a changed gain, a limiter.</summary>
    private static readonly IReadOnlyList<string> _again =
    [
        "TAK-010", "TAK-011", "TAK-012", "TAK-013", "TAK-016", "TAK-017", "TAK-018", "TAK-019", "TAK-021", "TAK-024", "TAK-025", "TAK-027", "TAK-028", "TAK-029", "TAK-030", "TAK-035", "TAK-037",
    ];

    private const string Reference = "reference";

    /// <summary>Measures a take in a recording that may still grow.</summary>
    /// <param name="document">The trial: its channels, conditions and devices count.</param>
    /// <param name="recording">The recording.</param>
    /// <param name="take">The take; its recording's identity is that of <paramref name="entry"/>.</param>
    /// <param name="entry">The recording's entry.</param>
    /// <param name="fullScale">Level of 0 dB re full scale by channel, dB; 0 where nothing is calibrated.</param>
    public static TakeLevels Measure(TrialDocument document, Recording recording, RecordingEntry entry, TakeEntry take, IReadOnlyDictionary<string, double> fullScale)
    {
        ArgumentNullException.ThrowIfNull(entry);
        var inputs = new TrialInputs(Bare(document) with { Recordings = [entry], Takes = [take] },
            new Dictionary<string, Recording>(StringComparer.Ordinal) { [entry.Id] = recording }, [], [], "");
        return TakeMeasurement.Recorded(take, inputs, fullScale, SafetyTracks.Of(inputs));
    }

    /// <summary>Judges a take beside the others of its session.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="entry">The recording's entry.</param>
    /// <param name="session">The other takes of the session that count.</param>
    /// <param name="take">The take, measured.</param>
    public static TakeJudgement Of(TrialDocument document, RecordingEntry entry, IReadOnlyList<TakeLevels> session, TakeLevels take)
    {
        ArgumentNullException.ThrowIfNull(entry);
        ArgumentNullException.ThrowIfNull(session);
        ArgumentNullException.ThrowIfNull(take);
        var all = session.Append(take).ToList();
        var bare = Bare(document) with { Recordings = [entry], Takes = [.. all.Select(t => t.Entry)] };
        var compared = SignalChecks.OfTrial(Compared(bare, all), null).Concat(LeakCheck.Check(Compared(bare, [.. all, Flat(take)])));
        List<Problem> findings =
        [
            .. take.Findings, .. compared.Where(f => f.Takes.Contains(take.Entry.Id)).Select(f => f.Problem),
        ];
        findings = [.. findings.Where(f => _putOn.Contains(f.Code) || _again.Contains(f.Code)).DistinctBy(f => (f.Code, f.Where))];
        return new(findings, findings.Any(f => _putOn.Contains(f.Code)) ? TakeFate.AgainPutOn : findings.Count > 0 ? TakeFate.Again : TakeFate.Kept);
    }

    private static ComparedTakes Compared(TrialDocument document, IReadOnlyList<TakeLevels> takes) => new(document, takes, new Dictionary<string, ChannelLevels>(StringComparer.Ordinal));

    // A leak is a difference between two donnings of one condition: any open ear serves as the reference, also one that is flat where none was read yet.
    private static TakeLevels Flat(TakeLevels take) => new(take.Entry with { Id = Reference, Condition = TrialDocument.OpenEar, Fit = null }, null, take.Seconds,
        [.. take.Ears.Select(Flat)], take.Outside is { } outside ? Flat(outside) : null, []);

    private static ChannelLevels Flat(ChannelLevels levels) => new(levels.Channel, 0, 0, levels.Bands.Keys.ToDictionary(b => b, _ => 0.0));

    // Logs and safety tracks are not there while it is captured.
    private static TrialDocument Bare(TrialDocument document) => document with { Logs = [], Channels = [.. document.Channels.Select(c => c with { Safety = null })] };
}
