using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Proof;

/// <summary>How often one fault of one size was found.</summary>
/// <param name="Fault">The fault.</param>
/// <param name="Detected">Times that a finding with one of its codes named it.</param>
/// <param name="Of">Takes it was put into, or runs for a fault of the whole run.</param>
public sealed record FaultCount(Fault Fault, int Detected, int Of)
{
    /// <summary>Takes in which it was missed, by their condition.</summary>
    public IReadOnlyDictionary<string, int> Missed { get; init; } = new Dictionary<string, int>(StringComparer.Ordinal);

    internal FaultCount Plus(IReadOnlyList<string> missed, int of) => this with
    {
        Detected = Detected + of - missed.Count, Of = Of + of,
        Missed = Missed.SelectMany(m => Enumerable.Repeat(m.Key, m.Value)).Concat(missed).CountBy(m => m, StringComparer.Ordinal).OrderBy(m => m.Key, StringComparer.Ordinal).ToDictionary(m => m.Key, m => m.Value, StringComparer.Ordinal),
    };
}

/// <summary>What the checks find in synthetic takes with faults of graded size and in clean ones.</summary>
/// <param name="Faults">One row per fault and size.</param>
/// <param name="CleanTakes">Clean takes looked at with the ear's channel alone.</param>
/// <param name="CleanTakesOutside">Clean takes looked at with the outside channel.</param>
/// <param name="FalseTakes">Of the first, those with a finding above a note.</param>
/// <param name="FalseTakesOutside">Of the second.</param>
/// <param name="FalseByCode">Takes falsely flagged by code, all together.</param>
public sealed record CheckProof(IReadOnlyList<FaultCount> Faults, int CleanTakes, int CleanTakesOutside, int FalseTakes, int FalseTakesOutside, IReadOnlyDictionary<string, int> FalseByCode)
{
    /// <summary>Clean takes looked at with a microphone at each ear, for every difference between the ears that a fault names.</summary>
    public int CleanTakesEars { get; init; }

    /// <summary>Of those, takes with a finding above a note.</summary>
    public int FalseTakesEars { get; init; }

    private const int PerTrial = 6;

    /// <summary>Makes trials from seeds of their own and counts.</summary>
    /// <param name="trials">Number of trials, from 1; each has 24 clean takes, and 6 takes of every fault that can happen to a take.</param>
    /// <param name="seed">Seed of the first; the others follow it.</param>
    /// <param name="faults">The faults.</param>
    /// <param name="progress">Receives the share that is done.</param>
    /// <param name="cancellation">Stops between faults.</param>
    public static CheckProof Run(int trials, ulong seed, IReadOnlyList<Fault> faults, IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        var counts = faults.Select(f => new FaultCount(f, 0, 0)).ToArray();
        var byCode = new SortedDictionary<string, int>(StringComparer.Ordinal);
        var (clean, wrong, wrongOutside, cleanEars, wrongEars) = (0, 0, 0, 0, 0);
        for (var trial = 0; trial < trials; trial++)
        {
            var bench = faults.All(f => f.BetweenEars is not null) ? null : new CheckBench(seed + (ulong)trial);
            if (bench is not null)
            {
                clean += bench.Takes;
                wrong += Tally(bench.Clean(outside: false), byCode);
                wrongOutside += Tally(bench.Clean(outside: true), byCode);
            }
            foreach (var f in Enumerable.Range(0, faults.Count).OrderBy(i => faults[i].Sound, StringComparer.Ordinal))
            {
                cancellation.ThrowIfCancellationRequested();
                EarBench? ears = faults[f].BetweenEars is { } apart ? new(seed + (ulong)trial, apart) : null;
                if (ears is not null) (cleanEars, wrongEars) = (cleanEars + ears.Takes, wrongEars + Tally(ears.Clean(), byCode));
                var (missed, of) = ears?.Try(faults[f]) ?? bench!.Try(faults[f], PerTrial);
                counts[f] = counts[f].Plus(missed, of);
                progress?.Report((trial + ((f + 1.0) / faults.Count)) / trials);
            }
        }
        return new(counts, clean, clean, wrong, wrongOutside, byCode) { CleanTakesEars = cleanEars, FalseTakesEars = wrongEars };
    }

