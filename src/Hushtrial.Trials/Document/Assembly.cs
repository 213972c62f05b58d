using System.Globalization;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>Makes the immutable document of a draft without errors.</summary>
internal sealed class Assembly(Draft draft, RunClocks clocks, DocumentProblems problems)
{
    private static readonly IReadOnlyDictionary<string, double> _usualUncertainty = new Dictionary<string, double>(StringComparer.Ordinal)
    {
        // A class 2 calibrator in the field; a meter beside the microphone; a figure from a data sheet (common practice, no source).
        ["tone"] = 0.25, ["side-by-side"] = 1, ["sensitivity"] = 1,
    };

    public TrialDocument Document()
    {
        var (root, trial) = (draft.Root, draft.Trial);
        return new TrialDocument
        {
            Schema = DocumentShape.Version,
            Identity = new Identity(trial.Text("title")!, trial.Text("purpose"), trial.Text("operator"), trial.Text("place"), trial.Text("date"), trial.Text("funding"), trial.Text("interests"), trial.Text("remarks")),
            Quantity = trial.Text("quantity") switch { "level-difference" => MeasuredQuantity.LevelDifference, "active-part" => MeasuredQuantity.ActivePart, _ => MeasuredQuantity.InsertionLoss },
            Design = trial.Text("design") switch { "outside-channel" => TrialDesign.OutsideChannel, "readings-only" => TrialDesign.ReadingsOnly, _ => TrialDesign.Sequential },
            Scope = trial.Text("scope") == "as-worn" ? EstimateScope.AsWorn : EstimateScope.General,
            Margin = LevelDifference.FromDecibels(trial.Number("margin_db") ?? 2),
            MarginSet = trial.Text("margin_set"),
            Family = [.. trial.List<(TextNode First, TextNode Second)>("compare").Select(p => (p.First.Text, p.Second.Text))],
            DonningScatterMedian = trial.Number("donning_scatter_db") ?? 1.6,
            ScatterPerKind = trial.Flag("scatter_per_kind") ?? false,
            ReadingStep = trial.Number("reading_step_db") ?? 0,
            MeterUncertainty = trial.Number("meter_uncertainty_db"),
            MicrophoneAt = EarPlaces.Of(trial.Text("microphone_at")),
            Method = Details(root.Map("method"), DocumentShape.Method),
            Noise = Details(root.Map("noise"), DocumentShape.Noise),
            Chain = Details(root.Map("chain"), DocumentShape.Chain),
            Comms = Details(root.Map("comms"), DocumentShape.Comms),
            Fitting = Details(root.Map("fitting"), DocumentShape.Fitting),
            Exposure = Details(root.Map("exposure"), DocumentShape.Exposure),
            Week = [.. root.Map("exposure")?.List<BoundMap>("week").Select(Day) ?? []],
            Cabins = [.. draft.List("cabins").Select(Cabin)],
            Wearers = [.. draft.List("wearers").Select(w => new Wearer(w.Text("id")!, w.Text("name"), Details(w, DocumentShape.Wearers)))],
            Channels = [.. draft.List("channels").Select(Channel)],
            Recordings = [.. draft.List("recordings").Select(Recording)],
            Logs = [.. draft.List("logs").Select(Log)],
            Calibrations = [.. draft.List("calibrations").Select(Calibration)],
            Devices = [.. draft.List("devices").Select(Device)],
            Conditions = [.. draft.List("conditions").Select(c => new Condition(c.Text("id")!, c.Text("device")!, c.Text("mode") ?? "passive", c.List<string>("with")))],
            Runs = [.. draft.List("runs").Select(r => new Run(r.Text("id")!, r.Text("name"), Details(r, DocumentShape.Runs)) { StartOfDay = Double(clocks.StartOf(r.Text("id")!)) })],
            Fits = [.. draft.List("fits").Select(f => new Fit(f.Text("id")!, Details(f, DocumentShape.Fits)))],
            Comfort = [.. draft.List(ComfortShape.Key).Select(c => ComfortLog.Read(c, draft, SinceStart))],
            Listening = ListeningText.Read(root.Map(ListeningShape.Key), Double),
            Takes = [.. draft.Takes.Select(Take)],
        };
    }

    private ChannelEntry Channel(BoundMap channel)
    {
        var noise = channel.Map("own_noise");
        return new ChannelEntry(channel.Text("id")!, channel.Text("where") == "outside", channel.Text("ear"), (int)channel.Number("number")!.Value, Details(channel, DocumentShape.Channels),
            channel.Number("lowest_valid_hz"), noise?.Text("recording"), Double(noise?.Seconds("from")), Double(noise?.Seconds("to")))
        {
            Recorder = channel.Text("recorder"),
            Safety = channel.Map("safety") is { } safety ? new((int)safety.Number("number")!.Value, safety.Number("below_db")) : null,
        };
    }

