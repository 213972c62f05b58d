using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Automatic gain: four signs, each of which is enough. It divides every loss by its ratio, so an insertion loss may not be published.</summary>
/// <remarks>Method: (1) the top bands of loud takes lie more than 1.5 dB below the noise of the quiet recording, in two takes at least: the gain was turned
/// down; (2) in open-ear takes the one-second levels at the ear move less than 0.75 of those outside and with them (r above 0.6), in the median of the
/// takes; (3) two calibrator levels differ by another amount than stated, by more than 0.3 dB; (4) after a burst of at least 10 dB the noise stands more than
/// 3 dB below what it was before, and comes back.</remarks>
internal static class AutomaticGainCheck
{
    private const double BelowQuiet = 1.5;
    private const double Loud = 15;
    private const double LeastRatio = 0.75;
    private const double LeastCorrelation = 0.6;
    private const double LeastMovement = 0.4;
    private const double MostStepError = 0.3;
    private const double LeastBurst = 10;
    private const double LeastDip = 3;
    private const string Remedy = "Automatic gain divides every loss by its ratio: no insertion loss of these takes may be published. Switch every automatic function off, show it with two calibrator levels, and record again.";
    private static readonly IReadOnlyList<Band> _top = BandRange.Between(8000, 20_000);

    public static IEnumerable<Finding> Check(ComparedTakes trial, ChannelCalibrations? calibrations)
    {
        for (var ear = 0; ear < trial.Ears; ear++)
        {
            if (BelowNoise(trial, ear) is { } below) yield return below;
            if (Stiff(trial, ear) is { } stiff) yield return stiff;
            foreach (var dip in Dips(trial, ear)) yield return dip;
        }
        foreach (var step in calibrations is null ? [] : Steps(trial, calibrations)) yield return step;
    }

    private static Finding? BelowNoise(ComparedTakes trial, int ear)
    {
        var hits = new List<(TakeLevels Take, double By)>();
        foreach (var take in trial.Takes.Where(t => t.Entry.Excluded is null))
        {
            var levels = take.Ears[ear];
            if (!trial.OwnNoise.TryGetValue(levels.Channel, out var noise) || !(levels.C - noise.C > Loud)) continue;
            var bands = _top.Where(b => levels.Bands.ContainsKey(b) && noise.Bands.ContainsKey(b)).TakeLast(3).ToList();
            if (bands.Count > 0 && bands.Average(b => noise.Bands[b] - levels.Bands[b]) is > BelowQuiet and var by) hits.Add((take, by));
        }
        return hits.Count < 2 ? null : Automatic(trial, [.. hits.Select(h => h.Take)], ear,
            Invariant($"in {hits.Count} takes the highest bands lie up to {hits.Max(h => h.By):0.0} dB below the microphone's own noise in quiet: the gain was turned down"), "the same own noise in all takes", -hits.Max(h => h.By));
    }

    private static Finding? Stiff(ComparedTakes trial, int ear)
    {
        var found = new List<(TakeLevels Take, double Ratio, double Correlation)>();
        foreach (var take in trial.Takes.Where(t => t.Entry.Excluded is null && t.Entry.Condition == TrialDocument.OpenEar))
            if (take.Ears[ear].HalfSeconds?.A is { } atEar && take.Outside?.HalfSeconds?.A is { } outside && Seconds(atEar) is { Length: >= 8 } a && Seconds(outside) is { } b && Robust.StandardDeviation(b) > LeastMovement)
                found.Add((take, Robust.StandardDeviation(a) / Robust.StandardDeviation(b), Correlation(a, b)));
        if (found.Count < 2) return null;
        var (ratio, r) = (Robust.Median(found.Select(f => f.Ratio)), Robust.Median(found.Select(f => f.Correlation)));
        return ratio >= LeastRatio || r <= LeastCorrelation ? null : Automatic(trial, [.. found.Select(f => f.Take)], ear,
            Invariant($"in open-ear takes the level at the ear moves {ratio:0.00} times as much as outside, and with it (r {r:0.00})"), "the same movement at the open ear and outside", null);
    }