    private static int Tally(IReadOnlyList<(string Take, string Code)> found, SortedDictionary<string, int> byCode)
    {
        foreach (var code in found.Distinct().GroupBy(f => f.Code)) byCode[code.Key] = byCode.GetValueOrDefault(code.Key) + code.Count();
        return found.Select(f => f.Take).Distinct().Count();
    }
}

/// <summary>One synthetic trial, measured clean once, of which single takes are measured again with a fault.</summary>
internal sealed class CheckBench
{
    private static readonly LevelSettings _settings = new() { History = true, Octaves = false, MaxThreads = 1 };
    private static readonly Dictionary<string, double> _fullScale = new(StringComparer.Ordinal) { ["ear"] = CheckedTrial.FullScale, ["outside"] = CheckedTrial.FullScale };
    private readonly CheckedTrial _trial;
    private readonly IReadOnlyList<TakeEntry> _entries;
    private readonly Measured[] _clean;
    private readonly Dictionary<string, ChannelLevels> _quiet;

    private readonly TakeLevels[][] _composed = [[], []];
    private (string? Sound, Dictionary<int, (TakeEntry Entry, Measured Take)> Takes) _last = (null, []);

    private sealed record Measured(IReadOnlyList<float[]> Samples, SpanLevels Ear, SpanLevels Outside);

    public CheckBench(ulong seed)
    {
        _trial = new CheckedTrial(seed);
        _entries = _trial.Takes;
        _clean = new Measured[_entries.Count];
        Parallel.For(0, _clean.Length, i =>
        {
            var samples = _trial.Render(i);
            _clean[i] = new(samples, Level(samples[0]), Level(samples[1]));
        });
        foreach (var outside in new[] { false, true })
        {
            var document = CheckedTrial.Document(_entries, outside);
            var composed = new TakeLevels[_clean.Length];
            Parallel.For(0, composed.Length, i => composed[i] = Compose(document, _entries[i], _clean[i], outside));
            _composed[outside ? 1 : 0] = composed;
        }
        var quiet = _trial.Quiet();
        _quiet = new(StringComparer.Ordinal) { ["ear"] = TakeMeasurement.Levels("ear", Level(quiet[0]), CheckedTrial.FullScale), ["outside"] = TakeMeasurement.Levels("outside", Level(quiet[1]), CheckedTrial.FullScale) };
    }

    public int Takes => _entries.Count;

    /// <summary>Findings above a note in the clean takes.</summary>
    public IReadOnlyList<(string Take, string Code)> Clean(bool outside) => Findings([], outside, _quiet);

    /// <summary>Puts a fault into takes one at a time (or into all at once) and says in which conditions it was missed.</summary>
    public (IReadOnlyList<string> Missed, int Of) Try(Fault fault, int most)
    {
        var draws = new Draws(_trial.FaultDraws.Copy().Seed ^ (ulong)StableHash(fault.Name + fault.Size));
        var fitting = Enumerable.Range(0, _entries.Count).Where(i => fault.Fits(_entries[i])).OrderBy(_ => draws.Uniform()).ToList();
        if (fault.WholeRun)
        {
            if (fault.Sound is null || _last.Sound != fault.Sound) _last = (fault.Sound, With(fault, Enumerable.Range(0, _entries.Count), draws));
            var found = Findings(_last.Takes, fault.Outside, _quiet);
            return (found.Any(f => fault.Codes.Contains(f.Code)) ? [] : ["the run"], 1);
        }
        var chosen = fitting.Take(most).Select(i => (Index: i, Draws: draws.Split())).ToList();
        var hits = new bool[chosen.Count];
        Parallel.For(0, chosen.Count, c =>
        {
            var (index, own) = chosen[c];
            var affected = fault.WholeDonning ? Enumerable.Range(0, _entries.Count).Where(i => _entries[i].Fit == _entries[index].Fit && _entries[i].Fit is not null) : [index];
            var (changed, quiet) = fault.OwnNoise is { } below ? Noisy(index, below, own) : (With(fault, affected, own), _quiet);
            hits[c] = Findings(changed, fault.Outside, quiet, notes: true).Any(f => f.Take == _entries[index].Id && fault.Codes.Contains(f.Code));
        });
        return ([.. chosen.Where((_, c) => !hits[c]).Select(c => _entries[c.Index].Condition)], hits.Length);
    }

