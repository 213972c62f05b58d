using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Figures;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>The tables of results: losses, levels at the ear, bands, pairs, donnings, takes.</summary>
public static class ResultTables
{
    private const string Interval = "dB, 95\u00A0%";

    /// <summary>A and C loss of every condition in both scopes.</summary>
    public static ReportTable Loss(TrialResults results) => new("table-loss", $"{Words.Quantity(results.Document.Quantity)} of each condition, A-weighted and C-weighted",
        [new("Condition"), new("A, in general", Interval, true), new("A, as worn", Interval, true), new("C, in general", Interval, true),
            new("C, as worn", Interval, true), new("A, for the mean noise", Interval, true), new("Donnings", null, true), new("Takes", null, true)],
        [.. results.Conditions.Where(c => !c.IsReference).Select(c => new Row([Named(c), Cell.Of(c.Loss.A?.General), Cell.Of(c.Loss.A?.AsWorn), Cell.Of(c.Loss.C?.General), Cell.Of(c.Loss.C?.AsWorn),
            Cell.Of(c.ReferenceSpectrumLossA), Integer(c.Fits), Integer(c.Takes)]))],
        [.. results.Conditions.Where(c => c.Loss.A?.Reason is not null).Select(c => $"{c.Name}: {c.Loss.A!.Reason}."),
            .. results.Conditions.All(c => c.ReferenceSpectrumLossA is null) ? Array.Empty<string>() : ["The column ‘for the mean noise’ applies the loss of each band to the mean open-ear spectrum of the trial, so that changes of the noise between takes drop out."],
            .. results.Robustness.WithoutGreyed.SelectMany(g => g.Losses.Select(l => $"Without the bands {g.Changed}, which are not trusted, {Words.Isolated(Words.ConditionName(results, l.Condition))} has {Words.Decibels(l.Changed)} instead of {Words.Decibels(l.Value)}."))]);

    /// <summary>Level at the ear of the open ear and every condition; null in relative mode.</summary>
    public static ReportTable? EarLevels(TrialResults results)
    {
        if (results.Mode == TrialMode.Relative) return null;
        var rows = new List<Row>();
        if (results.OpenEarLevel is { } open) rows.Add(Level("Open ear", open));
        rows.AddRange(results.Conditions.Where(c => c.EarLevel is not null).Select(c => Level(Named(c), c.EarLevel!)));
        return rows.Count == 0 ? null : new("table-ear", "Level at the ear in the trial’s mean noise, as read, A-weighted and C-weighted",
            [new("Condition"), new("A, in general", Interval, true), new("A, as worn", Interval, true), new("C, in general", Interval, true), new("C, as worn", Interval, true)], rows, ["Levels are in dB re 20 µPa at the microphone at the ear, as read there.",
                .. results.Outside is { A: { } outside } ? [$"At the outside microphone, mean of all takes: {Words.Number(outside)} dB(A)."] : Array.Empty<string>()]);
    }

    /// <summary>The same levels referred to the field without the head; null where they cannot be.</summary>
    public static ReportTable? FieldLevels(TrialResults results)
    {
        if (results.Mode == TrialMode.Relative || results.Reference.Kind != LevelKind.FieldRelated) return null;
        var rows = new List<Row>();
        if (results.OpenFieldLevel is { } open) rows.Add(Level("Open ear", open));
        rows.AddRange(results.Conditions.Where(c => c.FieldLevel is not null).Select(c => Level(Named(c), c.FieldLevel!)));
        return new("table-field", "Level referred to the field without the head, A-weighted and C-weighted",
            [new("Condition"), new("A, in general", Interval, true), new("A, as worn", Interval, true), new("C, in general", Interval, true), new("C, as worn", Interval, true)], rows,
            [$"Levels are in dB re 20 µPa, {results.Reference.Words}. Limits of exposure are stated for the field; these levels are held against them."]);
    }

    /// <summary>The quantity in weighted levels referred to the field; null where they cannot be.</summary>
    public static ReportTable? FieldLoss(TrialResults results) => results.Conditions.All(c => c.FieldLoss is null) ? null
        : new("table-field-loss", $"{Words.Quantity(results.Document.Quantity)} in levels referred to the field, A-weighted and C-weighted",
            [new("Condition"), new("A, in general", Interval, true), new("A, as worn", Interval, true), new("C, in general", Interval, true), new("C, as worn", Interval, true)],
            [.. results.Conditions.Where(c => c.FieldLoss is not null).Select(c => Level(Named(c), c.FieldLoss!))],
            ["A-weighting is meant for the field. As read, the ear’s own gain near 3\u00A0kHz counts with the ear open and hardly under a device, so that the number above reads higher; this is what exposure falls by. Band by band the two are the same."]);

