using System.CommandLine;
using System.Text.Json;
using Hushtrial.Cli.Calculations;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using static Hushtrial.Cli.Calculations.CalculationCommand;
using Hushtrial.Store;

namespace Hushtrial.Cli.Commands;

/// <summary>A day's exposure under several rule sets.</summary>
internal static class ExposureCommand
{
    private const string Description = """
        Exposure of a day built from segments: LEX,8h, dose, TWA and allowed hours under each rule set.

        INPUT is a table with the columns name, hours, level (dB(A) at the ear), and where they apply: outside (dB(A) outside the device; alone: no device is worn), reduction (dB, instead of level),
        uncertainty (standard uncertainty, dB), off_minutes or off_share (device off during the segment), one_ear (1: one ear uncovered), comms (dB(A) while someone talks), comms_share.
        For one steady level the options do. Levels must be referred to the field, not raw in-canal ones.
        Peaks: --peak-outside and --peak-ear, C-weighted; the peak under a device is never guessed from its losses.
        Example: hushtrial exposure --level 88 --hours 4 --rules niosh
        Example: printf 'name,hours,level,outside,off_minutes\nstart,0.5,84,98,2\ncruise,3,78,96,6\n' | hushtrial exposure --format json
        JSON: {"calibration":"94 dB calibrator","segments":[{"name":"cruise","hours":3,"outside":96,"reduction":18,"uncertainty":2}]}
        A week: {"days":[84.1, 86.0]} (LEX,8h of each day). ISO 9612: {"tasks":[{"name":"welding","hours":5,"half_range_hours":1,"samples":[80.1, 82.2, 79.6]}],"instrument":"personal"} or {"samples":[88.1, 86.1, …],"hours":7.5,"strategy":"job"}
        """;

    private const string Prefix = "EXP";

    public static Command Build(Edge edge)
    {
        var input = InputArgument();
        var level = Number("--level", "DB", "one steady level at the ear, dB(A)", NumberRange.Level);
        var hours = Number("--hours", "H", "its duration", new(0, 24, "h", Above: true));
        var outside = Number("--outside", "DB", "level outside the device, dB(A)", NumberRange.Level);
        var reduction = Number("--reduction", "DB", "A-weighted reduction of the device, instead of --level", NumberRange.Reduction);
        var uncertainty = Number("--uncertainty", "DB", "standard uncertainty of the level at the ear", new(0, 40, "dB"));
        var off = Number("--off-minutes", "MIN", "minutes with the device off", new(0, 1440, "min"));
        var (peakOutside, peakEar) = (Number("--peak-outside", "DB", "highest C-weighted peak level outside the device", NumberRange.Peak), Number("--peak-ear", "DB", "highest C-weighted peak level at the ear", NumberRange.Peak));
        var rules = new Option<string[]>("--rules") { HelpName = "NAME", Description = "rule sets: " + string.Join(", ", RuleSets.All.Select(r => r.Id)) + " (default: all)", AllowMultipleArgumentsPerToken = true, DefaultValueFactory = _ => [] };
        var calibration = new Option<string?>("--calibration") { HelpName = "WORDS", Description = "how the levels were calibrated" };
        var command = new Command("exposure", Description) { input, level, hours, outside, reduction, uncertainty, off, peakOutside, peakEar, rules, calibration };
        rules.Validators.Add(r =>
        {
            foreach (var word in r.Tokens.SelectMany(t => Words(t.Value)))
                if (RuleSets.Find(word) is null) r.AddError($"--rules: '{word}' is none of {string.Join(", ", RuleSets.All.Select(s => s.Id))}.");
        });
        command.SetAction(parsed =>
        {
            var byOptions = parsed.GetValue(hours) is not null;
            if (!byOptions && (parsed.GetValue(level) ?? parsed.GetValue(outside)) is not null) throw new WrongUseException("--hours is needed with a level.");
            if (!byOptions && (parsed.GetValue(reduction) ?? parsed.GetValue(uncertainty) ?? parsed.GetValue(off)) is not null) throw new WrongUseException("--reduction, --uncertainty and --off-minutes go with --hours; a table has columns for them.");
            var source = byOptions ? CalculationInput.None(Prefix) : CalculationInput.Read(edge, parsed.GetValue(input)!, Prefix).Expecting(InputShape.Exposure);
            var one = byOptions ? new Dictionary<string, double?>
            {
                ["level"] = parsed.GetValue(level), ["hours"] = parsed.GetValue(hours), ["outside"] = parsed.GetValue(outside), ["reduction"] = parsed.GetValue(reduction),
                ["uncertainty"] = parsed.GetValue(uncertainty), ["off_minutes"] = parsed.GetValue(off),
            } : null;
            // As in the options, so in the object: one text, or a list of them.
            var named = parsed.GetValue(rules) is { Length: > 0 } ids ? [.. ids.SelectMany(Words)] : source.Words("rules").SelectMany(Words).ToList();
            foreach (var word in named.Where(w => RuleSets.Find(w) is null)) source.Error(15, source.Where, $"the rule set '{word}'", string.Join(", ", RuleSets.All.Select(s => s.Id)), "Name some of them, or none for all.");
            var wanted = named.Count > 0 ? named.Distinct(StringComparer.Ordinal).Select(RuleSets.Find).OfType<ExposureRules>().ToArray() : [.. RuleSets.All];
            var stated = parsed.GetValue(calibration) ?? source.Text("calibration");
            if (string.IsNullOrWhiteSpace(stated))
                source.Note(20, source.Where, "nothing said about the calibration", "how the levels were tied to pascals", "Give --calibration; hours from an uncalibrated level mean nothing.");
            var calibrated = CalibrationStatement.Of(string.IsNullOrWhiteSpace(stated) ? "taken as dB(A) re 20 µPa as entered; calibration not stated" : stated);
            return Run(new Answer(edge, CommandTree.AsJson(parsed)), source, () => ExposureResult.Of(source, one, calibrated, wanted, (parsed.GetValue(peakOutside) ?? source.Number("peak_outside"), parsed.GetValue(peakEar) ?? source.Number("peak_ear"))), (w, r) => r.WriteJson(w), (w, r) => r.WriteText(w));
        });
        return command;

        // Written 'eu, niosh' as in the trial document, or one after the other.
        static string[] Words(string rules) => rules.Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries);
    }
}

