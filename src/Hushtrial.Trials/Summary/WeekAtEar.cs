using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using static System.FormattableString;
using ExposureStanding = Hushtrial.Hearing.Exposure.Standing;

namespace Hushtrial.Trials.Summary;

/// <summary>A week from the days and segments of the trial document: measured conditions, other cabins, stated levels. Absolute trials only; the worse ear counts.</summary>
internal sealed class WeekAtEar(TrialDocument document, IReadOnlyList<ConditionResult> conditions, SpectrumEffect? open, IReadOnlyList<CabinResult> cabins, string calibration, bool fieldRelated)
{
    // A level that nobody measured in this trial; common practice, no source.
    private const double UsualUncertainty = 2;
    private const double TwoSided = 1.96;

    private readonly CalibrationStatement _statement = CalibrationStatement.Of(calibration);

    /// <summary>The week; null when none is stated.</summary>
    public TrialWeek? Of()
    {
        if (document.Week.Count == 0) return null;
        var rules = ExposureAtEar.RulesOf(document);
        var days = new List<(WeekDay Day, DayExposure Exposure)>();
        foreach (var day in document.Week)
        {
            var segments = new List<DaySegment>();
            foreach (var (i, segment) in day.Segments.Index())
            {
                var (made, lack) = Segment(segment, i);
                if (lack is not null) return new(document.Scope, [], null, [], $"{day.Day}, {NameOf(segment, i)}: {lack}", $"The week cannot be summed: in ‘{day.Day}’, {NameOf(segment, i)}, {lack}.", []);
                segments.Add(made!);
            }
            days.Add((day, DayExposure.Of(segments)));
        }
        var all = days.SelectMany(d => Enumerable.Repeat(d.Exposure, (int)Math.Round(d.Day.Times))).ToList();
        var level = WeekExposure.Level40Hours(all);
        var results = days.Select(d => new WeekDayResult(d.Day, d.Exposure.NormalisedLevel(TimeSpan.FromHours(8)), d.Exposure.Parts(), [.. rules.Select(d.Exposure.Under)])).ToList();
        var standings = rules.Where(r => r.WeeklyAveraging).SelectMany(r => r.Thresholds.Select(t => new WeekStanding(r, t, Against(t, t.ProtectorCounted ? level : Outside(all))))).ToList();
        return new(document.Scope, results, level, standings, null, Sentence(results, level, standings, rules), [.. Cautions(rules)]);
    }

    private (DaySegment? Segment, string? Lack) Segment(WeekSegment segment, int number)
    {
        var name = NameOf(segment, number);
        if (segment.LevelA is { } stated)
            return (new() { Name = name, Duration = TimeSpan.FromHours(segment.Hours), Outside = Stated(stated, segment.Uncertainty ?? UsualUncertainty) }, null);
        var (outside, why) = OutsideOf(segment.Cabin);
        if (segment.Condition == TrialDocument.OpenEar)
            return outside is null ? (null, why) : (new() { Name = name, Duration = TimeSpan.FromHours(segment.Hours), Outside = outside }, null);
        if (AtEarOf(segment) is not { } ear) return (null, "the level at the ear is not known");
        var off = Math.Min(1, segment.OffMinutes / 60 / segment.Hours);
        if ((off > 0 || segment.OneEarOff) && outside is null) return (null, $"{why}, which a device off needs");
        return (new()
        {
            Name = name, Duration = TimeSpan.FromHours(segment.Hours), AtEar = ear, Outside = outside, ShareOff = off, OneEarUncovered = segment.OneEarOff,
            Communication = segment.CommsLevelA is { } comms ? Stated(comms, UsualUncertainty) : null, CommunicationShare = segment.CommsSharePercent / 100,
        }, null);
    }

    private EarLevel? AtEarOf(WeekSegment segment)
    {
        var effect = segment.Cabin is { } id ? cabins.First(c => c.Cabin.Id == id).Conditions.FirstOrDefault(x => x.Condition == segment.Condition)?.EarLevelA
            : conditions.FirstOrDefault(c => c.Condition.Id == segment.Condition) is { } c ? (fieldRelated ? c.FieldLevel : c.EarLevel)?.A : null;
        return effect?.In(document.Scope) is { } level ? ExposureAtEar.AtEar(level, _statement) : null;
    }