    private RecordingEntry Recording(BoundMap recording)
    {
        var tracks = RecordingChecks.TracksOf(recording);
        var offset = recording.Number("clock_offset_s") ?? 0;
        return new RecordingEntry(recording.Text("id")!, tracks[0].Parts[0], SinceStart(recording.Text("run"), recording.Seconds("starts")) + offset, recording.Text("run"), recording.Flag("allow_truncated") ?? false)
        {
            Recorder = recording.Text("recorder"), ClockOffset = offset, ClockDrift = recording.Number("clock_drift_ppm") ?? 0, Captured = recording.List<string>("captured"),
            Tracks = tracks is [{ Number: 1, Parts.Count: 1 }] ? [] : tracks,
        };
    }

    private LogEntry Log(BoundMap log)
    {
        var run = log.Text("run") ?? (draft.List("runs") is [var only] ? only.Text("id") : null);
        var layout = new LogLayout
        {
            Encoding = LogWords.Find(LogWords.Encodings, log.Text("encoding")) ?? LogEncoding.Utf8, Delimiter = LogWords.Find(LogWords.Delimiters, log.Text("delimiter"))!.Value,
            Decimal = LogWords.Find(LogWords.Decimals, log.Text("decimal")) ?? DecimalMark.Point, Thousands = LogWords.Find(LogWords.Thousands, log.Text("thousands")),
            HeaderLine = (int?)log.Number("header_line"), FirstLine = (int)log.Number("first_line")!.Value, LastLine = (int?)log.Number("last_line"),
            Columns = (IReadOnlyDictionary<int, ColumnRole>)log.Find("columns")!.Value, DateOrder = LogWords.Find(LogWords.DateOrders, log.Text("date_order")), Stamp = LogWords.Find(LogWords.Stamps, log.Text("stamp")),
            IntervalSeconds = log.Number("interval_s"), RunZoneMinutes = LogWords.ZoneMinutes(log.Text("run_zone")), ClockChange = LogWords.Find(LogWords.ClockChanges, log.Text("clock_change")),
            HalfOfDay = LogWords.Find(LogWords.HalvesOfDay, log.Text("half_of_day")),
        };
        return new LogEntry(log.Text("id")!, log.Text("file")!, log.Text("where") == "outside", log.Text("ear"), run, log.Text("sha256"), layout, SinceStart(run, log.Seconds("starts")), log.Number("clock_offset_s") ?? 0,
            log.Number("uncertainty_db"), log.Number("most_lost_percent") ?? LogEntry.UsualMostLostPercent, Details(log, DocumentShape.Logs), problems.Where(log.Place)) { ClockDrift = log.Number("clock_drift_ppm") ?? 0 };
    }

    private CalibrationEntry Calibration(BoundMap calibration)
    {
        var kind = calibration.Text("kind")!;
        return new CalibrationEntry(calibration.Text("channel")!, kind switch { "tone" => CalibrationKind.Tone, "side-by-side" => CalibrationKind.SideBySide, _ => CalibrationKind.Sensitivity },
            calibration.Text("recording"), Double(calibration.Seconds("from")), Double(calibration.Seconds("to")), calibration.Number("level_db")!.Value, calibration.Number("hertz"),
            calibration.Text("weighting") switch { "A" => FrequencyWeighting.A, "C" => FrequencyWeighting.C, _ => FrequencyWeighting.Z },
            calibration.Number("uncertainty_db") ?? _usualUncertainty[kind], calibration.Text("calibrator") is { } type ? type == "piston" : null, calibration.Number("pressure_kpa"), calibration.Text("when"),
            problems.Where(calibration.Place));
    }

    /// <summary>A cabin, its bands freed of the weighting they were written with.</summary>
    internal static CabinEntry Cabin(BoundMap cabin)
    {
        var (fraction, weighting) = (DesignChecks.FractionOf(cabin), cabin.Text("weighting") == "A" ? FrequencyWeighting.A : FrequencyWeighting.Z);
        return new CabinEntry(cabin.Text("id")!, cabin.Text("name") ?? cabin.Text("id")!, cabin.Text("source"), [.. cabin.List<BandValue>("bands").Select(b => (Band: Band.FromNominal(fraction, b.Hertz)!.Value, b.Mean))
                .Select(b => new KeyValuePair<Band, double>(b.Band, b.Mean - Weightings.At(weighting, b.Band.ExactMidband).Decibels)).OrderBy(b => b.Key)],
            cabin.Number("level_a"), cabin.Number("level_c"), cabin.Number("uncertainty_db"), cabin.Text("recording"), cabin.Text("channel"), Double(cabin.Seconds("from")), Double(cabin.Seconds("to")));
    }

