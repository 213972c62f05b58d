using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;
using static System.FormattableString;

namespace Hushtrial.Trials.Alignment;

/// <summary>A recording or log of a run.</summary>
/// <param name="Section">'recordings' or 'logs'.</param>
/// <param name="Id">Its identity.</param>
/// <param name="Start">Its first sample or row on the clock of the run, as the document has it; null when it has no clock.</param>
/// <param name="Offset">Seconds that the document adds to its own clock.</param>
/// <param name="Rate">Seconds of the run's clock that a second of it lasts, as the document has it.</param>
/// <param name="BeforeStart">Elapsed time at its first row, s, for a log without a clock.</param>
public sealed record AlignedSource(string Section, string Id, double? Start, double Offset, double Rate, double BeforeStart = 0);

/// <summary>Two instruments of a run, laid on each other.</summary>
/// <param name="Run">The run.</param>
/// <param name="Reference">The one whose clock counts.</param>
/// <param name="Other">The other.</param>
/// <param name="Method">'level curve' or 'claps'.</param>
/// <param name="Fit">Offset and drift with their evidence, or the refusal.</param>
public sealed record AlignedPair(string Run, AlignedSource Reference, AlignedSource Other, string Method, ClockFit Fit)
{
    /// <summary>Whether the reference is that of the whole run, from which clocks may be written.</summary>
    public bool IsOfRun { get; init; }

    /// <summary>Where the document puts the first sample or row of the other on the time of the reference, s; null when a clock is missing.</summary>
    public double? Stated => (Other.Start - Reference.Start) / Reference.Rate;

    /// <summary>The worse error of the document's clocks in the common time, s; null when a clock is missing or nothing was found.</summary>
    public double? StatedError => Stated is { } stated && Fit.IsAccepted ? Math.Max(Math.Abs(At(0) - stated), Math.Abs(At(Fit.Overlap) - (stated + (Fit.Overlap * Other.Rate / Reference.Rate)))) : null;

    private double At(double time) => Fit.Offset + (time * (1 + (Fit.DriftPpm * 1e-6)));
}

/// <summary>Lays the recordings and logs of every run on each other.</summary>
public static class RunAlignment
{
    /// <summary>Clocks of a document may be this much off before it is told, s: five times what the alignment promises.</summary>
    private const double Noticed = 0.5;

    /// <summary>Aligns all pairs of every run; pairs of two logs are left out, for neither holds a sound.</summary>
    /// <param name="inputs">The trial.</param>
    /// <param name="reference">Identity of the recording or log whose clock counts in its run; null: a recording with a clock that takes name, else the first one.</param>
    /// <param name="progress">Receives the share that is done, 0 to 1.</param>
    /// <param name="cancellation">Stops the work.</param>
    public static IReadOnlyList<AlignedPair> Of(TrialInputs inputs, string? reference = null, IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        var pairs = new List<AlignedPair>();
        var curves = new Dictionary<(string, FrequencyWeighting), LevelCurve>();
        foreach (var (index, run) in inputs.Document.Runs.Index())
        {
            var sources = Sources(inputs, run.Id, reference);
            for (var i = 0; i < sources.Count; i++)
                for (var j = i + 1; j < sources.Count; j++)
                {
                    if (sources[i].Section == "logs" && sources[j].Section == "logs") continue;
                    cancellation.ThrowIfCancellationRequested();
                    var (method, fit) = Fit(inputs, sources[i], sources[j], curves, cancellation);
                    pairs.Add(new(run.Id, sources[i], sources[j], method, fit) { IsOfRun = i == 0 });
                }
            progress?.Report((index + 1.0) / inputs.Document.Runs.Count);
        }
        return pairs;
    }

    /// <summary>What a person should know of the pairs: refusals, and clocks of the document that are off.</summary>
    public static IEnumerable<Problem> Problems(IEnumerable<AlignedPair> pairs)
    {
        foreach (var pair in pairs)
            if (pair.Fit.Refusal is { } why)
                yield return new("ALG-001", Severity.Warning, Where(pair), $"no alignment: {why}{(pair.Fit.Evidence.Length > 0 ? $" ({pair.Fit.Evidence})" : "")}", "two instruments that heard the same moving noise for some minutes, or the same three claps",
                    "State the clocks by hand, from a sound that both have. Nothing is written for this pair.");
            else if (pair.StatedError is { } error && error > Noticed)
                yield return new("ALG-002", Severity.Warning, Where(pair), Invariant($"clocks of the document that are up to {error:0.0} s off what both heard"), Invariant($"at most {Noticed} s"),
                    "'hushtrial align --write' writes offset and drift into the document; or correct 'starts' or 'clock_offset_s'.");
    }

