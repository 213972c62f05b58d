using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>The level over one run, and below it a lane per condition with its takes; those left out, and stretches of speech or bursts set aside, are hatched and named.</summary>
internal static class HistoryFigure
{
    private const double Lane = 21;

    /// <summary>One figure per run that has a history or takes with a clock.</summary>
    public static IEnumerable<Figure> Draw(TrialResults results, SeriesStyles styles, FigureWidth width)
    {
        // Without calibration the highest value of the trial is 0: only differences are left to read.
        var offset = results.Mode == TrialMode.Absolute ? 0 : RelativeReference(results);
        var scale = ValueScale.Covering(AllValues(results).Select(v => v - offset), 5, withZero: false);
        var i = 0;
        foreach (var run in results.Document.Runs)
        {
            var histories = results.Histories.Where(h => h.Run == run.Id && h.LevelA.Count > 0).OrderBy(h => h.StartClock).ToList();
            var takes = results.Takes.Where(t => t.Entry.Run == run.Id && t.Clock is not null).OrderBy(t => t.Clock).ToList();
            if (histories.Count == 0 && takes.Count == 0) continue;
            i++;
            yield return Run(results, styles, run, histories, takes, scale, offset, FormattableString.Invariant($"history-{i}"), width);
        }
    }

    /// <summary>The highest A-weighted level of the trial: what levels are referred to without calibration.</summary>
    public static double RelativeReference(TrialResults results) => AllValues(results).DefaultIfEmpty(0).Max();

    private static IEnumerable<double> AllValues(TrialResults results) =>
        results.Histories.SelectMany(h => h.LevelA).OfType<double>().Concat(results.Takes.Select(t => t.LevelA).OfType<double>());

    private static Figure Run(TrialResults results, SeriesStyles styles, Run run, List<RunHistory> histories, List<TakeResult> takes, ValueScale scale, double offset,
        string name, FigureWidth width)
    {
        var unit = results.Mode == TrialMode.Absolute ? "dB re 20 µPa" : "dB re the highest of the trial";
        var sheet = new Sheet(name, $"Level at the ear during {run.Name ?? run.Id}, with its takes",
            $"A-weighted level at the ear microphone, {unit}{(histories.Count == 0 ? ", one mark per take" : "")}. Every take is shown, also those left out.", width);
        var conditions = new[] { TrialDocument.OpenEar }.Concat(results.Conditions.Select(c => c.Condition.Id)).Where(c => takes.Any(t => t.Entry.Condition == c)).ToList();
        var labelRoom = sheet.Narrow ? 104.0 : Math.Min(240, conditions.Select(c => TextMetrics.Width(Words.ConditionName(results, c), 12)).DefaultIfEmpty(60).Max() + 14);
        double left = Math.Max(44, labelRoom), right = sheet.Width - 8, top = sheet.Top + 22, bottom = top + (sheet.Narrow ? 120 : 150);
        var (from, to) = Span(histories, takes);
        double X(double clock) => left + ((clock - from) / (to - from) * (right - left));
        double Y(double level) => scale.Place(level - offset, bottom, top);

        sheet.Body.Text(left - 32, top - 8, results.Mode == TrialMode.Absolute ? "A-weighted level, dB" : "A-weighted, dB re highest", "h-tick");
        foreach (var tick in scale.Ticks())
            sheet.Body.Line(left, scale.Place(tick, bottom, top), right, scale.Place(tick, bottom, top), "h-grid")
                .Text(left - 6, scale.Place(tick, bottom, top) + 4, Words.Number(tick, 0), "h-tick", "end");
        var laneTop = bottom + 10;
        foreach (var take in takes.Where(t => t.Seconds is > 0 && t.Used))
            sheet.Body.Rect(X(take.Clock!.Value - (take.Seconds!.Value / 2)), top, Math.Max(1.2, X(take.Seconds.Value + from) - left), bottom - top, "h-span");
        foreach (var take in takes.Where(t => t.Seconds is > 0 && !t.Used))
            Hatch(sheet.Body, take.Clock!.Value - (take.Seconds!.Value / 2), take.Clock.Value + (take.Seconds.Value / 2), top, bottom - top, X, $"{take.Entry.Id}, left out: {Reason(take)}");
        foreach (var (take, start, end) in SetAside(results, takes))
            Hatch(sheet.Body, start, end, top, bottom - top, X, $"{take.Entry.Id}, set aside: speech or bursts");
        foreach (var history in histories)
            sheet.Body.Path(Trace(history, X, Y, right - left, to - from), "h-level", $"Recording {history.Recording}");
        if (histories.Count == 0)
            foreach (var take in takes.Where(t => t.LevelA is not null))
                Reading(sheet.Body, results, styles, take, X(take.Clock!.Value), Y(take.LevelA!.Value));
        for (var i = 0; i < conditions.Count; i++)
            LaneOf(sheet, results, styles, conditions[i], [.. takes.Where(t => t.Entry.Condition == conditions[i])], laneTop + (i * Lane), left, right, X);
        foreach (var (take, start, end) in SetAside(results, takes).Where(s => s.Take.Used))
            Hatch(sheet.Body, start, end, laneTop + (conditions.IndexOf(take.Entry.Condition) * Lane) + 2, 14, X, $"{take.Entry.Id}, set aside: speech or bursts");
        var said = ComfortLane.Of(results, run.Id, from, to);
        var laneBottom = ComfortLane.Draw(sheet.Body, results, said, laneTop + (conditions.Count * Lane), left, right, X) + 4;
        TimeAxis(sheet.Body, from, to, left, right, laneBottom, X);
        var y = Key(results, takes, histories.Count > 0).Draw(sheet.Body, 0, laneBottom + 56, sheet.Width);
        y = LeftOut(sheet, results, takes, y);
        return sheet.Finish(y - 4, histories.Count > 0 ? "Marked spans are the takes; the rest of the recording is not used." : "One mark per reading, as noted by hand.", string.Join(' ', [Describe(results, takes), .. said.Select(c => ComfortLane.Told(results, c) + ".")]));
    }

