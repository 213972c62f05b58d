using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Verdicts;

/// <summary>What would change the A-weighted verdicts: donnings left out, excluded takes put back, readings that stand far out.</summary>
public sealed class Robustness
{
    private readonly TrialDocument _document;
    private readonly IReadOnlyList<ConditionTraits> _traits;
    private readonly QuantityFit _fit;
    private readonly QuantityKnowledge _knowledge;
    private readonly IReadOnlyList<PairResult> _pairs;

    private Robustness(TrialDocument document, QuantityFit fit, QuantityKnowledge knowledge, IReadOnlyList<PairResult> pairs)
    {
        (_document, _fit, _knowledge, _pairs) = (document, fit, knowledge, pairs);
        _traits = TrialEffects.Traits(document);
    }

    /// <summary>Examines a trial.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="measured">Its takes, the excluded ones among them.</param>
    /// <param name="effects">Its fits and the readings behind them.</param>
    /// <param name="pairs">Their comparisons.</param>
    public static RobustnessResult Of(TrialDocument document, MeasuredTrial measured, TrialEffects effects, IReadOnlyList<PairResult> pairs)
    {
        if (effects.A.In(document.Scope) is null) return RobustnessResult.None;
        var examined = new Robustness(document, effects.A, effects.Knowledge.GetValueOrDefault(QuantityName.A) ?? QuantityKnowledge.None, pairs);
        var without = examined.WithoutDonnings(effects.Readings);
        var restored = measured.Takes.Where(t => !t.Used && t.Ears.Count > 0).Select(t => examined.Restored(t, measured, effects.Readings.Count)).OfType<ChangedAnswer>().ToList();
        var flagged = new FlaggedTakes(measured.Takes);
        return new(without, restored, examined.Outliers(effects.Readings), examined.Sentence(without))
        {
            WithoutFlagged = examined.WithoutFlagged(flagged, effects.Readings),
            WithoutAllFlagged = examined.WithoutAllFlagged(flagged, effects.Readings),
            NoiseOnly = examined.NoiseOnly(measured),
        };
    }

    /// <summary>The A-weighted answer without the bands that are not trusted, reason by reason. The answer itself holds them.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="measured">Its takes.</param>
    /// <param name="effects">Its fits.</param>
    /// <param name="pairs">Their comparisons.</param>
    /// <param name="conditions">The conditions, with the trust in their bands.</param>
    internal static IReadOnlyList<ChangedAnswer> WithoutGreyed(TrialDocument document, MeasuredTrial measured, TrialEffects effects, IReadOnlyList<PairResult> pairs, IReadOnlyList<ConditionResult> conditions)
    {
        if (effects.A.In(document.Scope) is null) return [];
        var examined = new Robustness(document, effects.A, effects.Knowledge.GetValueOrDefault(QuantityName.A) ?? QuantityKnowledge.None, pairs);
        return [.. GreyedBands.Of(measured.Takes, conditions, document.Scope).Select(g => examined.WithoutGreyed(g, measured))];
    }

    private ChangedAnswer WithoutGreyed(GreyedBands greyed, MeasuredTrial measured)
    {
        var noise = measured.OwnNoise.ToDictionary(n => n.Key, n => greyed.Without(n.Value), StringComparer.Ordinal);
        var readings = ReadingTable.From([.. measured.Takes.Select(greyed.Without)], noise, _document.Design, _document.Quantity).For(_document, _document.Quantity);
        var where = BandRanges.Of(greyed.Bands);
        return Answer(where, $"Without the bands {where}, which are not trusted ({greyed.Reason}),", greyed.Conditions, readings) with { Why = greyed.Reason };
    }

    private ChangedAnswer[] WithoutDonnings(IReadOnlyList<Reading> readings)
    {
        var donnings = readings.Where(r => r.Donning is not null && r.Values.ContainsKey(QuantityName.A)).GroupBy(r => (r.Flight, r.Wearer, r.Donning)).ToList();
        var count = donnings.SelectMany(d => d.Select(r => r.Condition).Distinct(StringComparer.Ordinal)).CountBy(c => c, StringComparer.Ordinal).ToDictionary(c => c.Key, c => c.Value, StringComparer.Ordinal);
        var removable = donnings.Where(d => d.All(r => count[r.Condition] > 1)).ToList();
        var answers = new ChangedAnswer[removable.Count];
        Parallel.For(0, removable.Count, i =>
        {
            var donning = removable[i];
            var conditions = donning.Select(r => r.Condition).Distinct(StringComparer.Ordinal).ToList();
            answers[i] = Answer(donning.Key.Donning!, $"Without donning {donning.Key.Donning}", conditions, [.. readings.Where(r => (r.Flight, r.Wearer, r.Donning) != donning.Key)]);
        });
        return answers;
    }

    private ChangedAnswer? Restored(TakeLevels take, MeasuredTrial measured, int used)
    {
        // Without the histories inside takes: the floor of their scatter is known already and would cost more than the fit.
        var takes = measured.Takes.Select(t => t with { Entry = t == take ? t.Entry with { Excluded = null } : t.Entry, Refused = t == take ? null : t.Refused, Ears = [.. t.Ears.Select(e => e with { HalfSeconds = null })] }).ToList();
        var readings = ReadingTable.From(takes, measured.OwnNoise, _document.Design, _document.Quantity).For(_document, _document.Quantity);
        if (readings.Count == used) return null;
        return Answer(take.Entry.Id, $"With take {take.Entry.Id} put back ({(take.Entry.Excluded is { } reason ? "left out: " + reason.TrimEnd('.') : "refused: " + take.Refused)})", [take.Entry.Condition], readings);
    }