/// <summary>What the command found: a day, a week or a daily level by ISO 9612.</summary>
internal sealed record ExposureResult(DayExposure? Day, IReadOnlyList<RuleResult> Rules, Level? Week, DailyLevel? Measured, string Calibration,
    (double? Outside, double? Ear) Peaks)
{
    private static readonly TimeSpan _eight = TimeSpan.FromHours(8);

    public static ExposureResult? Of(CalculationInput input, IReadOnlyDictionary<string, double?>? one, CalibrationStatement calibration, IReadOnlyList<ExposureRules> rules,
        (double? Outside, double? Ear) peaks)
    {
        if (input.Numbers("days") is { } days) return new(null, [], WeekExposure.Level40Hours([.. days.Select(Level.FromDecibels)]), null, calibration.Words, peaks);
        if (input.HasTable("tasks") || input.Numbers("samples") is not null)
        {
            var measured = Iso9612Of(input);
            if (measured is not null) input.Add(measured.Problems);
            return measured is null ? null : new(null, [], null, measured, calibration.Words, peaks);
        }

        var segments = one is not null
            ? [Segment(input, input.Where, "level", n => one.TryGetValue(n, out var v) ? v : null, calibration)]
            : input.Rows("segments").Select((row, i) => Segment(input, row.Place, row.Cells.TryGetValue("name", out var name) && name.Length > 0 ? name : Words($"segment {i + 1}"), n => input.Cell(row, n), calibration)).ToArray();
        if (segments.Length == 0 && !input.Failed) input.Error(10, input.Where, "no segment", "at least one segment with hours and a level", "See hushtrial exposure --help.");
        if (input.Failed) return null;
        var day = DayExposure.Of(segments.Select(s => s!));
        if (segments.All(s => (s!.AtEar ?? s.Outside)!.StandardUncertainty.Decibels == 0))
            input.Note(21, input.Where, "no uncertainty of the levels", "a standard uncertainty in dB", "Give it: without one the intervals have no width and 'safe' hours are not safe.");
        return new(day, [.. rules.Select(day.Under)], null, null, calibration.Words, peaks);
    }

    private static DaySegment? Segment(CalculationInput input, string place, string name, Func<string, double?> cell, CalibrationStatement calibration)
    {
        var hours = cell("hours");
        var u = LevelDifference.FromDecibels(Math.Abs(cell("uncertainty") ?? 0));
        EarLevel? At(double? level, LevelDifference uncertainty) => level is { } l ? EarLevel.Of(Level.FromDecibels(l), uncertainty, calibration) : null;
        if (hours is null && !input.Failed) input.Error(4, place, "no 'hours'", "the duration in hours", "Add it.");
        if (input.Failed) return null;
        var outside = At(cell("outside"), LevelDifference.Zero);
        var atEar = At(cell("level") ?? cell("at_ear"), u) ?? (cell("reduction") is { } r && outside is not null ? outside.Behind(LevelDifference.FromDecibels(r), u) : null);
        if (hours is not (> 0 and <= 24)) { input.Error(11, place, Words($"{hours} h"), "a duration above 0 and up to 24 h", "Give hours of one day."); return null; }
        var segment = new DaySegment
        {
            Name = name, Duration = TimeSpan.FromHours(hours.Value), AtEar = atEar,
            // Without a device the level outside is the level at the ear, with its uncertainty.
            Outside = atEar is null ? At(cell("outside"), u) : outside,
            ShareOff = cell("off_share") ?? (cell("off_minutes") / 60 / hours.Value) ?? 0, OneEarUncovered = cell("one_ear") is > 0,
            Communication = At(cell("comms"), u), CommunicationShare = cell("comms_share") ?? (cell("comms") is null ? 0 : 1),
        };
        if (segment.Fault() is { } fault) input.Error(13, place, fault, "a segment that can be summed", "Complete or correct the segment.");
        return segment;
    }

    private static DailyLevel? Iso9612Of(CalculationInput input)
    {
        var instrument = input.Text("instrument") == "class1" ? MeasurementUncertainty.Class1Meter : MeasurementUncertainty.PersonalMeter;
        if (input.Numbers("samples") is { } samples)
        {
            if (input.Number("hours") is not { } te) { input.Error(4, input.Where, "no 'hours'", "the effective duration of the working day in hours", "Add it."); return null; }
            Level[] levels = [.. samples.Select(Level.FromDecibels)];
            return input.Text("strategy") == "full-day" ? Iso9612.FullDay(levels, TimeSpan.FromHours(te), instrument) : Iso9612.JobBased(levels, TimeSpan.FromHours(te), instrument);
        }

        var tasks = new List<TaskSamples>();
        foreach (var row in input.Rows("tasks"))
        {
            var hours = input.Required(row, "hours");
            var list = row.Cells.TryGetValue("samples", out var cell) ? cell.Trim('[', ']').Split(',', ';', ' ').Where(s => s.Length > 0).Select(s => double.TryParse(s, System.Globalization.CultureInfo.InvariantCulture, out var v) ? v : double.NaN).ToArray() : [];
            if (list.Length == 0 || list.Any(double.IsNaN)) input.Error(14, row.Place, "no list of samples", "'samples': levels of the task in dB(A)", "Write them as a JSON list.");
            if (!input.Failed)
                tasks.Add(new(row.Cells.TryGetValue("name", out var name) ? name : "task", [.. list.Select(Level.FromDecibels)], TimeSpan.FromHours(hours!.Value), TimeSpan.FromHours(input.Cell(row, "half_range_hours") ?? 0)));
        }

        return input.Failed ? null : Iso9612.TaskBased(tasks, instrument);
    }

    public void WriteJson(Utf8JsonWriter w)
    {
        w.WriteString("calibration", Calibration);
        w.WriteString("deference", ExposureRules.Deference);
        if (Week is { } week) w.WriteNumber("lex40h", week.Decibels);
        if (Measured is { } m)
        {
            w.WriteNumber("lex8h", m.Level8Hours.Decibels);
            w.WriteNumber("standard_uncertainty", m.StandardUncertainty.Decibels);
            w.WriteNumber("expanded_uncertainty", m.Expanded.Decibels);
            w.WriteNumber("upper95", m.Upper.Decibels);
            w.WriteStartArray("tasks");
            foreach (var t in m.Tasks)
            {
                w.WriteStartObject();
                w.WriteString("name", t.Name);
                w.WriteNumber("leq", t.EquivalentLevel.Decibels);
                w.WriteNumber("lex8h_contribution", t.Contribution.Decibels);
                w.WriteNumber("u1a", t.SamplingUncertainty.Decibels);
                w.WriteNumber("c1a", t.LevelSensitivity);
                w.WriteNumber("u1b", t.DurationUncertainty.TotalHours);
                w.WriteNumber("c1b", t.DurationSensitivity);
                w.WriteEndObject();
            }

            w.WriteEndArray();
        }

        if (Day is not { } day) return;
        Interval(w, "lex8h", day.NormalisedLevel(_eight), l => l.Decibels);
        Interval(w, "laeq", day.EquivalentLevel, l => l.Decibels);
        if (day.NormalisedLevelOutside(_eight) is { } outside) w.WriteNumber("lex8h_outside", outside.Best.Decibels);
        w.WriteNumber("hours", day.Duration.TotalHours);
        w.WriteNumber("comms_share_of_dose", day.CommunicationShare);
        var wearing = new Wearing(day);
        w.WriteString("ear_level_remark", wearing.Remark);
        w.Optional("level_while_worn", day.LevelWhileWorn?.Decibels);
        w.Optional("raised_by_wearing", wearing.Raised);
        w.WriteStartArray("segments");
        foreach (var part in day.Parts())
        {
            w.WriteStartObject();
            w.WriteString("name", part.Name);
            w.WriteNumber("level_worse_ear", part.WorseEar.Decibels);
            w.WriteNumber("level_covered_ear", part.CoveredEar.Decibels);
            w.WriteNumber("share_of_dose", part.ShareOfDay);
            w.WriteNumber("comms_share", part.CommunicationShare);
            w.WriteEndObject();
        }

        w.WriteEndArray();
        w.WriteStartArray("rules");
        foreach (var rule in Rules) WriteRule(w, day, rule, PeaksUnder(rule));
        w.WriteEndArray();
    }

    private static void WriteRule(Utf8JsonWriter w, DayExposure day, RuleResult rule, IReadOnlyList<PeakResult> peaks)
    {
        w.WriteStartObject();
        w.WriteString("id", rule.Rules.Id);
        w.WriteString("name", rule.Rules.Name);
        w.WriteString("source", rule.Rules.Source);
        w.WriteNumber("lex8h", day.NormalisedLevel(_eight).Best.Decibels);
        if (rule.Rules.CriterionTime.TotalHours == 24) w.WriteNumber("lex24h", day.NormalisedLevel(rule.Rules.CriterionTime).Best.Decibels);
        Interval(w, "dose_percent", rule.DosePercent, d => d);
        w.Optional("twa", rule.TimeWeightedAverage?.Decibels);
        if (rule.AllowedTime is { } allowed) Interval(w, "allowed_hours", allowed, t => t.TotalHours);
        else w.WriteNull("allowed_hours");
        w.WriteStartArray("thresholds");
        foreach (var t in rule.Thresholds)
        {
            w.WriteStartObject();
            w.WriteString("name", t.Threshold.Name);
            w.WriteNumber("level", t.Threshold.Level.Decibels);
            w.WriteBoolean("protector_counted", t.Threshold.ProtectorCounted);
            w.WriteString("standing", JsonWord(t.Standing));
            w.Optional("allowed_hours", t.AllowedTime?.Best.TotalHours);
            w.Optional("safe_hours", t.AllowedTime?.Upper.TotalHours);
            w.WriteEndObject();
        }

        w.WriteEndArray();
        w.WriteStartArray("peaks");
        foreach (var p in peaks)
        {
            w.WriteStartObject();
            w.WriteString("name", p.Threshold.Name);
            w.WriteNumber("level", p.Threshold.Level.Decibels);
            w.WriteBoolean("protector_counted", p.Threshold.ProtectorCounted);
            w.WriteString("standing", JsonWord(p.Standing));
            w.WriteEndObject();
        }

        w.WriteEndArray();
        w.WriteStartArray("cautions");
        foreach (var caution in rule.Rules.Cautions) w.WriteStringValue(caution);
        w.WriteEndArray();
        w.WriteEndObject();
    }

    // The number under its own name; its 95 % interval and one-sided 95 % limit beside it. For hours the low level gives the long time.
    private static void Interval<T>(Utf8JsonWriter w, string name, Bounded<T> value, Func<T, double> number)
    {
        w.WriteNumber(name, number(value.Best));
        w.WriteStartObject(name + "_interval");
        var (a, b) = (number(value.Low), number(value.High));
        w.WriteNumber("low", Math.Min(a, b));
        w.WriteNumber("high", Math.Max(a, b));
        w.WriteNumber("one_sided95", number(value.Upper));
        w.WriteEndObject();
    }

    public void WriteText(TextWriter to)
    {
        if (Week is { } week) to.WriteLine(Words($"Weekly level LEX,40h: {week.Decibels:0.0} dB(A)."));
        if (Measured is { } m)
            to.WriteLine(Words($"LEX,8h {m.Level8Hours.Decibels:0.0} dB(A), U {m.Expanded.Decibels:0.0} dB (one-sided 95 %): not above {m.Upper.Decibels:0.0} dB(A) with 95 % confidence."));
        if (Day is { } day)
        {
            var lex = day.NormalisedLevel(_eight);
            to.WriteLine(Words($"At the worse ear: {day.EquivalentLevel.Best.Decibels:0.0} dB(A) over {day.Duration.TotalHours:0.##} h; LEX,8h {lex.Best.Decibels:0.0} dB(A) (95 % interval {lex.Low.Decibels:0.0} to {lex.High.Decibels:0.0})."));
            foreach (var part in day.Parts()) to.WriteLine(Words($"  {part.Name}: {part.WorseEar.Decibels:0.0} dB(A), {100 * part.ShareOfDay:0} % of the dose"));
            foreach (var line in new Wearing(day).Lines()) to.WriteLine("  " + line);
            foreach (var rule in Rules)
            {
                to.WriteLine();
                to.WriteLine(Words($"{rule.Rules.Name}: dose at the ear {rule.DosePercent.Best:0} %") + (rule.TimeWeightedAverage is { } twa ? Words($", TWA at the ear {twa.Decibels:0.0} dB(A)") : "") + Allowed(day, rule));
                foreach (var h in rule.Thresholds) to.WriteLine(Words($"  {h.Threshold.Name} {h.Threshold.Level.Decibels:0} dB(A), {(h.Threshold.ProtectorCounted ? "at the ear" : "outside the device")}: {Word(h.Standing)}"));
                foreach (var p in PeaksUnder(rule)) to.WriteLine(Words($"  peak, {p.Threshold.Name} {p.Threshold.Level.Decibels:0} dB(C): {Word(p.Standing)}"));
            }
        }

        to.WriteLine();
        to.WriteLine(ExposureRules.Deference);
    }

    // The hours are reckoned from what reaches the ear. A level that is judged outside the device can be exceeded all the same.
    private static string Allowed(DayExposure day, RuleResult rule)
    {
        if (rule.AllowedTime is not { } t) return "; nothing at the ear that counts";
        var over = rule.Thresholds.Where(x => !x.Threshold.ProtectorCounted && x.Standing == Standing.Above).Select(x => x.Threshold.Name).ToList();
        var hours = Words($"allowed {Hours(t.Best)}, safe {Hours(t.Upper)}");
        return over.Count == 0 || day.LevelWhileWorn is null ? "; at the ear " + hours
            : $"; at the ear under the device {hours}: no leave by this rule set, for outside the device the {string.Join(" and the ", over)} {(over.Count > 1 ? "are" : "is")} reached or exceeded";
    }

    private static string Hours(TimeSpan time) => time >= ExposureRules.LongestTime ? "without end" : time.TotalHours >= 1 ? Words($"{time.TotalHours:0.0} h")
        : time.TotalMinutes >= 1 ? Words($"{time.TotalMinutes:0.0} min") : Words($"{time.TotalSeconds:0.0} s");

    // Peaks are judged only when one was given.
    private IReadOnlyList<PeakResult> PeaksUnder(RuleResult rule) => Peaks is (null, null) ? []
        : PeakCheck.Against(rule.Rules, Peaks.Outside is { } o ? Level.FromDecibels(o) : null, Peaks.Ear is { } e ? Level.FromDecibels(e) : null);

    private static string JsonWord(Standing standing) => standing == Standing.NotKnown ? "unknown" : standing.ToString().ToLowerInvariant();

    private static string Word(Standing standing) => standing switch
    {
        Standing.Below => "below",
        Standing.Above => "reached or exceeded",
        Standing.Unresolved => "cannot be told",
        _ => "not known: the level it is judged by is missing",
    };
}