    /// <summary>Speech and bursts of the takes on the clock of the run: the estimate keeps them, the answer with noise only does without.</summary>
    private static IEnumerable<(TakeResult Take, double From, double To)> SetAside(TrialResults results, IEnumerable<TakeResult> takes)
    {
        foreach (var take in takes.Where(t => t is { NoiseOnly: not null, Entry: { From: not null, To: not null } }))
        {
            // Seconds of the recording; a recorder's clock may be slow or fast.
            var rate = results.Document.Recordings.FirstOrDefault(r => r.Id == take.Entry.Recording)?.ClockRate ?? 1;
            double Clock(double second) => take.Clock!.Value + ((second - ((take.Entry.From!.Value + take.Entry.To!.Value) / 2)) * rate);
            foreach (var (from, to) in take.NoiseOnly!.Spans) yield return (take, Clock(from), Clock(to));
        }
    }

    private static void Hatch(Svg svg, double from, double to, double y, double height, Func<double, double> x, string title)
    {
        var width = Math.Max(2, x(to) - x(from));
        svg.Rect(x(from), y, width, height, "h-out").Hatched(x(from), y, width, height, title);
    }

    private static (double From, double To) Span(List<RunHistory> histories, List<TakeResult> takes)
    {
        var starts = histories.Select(h => h.StartClock).Concat(takes.Select(t => t.Clock!.Value - ((t.Seconds ?? 0) / 2)));
        var ends = histories.Select(h => h.StartClock + (h.StepSeconds * h.LevelA.Count)).Concat(takes.Select(t => t.Clock!.Value + ((t.Seconds ?? 0) / 2)));
        double from = starts.Min(), to = ends.Max();
        return histories.Count > 0 ? (from, Math.Max(to, from + 1)) : (from - Math.Max(20, 0.03 * (to - from)), to + Math.Max(20, 0.03 * (to - from)));
    }