    private ChangedAnswer[] WithoutFlagged(FlaggedTakes flagged, IReadOnlyList<Reading> readings)
    {
        var takes = flagged.OneByOne.Where(t => flagged.Leaves(readings, [t])).ToList();
        var answers = new ChangedAnswer[takes.Count];
        Parallel.For(0, takes.Count, i => answers[i] = Answer(takes[i].Entry.Id, $"Without take {takes[i].Entry.Id} (flagged: {FlaggedTakes.Codes(takes[i])})", Touched([takes[i]]),
            [.. readings.Where(r => r.Take != takes[i].Entry.Id)]));
        return answers;
    }

    private ChangedAnswer? WithoutAllFlagged(FlaggedTakes flagged, IReadOnlyList<Reading> readings) => flagged.All.Count < 2 || !flagged.Leaves(readings, flagged.All) ? null
        : Answer("flagged", string.Create(CultureInfo.InvariantCulture, $"Without all {flagged.All.Count} flagged takes"), Touched(flagged.All), [.. readings.Where(r => flagged.All.All(t => t.Entry.Id != r.Take))]);

    private ChangedAnswer? NoiseOnly(MeasuredTrial measured)
    {
        var gated = measured.Takes.Where(t => t.Used && t.Gate is not null).ToList();
        if (gated.Count == 0) return null;
        var takes = measured.Takes.Select(t => t with { Ears = [.. (t.Gate?.Ears ?? t.Ears).Select(e => e with { HalfSeconds = null })], Outside = t.Gate is null ? t.Outside : t.Gate.Outside }).ToList();
        return Answer("noise-only", $"With noise only in {string.Join(", ", gated.Select(t => t.Entry.Id))}", Touched(gated), ReadingTable.From(takes, measured.OwnNoise, _document.Design, _document.Quantity).For(_document, _document.Quantity));
    }

    /// <summary>The conditions whose loss takes bear on: their own, or all when an open-ear take is among them.</summary>
    private IReadOnlyList<string> Touched(IReadOnlyList<TakeLevels> takes) => takes.Any(t => t.Entry.Condition == TrialDocument.OpenEar) ? [.. _fit.Conditions]
        : [.. takes.Select(t => t.Entry.Condition).Distinct(StringComparer.Ordinal)];

    private ChangedAnswer Answer(string changed, string opening, IReadOnlyList<string> conditions, IReadOnlyList<Reading> readings)
    {
        var scope = _document.Scope;
        var refit = Estimator.Refit(_fit, readings, _traits, _knowledge);
        var losses = new List<LossShift>();
        foreach (var condition in conditions.Where(c => c != TrialDocument.OpenEar))
            if (Loss(_fit, condition) is { } before && Loss(refit, condition) is { } after) losses.Add(new(condition, before, after));
        var family = refit.In(scope) is { } fit ? PairFamily.Compare(fit, [.. _pairs.Select(p => (p.First, p.Second))], _fit.Settings, sensitivity: false) : null;
        var verdicts = new List<VerdictShift>();
        for (var i = 0; i < _pairs.Count; i++)
        {
            var after = family?.Pairs[i];
            if (_pairs[i].In(scope) is { } before && before.Verdict != after?.Verdict)
                verdicts.Add(new(_pairs[i].First, _pairs[i].Second, before.Verdict, after?.Verdict, after?.SimultaneousLow95, after?.SimultaneousHigh95));
        }
        return new(changed, losses, verdicts, RobustnessWords.Answer(opening, losses, verdicts, Name));

        double? Loss(QuantityFit of, string condition) => of.In(scope)?.Along(LevelContrast.Loss(condition))?.Mean;
    }

    private List<Problem> Outliers(IReadOnlyList<Reading> readings)
    {
        var problems = new List<Problem>();
        foreach (var outlier in OutlyingReadings.Find(readings, _traits, _fit))
        {
            var reading = readings[outlier.Position];
            var take = reading.Take ?? string.Create(CultureInfo.InvariantCulture, $"number {outlier.Position + 1}");
            var without = Answer(take, $"Without take {take}", [.. _fit.Conditions.Where(c => reading.Condition == TrialDocument.OpenEar || c == reading.Condition).Take(1)],
                [.. readings.Where((_, i) => i != outlier.Position)]);
            problems.Add(new("EFF-001", Severity.Warning, $"take {take}",
                string.Create(CultureInfo.InvariantCulture, $"an A-weighted level {outlier.DeviationDecibels:+0.0;−0.0} dB from what all other readings predict ({Math.Abs(outlier.Score):0.0} standard deviations)"),
                "within 3.5 standard deviations", "Listen to the take or check the note. It is used. " + without.Sentence,
                without.Losses.Count > 0 ? without.Losses[0].Value - without.Losses[0].Changed : null));
        }
        return problems;
    }

    private string Sentence(ChangedAnswer[] without) => RobustnessWords.Whole(without, _pairs.Count(p => p.In(_document.Scope) is not null), Name);

    private string Name(string condition) => condition == TrialDocument.OpenEar ? "the open ear" : ConditionName.Of(_document, _document.Conditions.First(c => c.Id == condition));
}