    /// <summary>The values that make the document's clocks those that were found.</summary>
    /// <param name="document">The document.</param>
    /// <param name="pairs">The pairs; those not of their run's reference, and those that were refused, give nothing.</param>
    /// <returns>Values by entry, and a problem for each that could not be said.</returns>
    public static (IReadOnlyList<EntryValues> Values, IReadOnlyList<Problem> Problems) Clocks(TrialDocument document, IEnumerable<AlignedPair> pairs)
    {
        ArgumentNullException.ThrowIfNull(document);
        var values = new List<EntryValues>();
        var problems = new List<Problem>();
        foreach (var pair in pairs.Where(p => p is { IsOfRun: true, Fit.IsAccepted: true }))
        {
            var alone = pair.Reference.Section == "recordings" && document.Recordings.Count(r => r.Run == pair.Run) == 1;
            if ((pair.Reference.Start ?? (alone && pair.Other.Start is not null ? 0 : null)) is not { } start)
            {
                problems.Add(new("ALG-003", Severity.Error, Where(pair), $"no clock of '{pair.Reference.Id}', on which the others would stand", "'starts' of the reference", "State it, if only roughly: all others follow from it."));
                continue;
            }
            var first = start + (pair.Reference.Rate * pair.Fit.Offset);
            var drift = ((pair.Reference.Rate * (1 + (pair.Fit.DriftPpm * 1e-6))) - 1) * 1e6;
            List<KeyValuePair<string, string>> set = pair.Other.Start is { } known
                ? [new("clock_offset_s", Number(Math.Round(first - (known - pair.Other.Offset), 3)))]
                : [new("starts", OfDay(document.Runs.First(r => r.Id == pair.Run).StartOfDay + first - pair.Other.BeforeStart)), new("clock_offset_s", "0")];
            set.Add(new("clock_drift_ppm", Number(Math.Round(drift, 1))));
            values.Add(new(pair.Other.Section, pair.Other.Id, set));
        }
        return (values, problems);
    }

    private static List<AlignedSource> Sources(TrialInputs inputs, string run, string? reference)
    {
        var document = inputs.Document;
        var recordings = document.Recordings.Where(r => r.Run == run && inputs.Recordings.TryGetValue(r.Id, out var opened) && opened.Samples is not null)
            .Select(r => new AlignedSource("recordings", r.Id, r.StartClock, r.ClockOffset, r.ClockRate)).OrderByDescending(r => r.Start is not null).ThenByDescending(r => document.Takes.Any(t => t.Recording == r.Id));
        var logs = document.Logs.Where(l => l.Run == run && inputs.Logs.TryGetValue(l.Id, out var log) && log.Curve is not null && log.Moments.Count > 0).Select(l => Log(inputs.Logs[l.Id]));
        return [.. recordings.Concat(logs).OrderByDescending(s => s.Id == reference)];
    }

    private static AlignedSource Log(LevelLog log)
    {
        var (start, rate) = (log.Moments.First(m => m.Seconds > 0).Start, 1 + (log.Entry.ClockDrift * 1e-6));
        return log.HasClock ? new("logs", log.Entry.Id, start, log.Entry.ClockOffset, rate) : new("logs", log.Entry.Id, null, log.Entry.ClockOffset, rate, start - log.Entry.ClockOffset);
    }

    private static (string Method, ClockFit Fit) Fit(TrialInputs inputs, AlignedSource a, AlignedSource b, Dictionary<(string, FrequencyWeighting), LevelCurve> curves, CancellationToken cancellation)
    {
        var weighting = new[] { a, b }.Where(s => s.Section == "logs").Select(s => inputs.Logs[s.Id].Curve!.Weighting).FirstOrDefault(FrequencyWeighting.A);
        var byCurve = CurveAlignment.Align(Curve(a), Curve(b));
        if (byCurve.IsAccepted || a.Section == "logs" || b.Section == "logs") return ("level curve", byCurve);
        var byClaps = ClapAlignment.Align(ClapsOf(a), ClapsOf(b));
        return byClaps.IsAccepted ? ("claps", byClaps) : ("level curve", byCurve with { Refusal = $"{byCurve.Refusal}; {byClaps.Refusal}" });

        LevelCurve Curve(AlignedSource source)
        {
            if (source.Section == "logs") return LevelCurve.Of(inputs.Logs[source.Id]);
            if (curves.TryGetValue((source.Id, weighting), out var known)) return known;
            var (samples, channel) = Sound(source);
            var history = LevelAnalysis.Measure(samples, channel, 0, samples.Frames, new LevelSettings { History = true, Thirds = false, Octaves = false }, null, cancellation).History!;
            foreach (var each in Enum.GetValues<FrequencyWeighting>()) curves[(source.Id, each)] = LevelCurve.Of(history, each);
            return curves[(source.Id, weighting)];
        }

        IReadOnlyList<double> ClapsOf(AlignedSource source) => Sound(source) is var (samples, channel) ? Claps.Of(samples, channel, cancellation) : [];

        // The microphone outside moves with the noise alone, not with devices put on and off.
        (SampleSource Samples, int Channel) Sound(AlignedSource source)
        {
            var samples = inputs.Recordings[source.Id].Samples!;
            var channel = inputs.Document.ChannelsOf(inputs.Document.Recordings.First(r => r.Id == source.Id)).OrderByDescending(c => c.Outside).FirstOrDefault(c => c.Number <= samples.Channels)?.Number ?? 1;
            return (samples, channel - 1);
        }
    }

    private static string Where(AlignedPair pair) => $"run {pair.Run}, {pair.Other.Id} on {pair.Reference.Id}";

    private static string Number(double value) => value.ToString("0.###", CultureInfo.InvariantCulture);

    private static string OfDay(double seconds)
    {
        var day = Math.Round(((seconds % 86_400) + 86_400) % 86_400, 3);
        return string.Create(CultureInfo.InvariantCulture, $"{(int)(day / 3600) % 24}:{(int)(day / 60) % 60:00}:{day % 60:00.###}");
    }
}
