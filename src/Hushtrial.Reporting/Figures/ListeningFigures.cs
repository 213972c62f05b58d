using Hushtrial.Hearing.Audibility;
using Hushtrial.Hearing.Speech;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>What is heard under each device: one picture for each question.</summary>
/// <param name="Speech">Speech intelligibility index.</param>
/// <param name="Warnings">Warning sounds over the masked threshold.</param>
/// <param name="Hiss">A device's own hiss against the threshold of hearing.</param>
/// <param name="Comms">Level as heard beside that of the noise alone.</param>
public sealed record ListeningFigures(IReadOnlyList<Figure> Speech, IReadOnlyList<Figure> Warnings, IReadOnlyList<Figure> Hiss, IReadOnlyList<Figure> Comms)
{
    /// <summary>Nothing to draw.</summary>
    public static ListeningFigures None { get; } = new([], [], [], []);

    /// <summary>All of them in the order of the report.</summary>
    public IEnumerable<Figure> All() => [.. Speech, .. Warnings, .. Hiss, .. Comms];

    /// <summary>Draws them; a question without an answer in numbers has no picture.</summary>
    internal static ListeningFigures Of(TrialResults results, SeriesStyles styles, FigureWidth width) => results.Listening is not { } listening ? None
        : new(Some(DrawSpeech(results, listening, styles, width)), Some(DrawWarnings(results, listening, styles, width)), Some(DrawHiss(listening, width)), Some(DrawComms(results, listening, styles, width)));

    private static Figure? DrawSpeech(TrialResults results, TrialListening listening, SeriesStyles styles, FigureWidth width)
    {
        if (listening.Speech is not { } speech) return null;
        var rows = speech.Conditions.Where(c => c.Index is not null).ToList();
        if (rows.Count == 0) return null;
        var sheet = new Sheet("speech", speech.Heard.Way == SoundWay.Headset ? "How much of the radio’s speech stands over the noise" : "How much of speech in the cabin stands over the noise",
            $"Speech intelligibility index over the noise left at the ear, {ListeningWords.Procedure(speech.Procedure!.Value)}; {ListeningWords.Speech(speech)}. Bars: 95\u00A0% interval {Words.ScopeLong(results.Document.Scope)}.", width);
        var plot = new RowPlot(new(0, 1, 0.2), 1, "Speech intelligibility index, 0 to 1", [new(0.45, "fair from 0.45"), new(0.75, "excellent above 0.75")]);
        var bottom = plot.Draw(sheet, [new(null, [.. rows.Select(r => new PlotRow(r.Name, Style(results, styles, r.Condition), r.Index!.Value, r.Index.Low, r.Index.High, (r.AtLeast ? "≥\u00A0" : "") + Words.Number(r.Index.Value, 2),
            $"{Words.Number(r.Index.Low, 2)} to {Words.Number(r.Index.High, 2)}", $"{r.Name}: {Words.Number(r.Index.Value, 2)}, {r.Rating}",
            [.. r.ByRule.Where(b => b.Key != speech.Heard.Rule).Select(b => (b.Value, $"{r.Name}, {ListeningWords.Rule(b.Key)}: {Words.Number(b.Value, 2)}"))]))])]);
        var key = Key(Style(results, styles, rows[^1].Condition), rows.Any(r => r.ByRule.Count > 1) ? "under the other listening rules" : null);
        return sheet.Finish(key.Draw(sheet.Body, 0, bottom + 18, sheet.Width) - 4, "Further right is understood better. 0 means that nothing of the speech stands over the noise, 1 that all of it does; the words are those of ISO 9921. Informed by ANSI S3.5-1997, for average speech and normal hearing.",
            Words.Sentence(speech.Sentence));
    }

    private static Figure? DrawWarnings(TrialResults results, TrialListening listening, SeriesStyles styles, FigureWidth width)
    {
        var groups = listening.Warnings.Select(w => (w.Warning.Name, Rows: w.Conditions.Where(c => c.Excess is not null).ToList())).Where(g => g.Rows.Count > 0).ToList();
        if (groups.Count == 0) return null;
        var rows = groups.SelectMany(g => g.Rows).ToList();
        var sheet = new Sheet("warnings", "How far the warning stands over the noise", $"Warning sound over the masked threshold in its best band, dB. Bars: 95\u00A0% interval {Words.ScopeLong(results.Document.Scope)}.", width);
        var required = rows.Select(r => r.Required).Distinct().Order().ToList();
        var scale = ValueScale.Covering(rows.SelectMany(r => new[] { r.Excess!.Low, r.Excess.High }).Concat(required), sheet.Narrow ? 5 : 9, withZero: true);
        var plot = new RowPlot(scale, 0, "Over the masked threshold, dB", [new(0, "masked threshold"), .. required.Select(r => new PlotLine(r, $"clear from {Words.Number(r, 0)} dB"))]);
        var bottom = plot.Draw(sheet, [.. groups.Select(g => new PlotGroup(g.Name, [.. g.Rows.Select(r => new PlotRow(r.Name, Style(results, styles, r.Condition), r.Excess!.Value, r.Excess.Low, r.Excess.High,
            Words.Number(r.Excess.Value), Words.Range(r.Excess.Low, r.Excess.High), $"{r.Name}: {ListeningWords.Verdict(r.Verdict!.Value)}", []))]))]);
        var key = Key(Style(results, styles, rows[^1].Condition), null);
        return sheet.Finish(key.Draw(sheet.Body, 0, bottom + 18, sheet.Width) - 4, $"Further right is heard more clearly; ‘clearly heard’ asks for the whole bar to lie right of the line. Rule: {AudibilityRule.Iso7731FromMemory.Source}. Confirm by ear before flight.",
            string.Join(' ', listening.Warnings.Select(w => Words.Sentence(w.Sentence))));
    }