    private static IEnumerable<Finding> Dips(ComparedTakes trial, int ear)
    {
        foreach (var take in trial.Takes.Where(t => t.Entry.Excluded is null && t.Gate is not null))
        {
            var history = take.Ears[ear].Signal!.History;
            var levels = history.MeanSquareA.Select(m => Robust.Decibels(m)).ToArray();
            var start = take.Entry.From!.Value;
            foreach (var span in take.Gate!.Spans)
            {
                var (from, to) = ((int)Math.Round((span.From - start) / history.StepSeconds), (int)Math.Round((span.To - start) / history.StepSeconds));
                if (from < 8 || to + 8 > levels.Length) continue;
                var (before, burst) = (Robust.Median(levels[(from - 8)..from]), Robust.Median(levels[from..to]));
                // The lowest quarter second in the second after the burst, and whether the level returns.
                var lowest = Enumerable.Range(Math.Max(from, to - 2), 6).Where(i => i + 1 < levels.Length).Min(i => (levels[i] + levels[i + 1]) / 2);
                var later = Robust.Median(levels[Math.Min(to + 4, levels.Length - 2)..]);
                if (levels[from..to].Max() - before < LeastBurst || before - lowest <= LeastDip || later - lowest < LeastDip / 2) continue;
                yield return Automatic(trial, [take], ear, Invariant($"after a burst the noise stands {before - lowest:0.0} dB below what it was, and comes back"), "the same noise before and after a burst", -(before - lowest));
                break;
            }
        }
    }

    private static IEnumerable<Finding> Steps(ComparedTakes trial, ChannelCalibrations calibrations)
    {
        foreach (var channel in calibrations.Made.Where(m => m.Entry.Kind == CalibrationKind.Tone && m.Calibration.FullScale is not null).GroupBy(m => m.Entry.Channel))
        {
            var (low, high) = (channel.MinBy(c => c.Entry.LevelDecibels), channel.MaxBy(c => c.Entry.LevelDecibels));
            if (high.Entry.LevelDecibels - low.Entry.LevelDecibels < 5) continue;
            // A gain that fell by x dB for the loud tone shows as x dB more at full scale.
            var error = high.Calibration.FullScale!.Value.Decibels - low.Calibration.FullScale!.Value.Decibels;
            if (Math.Abs(error) <= MostStepError) continue;
            var step = high.Entry.LevelDecibels - low.Entry.LevelDecibels;
            yield return new(new("TAK-036", Severity.Error, $"channel {channel.Key}, calibrations of {low.Entry.LevelDecibels:0.#} and {high.Entry.LevelDecibels:0.#} dB", Invariant($"a step of {step - error:0.0} dB in the recordings"),
                Invariant($"{step:0.0} dB, within 0.3 dB"), Remedy, -error), []);
        }
    }

    private static Finding Automatic(ComparedTakes trial, IReadOnlyList<TakeLevels> takes, int ear, string found, string expected, double? effect) =>
        new(new("TAK-036", Severity.Error, takes.Count == 1 ? trial.Where(takes[0], ear) : $"channel {takes[0].Ears[ear].Channel}, takes {string.Join(", ", takes.Select(t => t.Entry.Id))}", found, expected, Remedy, effect), [.. takes.Select(t => t.Entry.Id)]);

    private static double[] Seconds(IReadOnlyList<double> halves) =>
        [.. Enumerable.Range(0, halves.Count / 2).Select(i => Robust.Decibels((Math.Pow(10, halves[2 * i] / 10) + Math.Pow(10, halves[(2 * i) + 1] / 10)) / 2))];

    private static double Correlation(double[] a, double[] b)
    {
        var (x, y) = (a.Average(), b.Average());
        return a.Zip(b, (p, q) => (p - x) * (q - y)).Sum() / Math.Max(1e-12, Math.Sqrt(a.Sum(p => (p - x) * (p - x)) * b.Sum(q => (q - y) * (q - y))));
    }
}