    private static WeekDay Day(BoundMap day) => new(day.Text("day")!, day.Number("times") ?? 1, [.. day.List<BoundMap>("segments").Select(s => new WeekSegment(s.Text("name"), s.Number("hours")!.Value,
        s.Text("condition"), s.Text("cabin"), s.Number("off_minutes") ?? 0, s.Flag("one_ear_off") ?? false, s.Number("level_a"), s.Number("uncertainty_db"), s.Number("comms_level_a"), s.Number("comms_share_percent") ?? 0))]);

    private static Device Device(BoundMap device) => new(device.Text("id")!, device.Text("name") ?? device.Text("id")!,
        device.Text("kind") switch { "on-ear" => DeviceKind.OnEar, "in-canal" => DeviceKind.InCanal, "helmet" => DeviceKind.Helmet, _ => DeviceKind.OverEar },
        device.Flag("measurable") ?? true, device.Number("mass_g"), device.Number("clamp_n"), Details(device, DocumentShape.Devices), device.Map("published") is { } published ? Published(published) : null);

    private static PublishedFigures Published(BoundMap published)
    {
        var fraction = DesignChecks.FractionOf(published);
        return new PublishedFigures([.. published.List<BandValue>("bands").Select(b => new PublishedBand(Band.FromNominal(fraction, b.Hertz)!.Value, b.Mean, b.Deviation)).OrderBy(b => b.Band)],
            (int?)published.Number("subjects"),
            [.. published.Map("ratings")?.Values.Select(r => new KeyValuePair<string, double>(r.Key, (double)r.Value.Value)) ?? []],
            [.. published.List<BoundMap>("claims").Select(c => new PublishedClaim(c.Text("kind")!, c.Number("value")!.Value, c.Number("hertz"), c.Text("part") ?? "total", c.Text("words"), c.Text("condition")))],
            published.Text("source"));
    }

    private TakeEntry Take(DraftTake take)
    {
        var map = take.Map;
        var fraction = DesignChecks.FractionOf(map);
        return new TakeEntry(map.Text("id")!, take.Run!, take.Wearer, map.Text("condition")!, take.Fit, map.Text("recording"), Double(take.From), Double(take.To),
            map.Number("reading_a"), map.Number("reading_c"), [.. map.List<BandValue>("reading_bands").Select(b => new KeyValuePair<Band, double>(Band.FromNominal(fraction, b.Hertz)!.Value, b.Mean)).OrderBy(b => b.Key)],
            SinceStart(take.Run, map.Seconds("at")), map.Text("comms"), map.Text("excluded"), map.Text("remarks"), problems.Where(map.Place))
        {
            CommsOn = map.Flag("comms_on") ?? false,
            Log = map.Text("log"), LogFrom = SinceStart(take.Run, map.Seconds("clock_from")), LogTo = LogTo(take), LineFrom = (int?)map.Number("line_from"), LineTo = (int?)map.Number("line_to"),
        };
    }

    /// <summary>The end of a take in a log: over midnight it is the next one after its start.</summary>
    private double? LogTo(DraftTake take) => take.Run is null || take.Map.Seconds("clock_from") is not { } from || take.Map.Seconds("clock_to") is not { } to ? null
        : Double(clocks.Since(take.Run, from) + LogChecks.Length(from, to));

    private double? SinceStart(string? run, decimal? clock) => run is null || clock is null ? null : Double(clocks.Since(run, clock.Value));

    /// <summary>The fields kept as text, in the order written; names of the user's own last.</summary>
    private static List<KeyValuePair<string, string>> Details(BoundMap? map, MapShape shape)
    {
        if (map is null) return [];
        var known = map.Values.Where(v => v.Key != DocumentShape.Other && shape.Find(v.Key)!.Detail).Select(v => new KeyValuePair<string, string>(v.Key, v.Value.Text));
        return [.. known, .. map.List<KeyValuePair<string, string>>(DocumentShape.Other)];
    }

    private static double? Double(decimal? exact) => exact is { } value ? Double(value) : null;

    /// <summary>The double nearest to an exact decimal: by its text, for a cast may be one step off.</summary>
    private static double Double(decimal exact) => double.Parse(exact.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
}