    private static Figure? DrawHiss(TrialListening listening, FigureWidth width)
    {
        var drawn = listening.Hiss.Where(h => h.Verdict != HissVerdict.RelativeOnly && h.Bands.Count > 0).ToList();
        if (drawn.Count == 0) return null;
        var sheet = new Sheet("hiss", "What the electronics add in a quiet room", "One-third-octave level at the ear microphone in a quiet room, dB re 20 µPa, same fit with the electronics on and off, beside the threshold of hearing (ISO 389-7, diffuse field).", width);
        SeriesStyle on = new(1, Mark.Circle, Open: false, Dash: null), off = new(0, Mark.Square, Open: true, Dash: "7 3"), threshold = new(-1, Mark.Plus, Open: true, Dash: "2 3");
        static BandSeries Series(HissAnswer hiss, string label, SeriesStyle style, Func<HissBand, double?> of) => new(label, style,
            [.. hiss.Bands.Select(b => new BandPoint(b.Band, of(b), of(b) ?? 0, of(b) ?? 0, true, false, $"{b.Band}, {label}: {(of(b) is { } v ? Words.Decibels(v) : "not known")}"))], []);
        List<BandPanel> panels = [.. drawn.Select(h => new BandPanel(h.Name, null, [Series(h, "on", on, b => b.On), Series(h, "off", off, b => b.Off), Series(h, "threshold of hearing", threshold, b => b.Threshold)],
            h.Bands.Where(b => b.HiddenBy is not null).ToDictionary(b => b.Band, b => $"{b.HiddenBy} hides the hiss")))];
        var values = drawn.SelectMany(h => h.Bands).SelectMany(b => new[] { b.On, b.Off, b.Threshold }).OfType<double>();
        var plot = new BandPanels(FrequencyScale.Covering(drawn.SelectMany(h => h.Bands.Select(b => b.Band))), ValueScale.Covering(values, 8, withZero: true), "Level, dB re 20 µPa", BoundUp: false);
        return sheet.Finish(plot.Draw(sheet, panels, sheet.Top + 8), "Hiss is heard where the line ‘on’ lies over the threshold and over ‘off’. Hatched: room or microphone hide what there may be. Levels are those at the microphone; the ear’s own gain near 3\u00A0kHz is in them.",
            string.Join(' ', drawn.Select(h => Words.Sentence(h.Sentence))));
    }

    private static Figure? DrawComms(TrialResults results, TrialListening listening, SeriesStyles styles, FigureWidth width)
    {
        var rows = listening.Comms?.Conditions.Where(c => c.AsHeard is not null).ToList();
        if (rows is not { Count: > 0 }) return null;
        var sheet = new Sheet("comms", "Level as heard, and noise only", $"A-weighted level at the ear, dB re 20 µPa: as heard, with radio and intercom, and noise only. Bars: 95\u00A0% interval {Words.ScopeLong(results.Document.Scope)}.", width);
        var plot = new RowPlot(ValueScale.Covering(rows.SelectMany(r => new[] { r.AsHeard!.Low, r.AsHeard.High, r.NoiseOnly!.Value }), sheet.Narrow ? 5 : 9, withZero: false), 0, "A-weighted level, dB re 20 µPa", []);
        var bottom = plot.Draw(sheet, [new(null, [.. rows.Select(r => new PlotRow(r.Name, Style(results, styles, r.Condition), r.AsHeard!.Value, r.AsHeard.Low, r.AsHeard.High, Words.Number(r.AsHeard.Value),
            Words.Range(r.AsHeard.Low, r.AsHeard.High), $"{r.Name}, as heard: {Words.Decibels(r.AsHeard.Value)}", [(r.NoiseOnly!.Value, $"{r.Name}, noise only: {Words.Decibels(r.NoiseOnly.Value)}")]))])]);
        var key = Key(Style(results, styles, rows[^1].Condition), "noise only");
        return sheet.Finish(key.Draw(sheet.Body, 0, bottom + 18, sheet.Width) - 4, "The bar is the level as heard, the dot that of the noise alone. Only the level of the noise carries an interval that repeats; how much is talked differs from day to day.",
            Words.Sentence(listening.Comms!.Sentence));
    }

    private static Legend Key(SeriesStyle style, string? dot)
    {
        var key = new Legend();
        key.Add(30, "95\u00A0%", (svg, x, y) => svg.Path($"M{Svg.N(x)} {Svg.N(y)}h30m-30 -4v8m30 -8v8", style.Css("thin")));
        if (dot is not null) key.Add(8, dot, (svg, x, y) => svg.Circle(x + 4, y, 2.6, style.Css("dot")));
        return key;
    }

    private static SeriesStyle Style(TrialResults results, SeriesStyles styles, string condition) =>
        results.Conditions.FirstOrDefault(c => c.Condition.Id == condition) is { } c ? styles[c] : SeriesStyle.OpenEar;

    private static IReadOnlyList<Figure> Some(Figure? figure) => figure is null ? [] : [figure];
}
