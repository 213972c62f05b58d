using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>Losses carried to other cabins, and which octaves carry what is left.</summary>
public static class CabinTables
{
    /// <summary>One table for every cabin.</summary>
    public static IEnumerable<ReportTable> Cabins(TrialResults results)
    {
        foreach (var (i, cabin) in results.Cabins.Index())
        {
            if (cabin.Conditions.Count == 0) continue;
            var levels = results.Mode == TrialMode.Absolute && cabin.LevelA is not null;
            var scope = results.Document.Scope;
            yield return new ReportTable(FormattableString.Invariant($"table-cabin-{i + 1}"),
                $"‘{cabin.Cabin.Name}’" + (levels ? $": {Words.Number(cabin.LevelA!.Value)} dB(A), {Words.Number(cabin.LevelC!.Value)} dB(C) outside" : "") + ". Carried from the bands, not measured there",
                [new("Condition"), new("Loss in general", "dB(A), 95\u00A0%", true), new("Loss as worn", "dB(A), 95\u00A0%", true), new("In the noise measured", $"dB(A), {Words.Scope(scope)}", true), new("Loss in general", "dB(C), 95\u00A0%", true),
                    new("At the ear", $"dB(A), {Words.Scope(scope)}", true), new("Remark", Wide: true)],
                [.. cabin.Conditions.Select(c => new Row([c.Predicted ? c.Name + " (published, not measured)" : c.Name, Bound(c, c.LossA?.General), Bound(c, c.LossA?.AsWorn),
                    Cell.Of(results.Conditions.FirstOrDefault(x => x.Condition.Id == c.Condition)?.Loss.A?.In(scope)?.Value), Bound(c, c.LossC?.General), levels ? Cell.Of(c.EarLevelA?.In(scope)) : Cell.Nothing,
                    c.WhyNot is { } why ? new Cell("Cannot be said", Words.Sentence(why), Muted: true) : c.Remarks.Count > 0 && !c.Predicted ? new Cell(Words.Sentence(string.Join(' ', c.Remarks.Select(r => Own(r, c.Name))))) : Cell.Nothing]))],
                [$"The cabin’s noise: {Words.Sentence(cabin.Basis)}.", .. cabin.Cautions.Select(Words.Sentence)]).WithoutEmptyColumns();
        }
    }

    /// <summary>Shares by octave; null without enough bands.</summary>
    public static ReportTable? Shares(TrialResults results)
    {
        if (results.Shares.Count == 0) return null;
        var octaves = results.Shares.SelectMany(s => s.ByOctave.Keys).Distinct().Order().ToList();
        return new("table-energy-shares", "Share of the A-weighted sound energy at the ear, by octave",
            [new("Condition"), .. octaves.Select(o => new Column(o.ToString(), "%", true)), new("Quieter without the strongest octave", "dB(A), at most", true)],
            [.. results.Shares.Select(s => new Row([s.Name, .. octaves.Select(o => s.ByOctave.TryGetValue(o, out var share) ? new Cell(share < 0.005 ? "< 1" : Words.Number(100 * share, 0), Muted: o != s.Leading) : Cell.Nothing), Words.Number(s.MostDecibels)]))],
            ["In the noise of this trial, over the bands that could be measured; a band in which only a lower bound of the loss is known counts with that bound.", "The last column is what a device could gain at most by doing better in that octave alone."]);
    }

    private static Cell Bound(CarriedCondition c, Estimate? estimate) => estimate is null ? Cell.Nothing
        : c.AtLeast ? new("≥ " + Words.Number(estimate.Value), Words.Range(estimate.Low, estimate.High)) : Cell.Of(estimate);

    // The row is named already.
    private static string Own(string remark, string name) => remark.StartsWith(name + ": ", StringComparison.Ordinal) ? char.ToUpperInvariant(remark[name.Length + 2]) + remark[(name.Length + 3)..] : char.ToUpperInvariant(remark[0]) + remark[1..] + (remark.EndsWith('.') ? "" : ".");
}
