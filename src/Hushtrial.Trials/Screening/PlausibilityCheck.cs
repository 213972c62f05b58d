using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Losses that no device gives a person: above what bone conduction lets pass, below nothing, falling where every device rises.</summary>
/// <remarks>Rules of the trade: a loss above about 40 dB at 1.6 to 2.5 kHz and 50 dB elsewhere is no protection (from memory: Berger, Kieper and
/// Gauger 2003); more than 35 dB A-weighted is suspect; a negative loss occurs only below about 80 Hz or at a leak; passive loss rises from 250 Hz to 1 kHz; active
/// gain stays below 22 dB; the ears of a donning differ by less than 3 dB in the mean, which is asked of three donnings or more.</remarks>
internal static class PlausibilityCheck
{
    private const double MostOverall = 35;
    private const double MostNegative = 3;
    private const double MostGain = 22;
    private const double MostFall = 3;
    private const double MostBetweenEars = 3;
    private static readonly IReadOnlyList<Band> _quarter = BandRange.Between(200, 315);
    private static readonly IReadOnlyList<Band> _one = BandRange.Between(800, 1250);
    private static readonly IReadOnlyList<Band> _active = BandRange.Between(63, 250);
    private static readonly IReadOnlyList<Band> _wide = BandRange.Between(100, 4000);

    public static IEnumerable<Finding> Check(ComparedTakes trial)
    {
        foreach (var donning in trial.Readings.Where(t => t.Entry.Condition != TrialDocument.OpenEar && t.Entry.Excluded is null).GroupBy(t => (t.Entry.Condition, t.Entry.Fit, t.Entry.Run, t.Entry.Wearer, Noted: ComparedTakes.IsNoted(t))))
            for (var ear = 0; ear < trial.EarsOf(donning.First()); ear++)
                foreach (var finding in Donning(trial, [.. donning], ear)) yield return finding;
        foreach (var finding in BetweenEars(trial)) yield return finding;
    }

    private static IEnumerable<Finding> Donning(ComparedTakes trial, List<TakeLevels> takes, int ear)
    {
        var losses = takes.Select(t => trial.Loss(t, ear)).OfType<IReadOnlyDictionary<Band, double>>().ToList();
        // No common band where only A-weighted levels were noted: the overall loss is judged all the same.
        var mean = losses.Count == 0 ? [] : losses[0].Keys.Where(b => losses.All(l => l.ContainsKey(b))).ToDictionary(b => b, b => losses.Average(l => l[b]));
        var active = trial.IsActive(takes[0]);
        Finding Odd(string found, string expected, string remedy, double? effect) =>
            new(new("TAK-034", Severity.Warning, trial.Where(takes[0], ear), found, expected, remedy, effect), [.. takes.Select(t => t.Entry.Id)]);
        var above = mean.Where(m => m.Key.NominalHertz >= 125 && m.Value > Ceiling(m.Key) && !takes.Any(t => trial.Reached(t, ear, m.Key))).ToList();
        if (above.Count > 0 && above.MaxBy(m => m.Value - Ceiling(m.Key)) is var top)
            yield return Odd(Invariant($"a loss of {top.Value:0.0} dB at {top.Key.NominalHertz} Hz"), Invariant($"at most about {Ceiling(top.Key):0} dB, which bone conduction leaves to a person"),
                "The microphone may have been blocked or unplugged. In the ear canal such a loss can be read; it is no protection.", top.Value - Ceiling(top.Key));
        // Three neighbouring bands, so that one band of chance does not count.
        var negative = BandRange.Between(125, 6300).Select(b => (Band: b, Loss: Around(mean, b))).Where(b => b.Loss < -MostNegative).ToList();
        if (negative.Count > 0 && !active && negative.MinBy(n => n.Loss) is { Loss: { } lowest } worst)
            yield return Odd(Invariant($"a loss of {lowest:0.0;−0.0} dB around {worst.Band.NominalHertz} Hz: louder with the device than without"), "no loss below zero above 80 Hz",
                "Look for a wrong name, a changed gain, wind, or a louder cabin.", lowest);
        if (!active && Mean(mean, _quarter) is { } quarter && Mean(mean, _one) is { } one && one < quarter - MostFall)
            yield return Odd(Invariant($"a passive loss of {quarter:0.0} dB at 250 Hz and {one:0.0} dB at 1 kHz"), "a passive loss that rises from 250 Hz to 1 kHz", "Look for a wrong name, speech, or an electronic system that was on.", one - quarter);
        if (Overall(trial, takes, ear) is > MostOverall and var overall)
            yield return Odd(Invariant($"an A-weighted loss of {overall:0.0} dB"), "10 to 31 dB, as real muffs and helmets have", ComparedTakes.IsNoted(takes[0])
                ? "Bone conduction and the sound that comes in around a device bound what any device can do. Look for a wrong number, another range or weighting of the meter, or a quieter cabin."
                : "Look for an unplugged microphone, a changed gain or a quieter cabin.", overall - MostOverall);
        if (active && Gain(trial, takes, ear) is > MostGain and var gain)
            yield return Odd(Invariant($"an active gain of {gain:0.0;−0.0} dB at 63 to 250 Hz"), "at most 22 dB", "Look for a passive take that leaked, or a wrong name.", gain - MostGain);
    }