    /// <summary>The trace; where several values fall on one pixel their lowest and highest are drawn, so that no peak is lost.</summary>
    private static string Trace(RunHistory history, Func<double, double> x, Func<double, double> y, double pixels, double seconds)
    {
        var per = Math.Max(1, (int)Math.Round(seconds / history.StepSeconds / pixels));
        var data = new System.Text.StringBuilder();
        var down = false;
        for (var i = 0; i < history.LevelA.Count; i += per)
        {
            var values = history.LevelA.Skip(i).Take(per).OfType<double>().ToList();
            if (values.Count == 0)
            {
                down = false;
                continue;
            }
            var at = Svg.N(x(history.StartClock + ((i + (per / 2.0)) * history.StepSeconds)));
            data.Append(down ? 'L' : 'M').Append(at).Append(' ').Append(Svg.N(y(values.Max())));
            if (values.Count > 1) data.Append('V').Append(Svg.N(y(values.Min())));
            down = true;
        }
        return data.ToString();
    }

    private static void Reading(Svg svg, TrialResults results, SeriesStyles styles, TakeResult take, double x, double y)
    {
        var title = $"{take.Entry.Id}, {Words.ConditionName(results, take.Entry.Condition)}{(take.Used ? "" : ", left out")}";
        var style = results.Conditions.FirstOrDefault(c => c.Condition.Id == take.Entry.Condition) is { } c ? styles[c] : SeriesStyle.OpenEar;
        if (!take.Used) svg.Path(SeriesStyle.MarkPath(Mark.Cross, x, y, 4), "h-no", title);
        else if (style.Colour < 0) svg.Path(SeriesStyle.MarkPath(Mark.Plus, x, y, 5), style.Css("ln"), title);
        else svg.Path(style.MarkPath(x, y, 4.2), style.Css(style.Open ? "op" : "fl"), title);
    }

    private static void LaneOf(Sheet sheet, TrialResults results, SeriesStyles styles, string condition, List<TakeResult> takes, double y, double left, double right,
        Func<double, double> x)
    {
        var name = Words.ConditionName(results, condition);
        var svg = sheet.Body.Group(name);
        svg.Text(0, y + 13, TextMetrics.Fit(name, 12, left - 8), "h-lab", title: name).Line(left, y + 9, right, y + 9, "h-axis");
        var style = results.Conditions.FirstOrDefault(c => c.Condition.Id == condition) is { } c ? styles[c] : SeriesStyle.OpenEar;
        for (var i = 0; i < takes.Count; i++)
        {
            var take = takes[i];
            double half = (take.Seconds ?? 0) / 2, l = x(take.Clock!.Value - half), w = Math.Max(5, x(take.Clock.Value + half) - l);
            if (half == 0) l -= 2.5;
            var title = $"{take.Entry.Id}, {name}" + (take.Entry.Fit is null ? "" : $", donning {take.Entry.Fit}")
                + (take.Seconds is { } s ? $", {Words.Number(s, 0)} s" : "") + (take.Used ? "" : $", left out: {Reason(take)}");
            if (take.Used) svg.Rect(l, y + 2, w, 14, style.Css("fl"), title, radius: 1.5);
            else
            {
                svg.Rect(l, y + 2, w, 14, "h-out", radius: 1.5).Hatched(l, y + 2, w, 14, title);
                var next = i + 1 < takes.Count ? x(takes[i + 1].Clock!.Value - ((takes[i + 1].Seconds ?? 0) / 2)) : right;
                var before = i > 0 ? x(takes[i - 1].Clock!.Value + ((takes[i - 1].Seconds ?? 0) / 2)) : left;
                Name(svg, $"left out: {Reason(take)}", l, l + w, before, next, y + 13);
            }
        }
        svg.End();
    }

