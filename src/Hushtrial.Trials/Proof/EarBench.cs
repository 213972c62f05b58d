using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Proof;

/// <summary>One synthetic trial with a microphone at each ear, measured once, in whose recordings the two plugs are then exchanged one recording at a time.</summary>
internal sealed class EarBench
{
    private static readonly LevelSettings _settings = new() { History = true, Octaves = false, MaxThreads = 1 };
    private static readonly Dictionary<string, double> _fullScale = new(StringComparer.Ordinal) { ["left"] = CheckedTrial.FullScale, ["right"] = CheckedTrial.FullScale };
    private readonly TrialDocument _document;
    private readonly TakeLevels[] _straight, _exchanged;

    public EarBench(ulong seed, double betweenEars)
    {
        var trial = new TwoEarTrial(seed, betweenEars);
        _document = trial.Document();
        (_straight, _exchanged) = (new TakeLevels[_document.Takes.Count], new TakeLevels[_document.Takes.Count]);
        Parallel.For(0, _straight.Length, i =>
        {
            var samples = trial.Render(i);
            var levels = samples.Select(s => LevelAnalysis.Measure(new HeldSamples(CheckedTrial.Rate, [s]), 0, 0, s.Length, _settings)).ToList();
            TakeLevels Compose(int left, int right) => TakeMeasurement.Compose(_document, _document.Takes[i], _document.Recordings.First(r => r.Id == _document.Takes[i].Recording), _document.Channels, [levels[left], levels[right]],
                SignalPass.Measure(new HeldSamples(CheckedTrial.Rate, [samples[left], samples[right]]), [0, 1], 0, samples[0].Length), _fullScale, (long)(_document.Takes[i].From!.Value * CheckedTrial.Rate));
            (_straight[i], _exchanged[i]) = (Compose(0, 1), Compose(1, 0));
        });
    }

    public int Takes => _straight.Length;

    /// <summary>Findings above a note in the clean takes.</summary>
    public IReadOnlyList<(string Take, string Code)> Clean() => Findings(_straight);

    /// <summary>Exchanges the ears of every recording in turn; an open-ear take of it counts as found when the finding names it and no take of another recording.</summary>
    public (IReadOnlyList<string> Missed, int Of) Try(Fault fault)
    {
        var (missed, of) = (new List<string>(), 0);
        foreach (var recording in _document.Recordings)
        {
            var named = Findings([.. _straight.Select((t, i) => t.Entry.Recording == recording.Id ? _exchanged[i] : t)]).Where(f => fault.Codes.Contains(f.Code)).Select(f => f.Take).ToHashSet(StringComparer.Ordinal);
            var open = _document.Takes.Where(t => t.Recording == recording.Id && fault.Fits(t)).ToList();
            of += open.Count;
            missed.AddRange(open.Where(t => !named.Contains(t.Id) || named.Any(n => open.All(o => o.Id != n))).Select(_ => recording.Id));
        }
        return (missed, of);
    }

    private IReadOnlyList<(string Take, string Code)> Findings(IReadOnlyList<TakeLevels> takes) =>
        [.. takes.SelectMany(t => t.Findings.Select(f => (Take: t.Entry.Id, Problem: f))).Concat(SignalChecks.OfTrial(new ComparedTakes(_document, takes, new Dictionary<string, ChannelLevels>(StringComparer.Ordinal)), null).SelectMany(c => c.Takes.Select(t => (Take: t, c.Problem))))
            .Where(f => f.Problem.Severity != Severity.Note).Select(f => (f.Take, f.Problem.Code))];
}