    private Dictionary<int, (TakeEntry Entry, Measured Take)> With(Fault fault, IEnumerable<int> affected, Draws draws)
    {
        var takes = new Dictionary<int, (TakeEntry, Measured)>();
        Parallel.ForEach(affected.Select(i => (Index: i, Draws: draws.Split())).ToList(), one =>
        {
            var i = one.Index;
            var samples = fault.Make(new(_trial, i, _clean[i].Samples, Math.Sqrt(_clean[i].Ear.MeanSquare(FrequencyWeighting.A)), Low(_clean[i].Ear), one.Draws));
            var changed = (fault.Write?.Invoke(_entries[i]) ?? _entries[i], new Measured(samples, ReferenceEquals(samples[0], _clean[i].Samples[0]) ? _clean[i].Ear : Level(samples[0]),
                ReferenceEquals(samples[1], _clean[i].Samples[1]) ? _clean[i].Outside : Level(samples[1])));
            lock (takes) takes[i] = changed;
        });
        return takes;
    }

    /// <summary>A take with a noisier microphone, and the own noise as it is recorded by itself.</summary>
    private (Dictionary<int, (TakeEntry, Measured)> Takes, Dictionary<string, ChannelLevels> Quiet) Noisy(int index, double below, Draws draws)
    {
        float[] White() => [.. Enumerable.Range(0, _clean[index].Samples[0].Length).Select(_ => (float)(0.01 * draws.Normal()))];
        var (noise, quiet) = (White(), White());
        var gain = Math.Sqrt(_clean[index].Ear.MeanSquare(FrequencyWeighting.A) / Level(noise).MeanSquare(FrequencyWeighting.A)) * Math.Pow(10, below / 20);
        float[] samples = [.. _clean[index].Samples[0].Select((s, i) => (float)(s + (gain * noise[i])))];
        var floors = new Dictionary<string, ChannelLevels>(_quiet, StringComparer.Ordinal)
        {
            ["ear"] = TakeMeasurement.Levels("ear", Level([.. quiet.Select(s => (float)(gain * s))]), CheckedTrial.FullScale),
        };
        return (new() { [index] = (_entries[index], new([samples, _clean[index].Samples[1]], Level(samples), _clean[index].Outside)) }, floors);
    }

    private IReadOnlyList<(string Take, string Code)> Findings(Dictionary<int, (TakeEntry Entry, Measured Take)> changed, bool outside, Dictionary<string, ChannelLevels> quiet, bool notes = false)
    {
        var document = CheckedTrial.Document([.. _entries.Select((e, i) => changed.TryGetValue(i, out var c) ? c.Entry : e)], outside);
        var measured = _composed[outside ? 1 : 0].Select((clean, i) => changed.TryGetValue(i, out var c) ? Compose(document, c.Entry, c.Take, outside) : clean).ToList();
        var compared = SignalChecks.OfTrial(new ComparedTakes(document, measured, quiet), null);
        return [.. measured.SelectMany(m => m.Findings.Select(f => (Take: m.Entry.Id, Problem: f))).Concat(compared.SelectMany(c => c.Takes.Select(t => (Take: t, c.Problem))))
            .Concat(measured.SelectMany(m => NoiseFloors.Reached([m], quiet).Select(p => (Take: m.Entry.Id, Problem: p))))
            .Where(f => notes || f.Problem.Severity != Severity.Note).Select(f => (f.Take, f.Problem.Code))];
    }

    private static TakeLevels Compose(TrialDocument document, TakeEntry entry, Measured take, bool outside) =>
        TakeMeasurement.Compose(document, entry, document.Recordings[0], document.Channels, outside ? [take.Ear, take.Outside] : [take.Ear],
            SignalPass.Measure(new HeldSamples(CheckedTrial.Rate, take.Samples), outside ? [0, 1] : [0], 0, take.Samples[0].Length), _fullScale, (long)(entry.From!.Value * CheckedTrial.Rate));

    private static double Low(SpanLevels ear) => CheckedTrial.FullScale + (10 * Math.Log10(ear.Thirds.Where(b => b.Band.NominalHertz is >= 25 and <= 50).Sum(b => b.MeanSquare)));

    private static SpanLevels Level(float[] samples) => LevelAnalysis.Measure(new HeldSamples(CheckedTrial.Rate, [samples]), 0, 0, samples.Length, _settings);

    private static int StableHash(string text) => text.Aggregate(17, (h, c) => unchecked((h * 31) + c));
}