    private static IEnumerable<Finding> BetweenEars(ComparedTakes trial)
    {
        if (trial.Ears < 2) yield break;
        foreach (var condition in trial.Takes.Where(t => t.Entry.Condition != TrialDocument.OpenEar && t.Entry.Excluded is null).GroupBy(t => (t.Entry.Condition, t.Entry.Wearer)))
        {
            var donnings = condition.GroupBy(t => (t.Entry.Fit, t.Entry.Run)).Select(d => d.Select(t => trial.Loss(t, 0, _wide) - trial.Loss(t, 1, _wide)).OfType<double>().DefaultIfEmpty(double.NaN).Average()).Where(d => !double.IsNaN(d)).ToList();
            if (donnings.Count < 3 || Math.Abs(donnings.Average()) <= MostBetweenEars) continue;
            yield return new(new("TAK-033", Severity.Warning, $"condition {condition.Key.Condition}", Invariant($"the ears differ by {donnings.Average():+0.0;−0.0} dB in the mean of {donnings.Count} donnings"), "less than 3 dB between the ears",
                "A cup or its cushion is faulty, or one microphone sits elsewhere. Put the device on again, then turn it round.", donnings.Average()), [.. condition.Select(t => t.Entry.Id)]);
        }
    }

    private static double Ceiling(Band band) => band.NominalHertz is >= 1600 and <= 2500 ? 40 : 50;

    private static double? Around(Dictionary<Band, double> mean, Band band)
    {
        Band[] three = [Band.ThirdOctave(band.Index - 1), band, Band.ThirdOctave(band.Index + 1)];
        return three.All(mean.ContainsKey) ? three.Average(b => mean[b]) : null;
    }

    private static double? Mean(Dictionary<Band, double> mean, IReadOnlyList<Band> bands) => bands.All(mean.ContainsKey) ? bands.Average(b => mean[b]) : null;

    private static double? Overall(ComparedTakes trial, List<TakeLevels> takes, int ear)
    {
        var open = trial.Readings.Where(t => ComparedTakes.IsNoted(t) == ComparedTakes.IsNoted(takes[0]) && t.Entry.Condition == TrialDocument.OpenEar && t.Entry.Run == takes[0].Entry.Run && t.Entry.Wearer == takes[0].Entry.Wearer && t.Entry.Excluded is null).Select(t => t.Ears[ear].A).OfType<double>().ToList();
        var covered = takes.Select(t => t.Ears[ear].A).OfType<double>().ToList();
        return open.Count == 0 || covered.Count == 0 ? null : Robust.Median(open) - covered.Average();
    }

    private static double? Gain(ComparedTakes trial, List<TakeLevels> takes, int ear)
    {
        var device = trial.ConditionOf(takes[0])!.Device;
        var passive = trial.Readings.Where(t => t.Entry.Fit == takes[0].Entry.Fit && t.Entry.Run == takes[0].Entry.Run && t.Entry.Excluded is null && trial.ConditionOf(t) is { Mode: "passive" } c && c.Device == device)
            .Select(t => trial.Loss(t, ear, _active)).OfType<double>().ToList();
        var active = takes.Select(t => trial.Loss(t, ear, _active)).OfType<double>().ToList();
        return passive.Count == 0 || active.Count == 0 ? null : active.Average() - passive.Average();
    }
}