    /// <summary>What the electronics add in the same donning; null where off and on were never read in one donning, and in a trial of the active part, whose quantity it is.</summary>
    public static ReportTable? ActiveParts(TrialResults results) => results.ActiveParts.Count == 0 || results.Document.Quantity == MeasuredQuantity.ActivePart ? null
        : new("table-active", "Active part: electronics off minus on in the same donning, A-weighted and C-weighted",
            [new("Condition"), new("A, in general", Interval, true), new("A, as worn", Interval, true), new("C, in general", Interval, true), new("C, as worn", Interval, true), new("Donnings", null, true)],
            [.. results.ActiveParts.Select(p => new Row([p.Name, Cell.Of(p.Part.A?.General), Cell.Of(p.Part.A?.AsWorn), Cell.Of(p.Part.C?.General), Cell.Of(p.Part.C?.AsWorn), Integer(p.Fits)]))],
            [.. results.ActiveParts.Where(p => p.Part.A?.Reason is not null).Select(p => $"{p.Name}: {p.Part.A!.Reason}."), "The seal of a donning is common to off and on and cancels. In no table does it stand beside the whole reduction."]);

    /// <summary>The active part per band in the trial's scope; null where there is none of its own.</summary>
    public static ReportTable? ActivePartBands(TrialResults results)
    {
        if (ActiveParts(results) is null) return null;
        var scope = results.Document.Scope;
        var bands = results.ActiveParts.SelectMany(p => p.Part.Bands).Select(b => b.Band).Distinct().Order().ToList();
        return bands.Count == 0 ? null : new("table-active-bands", $"Active part in each band, {Words.Scope(scope)}", [new("Band"), .. results.ActiveParts.Select(p => new Column(p.Name, Interval, true))],
            [.. bands.Select(b => new Row([b.ToString(), .. results.ActiveParts.Select(p => Band(p.Part.Bands.FirstOrDefault(x => x.Band == b), scope))]))],
            ["Each band on its own; below 0 the electronics make it worse. ‘≥’: the microphone’s own noise was reached with them on."]);
    }

    /// <summary>Ear minus outside with the ear open, in a trial of the level difference; null without such takes.</summary>
    public static ReportTable? OpenTransfer(TrialResults results) => results.OpenTransfer is not { } open ? null
        : new("table-open-transfer", "Open ear minus outside microphone, which separates a level difference from an insertion loss",
            [new("Band"), new("In general", Interval, true), new("As worn", Interval, true)],
            [.. open.Bands.Select(b => new Row([b.Band.ToString(), Cell.Of(b.Effect.General), Cell.Of(b.Effect.AsWorn)]))],
            ["Insertion loss is the level difference plus this. It holds for the places of the two microphones in this trial; head and ear make it several decibels between 2 and 5\u00A0kHz."]);

    /// <summary>Loss per band in the trial's scope; a table for at most five conditions.</summary>
    public static IEnumerable<ReportTable> Bands(TrialResults results)
    {
        var scope = results.Document.Scope;
        // Published figures come in octaves: among measured thirds they would leave rows of dashes.
        var parts = ConditionColumns.Share(results.Conditions.Where(c => c.Loss.Bands.Count > 0));
        for (var i = 0; i < parts.Count; i++)
        {
            var bands = parts[i].SelectMany(c => c.Loss.Bands).Select(b => b.Band).Distinct().Order().ToList();
            yield return new(string.Create(CultureInfo.InvariantCulture, $"table-bands-{i + 1}"), $"{Words.Quantity(results.Document.Quantity)} in each band, {Words.Scope(scope)}" + Words.PartOf(i, parts.Count),
                [new("Band"), .. parts[i].Select(c => new Column(Named(c), Interval, true))],
                [.. bands.Select(b => new Row([b.ToString(), .. parts[i].Select(c => Band(c.Loss.Bands.FirstOrDefault(x => x.Band == b), scope))]))],
                ["Each band on its own. ‘≥’: the microphone’s own noise was reached, it is at least this.", "The other scope is in bands.csv."]);
        }
    }

    /// <summary>Every donning's own loss.</summary>
    public static ReportTable Fits(TrialResults results) => new("table-fits", $"{Words.Quantity(results.Document.Quantity)} of each donning",
        [new("Donning"), new("Condition"), new("Run"), new("Wearer"), new("Takes", null, true), new($"A-weighted {Words.QuantityLower(results.Document.Quantity)}", "dB", true), new($"C-weighted {Words.QuantityLower(results.Document.Quantity)}", "dB", true)],
        [.. results.Conditions.SelectMany(c => c.FitsDetail.Select(f => new Row([f.Fit, c.Name, Words.RunName(results, f.Run), f.Wearer ?? "–", Integer(f.Takes), Cell.Of(f.LossA), Cell.Of(f.LossC)])))], []);