    private (EarLevel? Level, string? WhyNot) OutsideOf(string? cabin)
    {
        if (cabin is null) return open?.A?.In(document.Scope) is { } level ? (ExposureAtEar.AtEar(level, _statement), null) : (null, "the level of the open ear is not known");
        var other = cabins.First(c => c.Cabin.Id == cabin);
        return other.LevelA is { } there ? (Stated(there, other.Cabin.Uncertainty ?? 0), null) : (null, $"the level of ‘{other.Cabin.Name}’ is not known");
    }

    private EarLevel Stated(double level, double uncertainty) => EarLevel.Of(Level.FromDecibels(level), LevelDifference.FromDecibels(uncertainty), _statement);

    private string NameOf(WeekSegment segment, int number) => segment.Name ?? (segment.Condition is { } id && id != TrialDocument.OpenEar ? conditions.FirstOrDefault(c => c.Condition.Id == id)?.Name ?? id
        : segment.Condition is not null ? "open ear" : Invariant($"segment {number + 1}"));

    private static Bounded<Level>? Outside(List<DayExposure> days)
    {
        var levels = days.Select(d => d.NormalisedLevelOutside(TimeSpan.FromHours(8))).ToList();
        if (levels.Any(l => l is null)) return null;
        Level Of(Func<Bounded<Level>, Level> part) => WeekExposure.Level40Hours([.. levels.Select(l => part(l!.Value))]);
        return new(Of(l => l.Best), Of(l => l.Low), Of(l => l.High), Of(l => l.Upper));
    }

    // As a day stands: the one-sided lower limit mirrors the upper one.
    private static ExposureStanding Against(ExposureThreshold threshold, Bounded<Level>? week)
    {
        if (week is not { } w) return ExposureStanding.NotKnown;
        var (best, upper, target) = (w.Best.Decibels, w.Upper.Decibels, threshold.Level.Decibels);
        return upper < target ? ExposureStanding.Below : (2 * best) - upper >= target ? ExposureStanding.Above : ExposureStanding.Unresolved;
    }

    private static string Sentence(List<WeekDayResult> days, Bounded<Level> week, List<WeekStanding> standings, IReadOnlyList<ExposureRules> rules)
    {
        var loudest = days.MaxBy(d => d.Level.Best.Decibels)!;
        var part = loudest.Parts.MaxBy(p => p.ShareOfDay)!;
        var composed = string.Join(" and ", days.Select(d => Invariant($"{d.Day.Times:0} × ‘{d.Day.Day}’")));
        var text = Invariant($"A week of {composed}: LEX,40h {week.Best.Decibels:0.0} dB(A) at the worse ear (95 %: {week.Low.Decibels:0.0} to {week.High.Decibels:0.0}). ");
        text += Invariant($"The loudest day is ‘{loudest.Day.Day}’, LEX,8h {loudest.Level.Best.Decibels:0.0} dB(A) (95 %: {loudest.Level.Low.Decibels:0.0} to {loudest.Level.High.Decibels:0.0}); ‘{part.Name}’ carries {100 * part.ShareOfDay:0} % of its energy.");
        foreach (var s in standings.Where(s => s.Threshold.ProtectorCounted))
            text += Invariant($" The week is {Words(s.Standing)} the {s.Threshold.Name} of {s.Threshold.Level.Decibels:0} dB(A) ({s.Rules.Name}).");
        foreach (var (rule, under) in loudest.Rules.Where(r => !r.Rules.WeeklyAveraging).Select(r => (r.Rules, ExposureSentence.Leading(r.Thresholds))))
            text += Invariant($" {rule.Name} knows no week: the loudest day is {Words(under.Standing)} its {under.Threshold.Name} of {under.Threshold.Level.Decibels:0} dB(A){(under.Threshold.ProtectorCounted ? "" : ", judged by the noise outside the device")}.");
        return rules.Count == 0 ? text.TrimEnd() : text;
    }

    private static string Words(ExposureStanding standing) => standing switch
    {
        ExposureStanding.Below => "below", ExposureStanding.Above => "at or above", ExposureStanding.Unresolved => "not to be told against", _ => "not known against",
    };

    private static IEnumerable<string> Cautions(IReadOnlyList<ExposureRules> rules)
    {
        yield return ExposureRules.Deference;
        if (rules.Any(r => r.WeeklyAveraging)) yield return "A week may stand for its days only where days differ markedly and the rule set allows it; the day’s own limit still holds.";
        yield return "The limits of all segments move together, as one meter and one way of wearing do. Levels that were stated and not measured carry ±4 dB unless the document says otherwise.";
    }
}