    private static void Name(Svg svg, string words, double left, double right, double before, double next, double y)
    {
        double after = next - right - 10, ahead = left - before - 10;
        var toTheRight = after >= Math.Min(ahead, TextMetrics.Width(words, 11));
        var fitted = TextMetrics.Fit(words, 11, toTheRight ? after : ahead);
        if (fitted.Length < 6) return;
        var width = TextMetrics.Width(fitted, 11);
        var x = toTheRight ? right + 5 : left - 5;
        svg.Rect(toTheRight ? x - 2 : x - width - 2, y - 11, width + 4, 14, "h-paper").Text(x, y, fitted, "h-small", toTheRight ? "start" : "end", words);
    }

    /// <summary>Names what was left out in words below the picture, where a lane may have no room for them.</summary>
    private static double LeftOut(Sheet sheet, TrialResults results, List<TakeResult> takes, double y)
    {
        const int Shown = 5;
        var lines = takes.Where(t => !t.Used).Select(t => $"Left out: {t.Entry.Id}, {Words.ConditionName(results, t.Entry.Condition)} – {Reason(t)}").ToList();
        if (lines.Count > Shown) lines = [.. lines.Take(Shown), $"and {Words.Count(lines.Count - Shown, "more take")}, in the table of takes"];
        foreach (var line in lines)
        {
            sheet.Body.Text(0, y + 4, TextMetrics.Fit(line, 11, sheet.Width), "h-tick", title: line);
            y += 16;
        }
        return y;
    }

    private static string Reason(TakeResult take) => take.Entry.LeftOut ?? (take.Findings.Count > 0 ? take.Findings[0].Found : "no reason stated");

    private static void TimeAxis(Svg svg, double from, double to, double left, double right, double y, Func<double, double> x)
    {
        double[] choices = [5, 10, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400];
        var step = choices.FirstOrDefault(s => (to - from) / s * 48 <= right - left, 28800);
        svg.Line(left, y, right, y, "h-axis");
        for (var t = Math.Ceiling(from / step) * step; t <= to; t += step)
            svg.Line(x(t), y, x(t), y + 4, "h-axis").Text(x(t), y + 17, Words.Clock(t), "h-tick", "middle");
        svg.Text(right, y + 33, to >= 3600 ? "Time since the start of the run, h:min:s" : "Time since the start of the run, min:s", "h-tick", "end");
    }

    private static Legend Key(TrialResults results, List<TakeResult> takes, bool history)
    {
        var legend = new Legend();
        if (history) legend.Add(24, "level", (svg, x, y) => svg.Path($"M{Svg.N(x)} {Svg.N(y + 2)}l5 -4l5 5l5 -6l5 4l4 -2", "h-level"));
        if (history) legend.Add(18, "take used", (svg, x, y) => svg.Rect(x, y - 7, 18, 14, "h-span"));
        if (takes.Any(t => !t.Used)) legend.Add(18, "take left out", (svg, x, y) => svg.Rect(x, y - 7, 18, 14, "h-out", radius: 1.5).Hatched(x, y - 7, 18, 14));
        if (SetAside(results, takes).Any()) legend.Add(18, "speech or bursts set aside", (svg, x, y) => svg.Rect(x, y - 7, 18, 14, "h-out").Hatched(x, y - 7, 18, 14));
        return legend;
    }

    private static string Describe(TrialResults results, List<TakeResult> takes) =>
        string.Join(' ', takes.GroupBy(t => t.Entry.Condition).Select(g => $"{Words.ConditionName(results, g.Key)}: {Words.Count(g.Count(), "take")}.")
            .Concat(takes.Where(t => !t.Used).Select(t => $"Left out: {t.Entry.Id}, {Words.ConditionName(results, t.Entry.Condition)} ({Reason(t)})."))
            .Concat(takes.Where(t => t.NoiseOnly is not null).Select(t => $"Set aside in {t.Entry.Id}: {Words.Number(t.NoiseOnly!.Spans.Sum(s => s.To - s.From), 1)} s of speech or bursts.")));
}