    /// <summary>Every take; those left out with the reason.</summary>
    public static ReportTable Takes(TrialResults results)
    {
        var offset = results.Mode == TrialMode.Absolute ? 0 : HistoryFigure.RelativeReference(results);
        var unit = results.Mode == TrialMode.Absolute ? "dB re 20 µPa" : "dB re the highest of the trial";
        return new("table-takes", "Each take",
            [new("Take"), new("Run"), new("Condition"), new("Donning"), new("Clock", "min:s", true), new("Length", "s", true), new("A-weighted level", unit, true), new("Used"), new("Findings")],
            [.. results.Takes.Select(t => new Row([t.Entry.Id, Words.RunName(results, t.Entry.Run), Words.ConditionName(results, t.Entry.Condition), t.Entry.Fit ?? "–",
                t.Clock is { } c ? Words.Clock(c) : Cell.Nothing, t.Seconds is { } s ? Words.Number(s) : Cell.Nothing, 
                t.NoiseOnly?.LevelA is { } noise ? new Cell(Cell.Of(t.LevelA - offset).Main, $"noise only {Cell.Of(noise - offset).Main}") : Cell.Of(t.LevelA - offset),
                t.Used ? "yes" : t.Refused is { } refused && t.Entry.LeftOut is null ? new Cell("refused", refused) : new Cell("left out", t.Entry.LeftOut), t.Findings.Count == 0 ? Cell.Nothing : string.Join(", ", t.Findings.Select(f => f.Code).Distinct(StringComparer.Ordinal))]))],
            results.Takes.Any(t => t.Findings.Count > 0) ? ["Findings are given by their codes; what was found stands under Problems and findings."] : []);
    }

    /// <summary>Every pair in both scopes.</summary>
    public static ReportTable Pairs(TrialResults results) => new("table-pairs", $"Each pair by its {Words.QuantityLower(results.Document.Quantity)}, A-weighted, in both scopes",
        [new("Pair"), new("In general", Wide: true), new("As worn", Wide: true), new("Would settle it")],
        [.. results.Pairs.Select(p => new Row([$"{Words.Isolated(Words.ConditionName(results, p.First))} – {Words.Isolated(Words.ConditionName(results, p.Second))}", Verdict(results, p.General), Verdict(results, p.AsWorn),
            p.MoreFitsNeeded is { } n ? $"about {Words.Count(n, "more donning")} of each" : Cell.Nothing]))],
        results.Pairs.Any(p => p.General?.DependsOnPrior == true || p.AsWorn?.DependsOnPrior == true)
            ? ["‘Depends on the assumed donning scatter’: halving or doubling that assumption would change the verdict."] : []);

    /// <summary>In which bands each pair can be told apart, over all its bands at once; null without bands.</summary>
    public static ReportTable? PairBands(TrialResults results) => results.Pairs.All(p => p.BandSentence is null) ? null
        : new("table-pair-bands", $"Where in frequency each pair can be told apart, {Words.Scope(results.Document.Scope)}", [new("Pair"), new("Bands", Wide: true)],
            [.. results.Pairs.Where(p => p.BandSentence is not null).Select(p => new Row([$"{Words.Isolated(Words.ConditionName(results, p.First))} – {Words.Isolated(Words.ConditionName(results, p.Second))}", Words.Sentence(p.BandSentence!)]))],
            ["Each sentence holds at 95\u00A0% for all bands of its pair at once; bands that are not trusted are left out."]);

    private static Row Level(string name, SpectrumEffect effect) => new([name, Cell.Of(effect.A?.General), Cell.Of(effect.A?.AsWorn), Cell.Of(effect.C?.General), Cell.Of(effect.C?.AsWorn)]);

    private static string Named(ConditionResult condition) => condition.Predicted ? condition.Name + " (published, not measured)" : condition.Name;

    private static Cell Integer(int n) => n.ToString(CultureInfo.InvariantCulture);

    private static Cell Band(BandEffect? band, EstimateScope scope) => band?.Effect.In(scope) is not { } e ? new("–", band?.Reason, Muted: true)
        : !band.Valid ? new(Words.Number(e.Value), "not trusted", Muted: true)
        : band.LowerBoundOnly ? new("≥ " + Words.Number(e.Value), "at least")
        : Cell.Of(e);

    private static Cell Verdict(TrialResults results, PairVerdict? verdict) => verdict is null ? new("cannot be said", Muted: true)
        : new(Words.Verdict(verdict.Verdict, results.Document.Margin), Words.Sentence(verdict.Sentence) + (verdict.DependsOnPrior ? " Depends on the assumed donning scatter." : ""));
}
