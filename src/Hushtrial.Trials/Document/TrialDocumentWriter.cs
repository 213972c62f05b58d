using System.Globalization;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>Writes a trial document as tidy YAML that the reader reads back as the same document.</summary>
/// <remarks>Defaults that say nothing are left out; detail fields under names that the layout does not know go below 'other'
/// (after the known ones). Times and clocks are written to the microsecond. <see cref="TakeEntry.Where"/> is not kept.</remarks>
public static class TrialDocumentWriter
{
    /// <summary>The document as text, with line feeds and a final one.</summary>
    /// <exception cref="ArgumentException">The document breaks a rule of the layout, so that it could not be read back; the message names the first.</exception>
    public static string Write(TrialDocument document)
    {
        ArgumentNullException.ThrowIfNull(document);
        var text = YamlText.Document(Root(document));
        var (_, problems) = TrialDocumentReader.Read(text, "trial.yaml");
        return problems.FirstOrDefault(p => p.Severity == Severity.Error) is not { } error ? text
            : throw new ArgumentException($"The document could not be read back: {error}", nameof(document));
    }

    private static YamlMap Root(TrialDocument d) => new YamlMap()
        .Add("hushtrial", d.Schema)
        .Add("trial", Trial(d))
        .Add("method", new YamlMap().AddDetails(d.Method, DocumentShape.Method))
        .Add("noise", new YamlMap().AddDetails(d.Noise, DocumentShape.Noise))
        .Add("chain", new YamlMap().AddDetails(d.Chain, DocumentShape.Chain))
        .Add("comms", new YamlMap().AddDetails(d.Comms, DocumentShape.Comms))
        .Add("fitting", new YamlMap().AddDetails(d.Fitting, DocumentShape.Fitting))
        .Add("exposure", new YamlMap().AddDetails(d.Exposure, DocumentShape.Exposure).Add("week", d.Week.Select(Day)))
        .Add("wearers", d.Wearers.Select(w => new YamlMap().Add("id", w.Id).Add("name", w.Name).AddDetails(w.Details, DocumentShape.Wearers)))
        .Add("channels", d.Channels.Select(Channel))
        .Add("recordings", d.Recordings.Select(r => Recording(r, d)))
        .Add("logs", d.Logs.Select(l => LogSection.Entry(l, Clock(d, l.Run, l.StartClock))), oneLine: false)
        .Add("calibrations", d.Calibrations.Select(Calibration))
        .Add("cabins", d.Cabins.Select(Cabin), oneLine: false)
        .Add("devices", d.Devices.Select(Device), oneLine: false)
        .Add("conditions", d.Conditions.Select(c => new YamlMap().Add("id", c.Id).Add("device", c.Device).Add("mode", c.Mode).Add("with", c.WornWith)))
        .Add("runs", d.Runs.Select(r => new YamlMap().Add("id", r.Id).Add("name", r.Name)
            .Add("start", r.StartOfDay > 0 || d.Recordings.Any(x => x.Run == r.Id && x.StartClock is not null) || d.Logs.Any(l => l.Run == r.Id && l.StartClock is not null) || d.Takes.Any(t => t.Run == r.Id && t.LogFrom is not null) || d.Takes.Any(t => t.Run == r.Id && t.Clock is not null) || d.Comfort.Any(c => c.Run == r.Id && c.Clock is not null) ? Clock(d, r.Id, 0) : null)
            .AddDetails(r.Details, DocumentShape.Runs)))
        .Add("fits", d.Fits.Select(f => new YamlMap().Add("id", f.Id).AddDetails(f.Details, DocumentShape.Fits)))
        .Add(ComfortShape.Key, d.Comfort.Select(c => ComfortLog.Write(c, Clock(d, c.Run, c.Clock))))
        .Add(ListeningShape.Key, ListeningText.Write(d.Listening, Span, b => Bands(b.Select(x => (x.Key, YamlText.Number(x.Value))))))
        .AddAlways("takes", d.Takes.Select(t => Take(t, d)));

    private static YamlMap Trial(TrialDocument d) => new YamlMap()
        .Add("title", d.Identity.Title).Add("purpose", d.Identity.Purpose).Add("operator", d.Identity.Operator).Add("place", d.Identity.Place).Add("date", d.Identity.Date)
        .Add("funding", d.Identity.Funding).Add("interests", d.Identity.Interests).Add("remarks", d.Identity.Remarks)
        .Add("quantity", d.Quantity switch { MeasuredQuantity.LevelDifference => "level-difference", MeasuredQuantity.ActivePart => "active-part", _ => "insertion-loss" })
        .Add("design", d.Design switch { TrialDesign.OutsideChannel => "outside-channel", TrialDesign.ReadingsOnly => "readings-only", _ => "sequential" })
        .Add("scope", d.Scope == EstimateScope.AsWorn ? "as-worn" : "general")
        .Add("margin_db", d.Margin.Decibels).Add("margin_set", d.MarginSet)
        .Add("compare", d.Family.Count == 0 ? "all" : new YamlFlow($"[{string.Join(", ", d.Family.Select(p => $"[{YamlText.Scalar(p.First, inFlow: true)}, {YamlText.Scalar(p.Second, inFlow: true)}]"))}]"))
        .Add("donning_scatter_db", d.DonningScatterMedian.Equals(1.6) ? null : d.DonningScatterMedian)
        .Add("scatter_per_kind", d.ScatterPerKind ? "yes" : null)
        .Add("reading_step_db", d.ReadingStep > 0 ? d.ReadingStep : null)
        .Add("meter_uncertainty_db", d.MeterUncertainty)
        .Add("microphone_at", EarPlaces.Of(d.MicrophoneAt));

    private static YamlMap Channel(ChannelEntry c) => new YamlMap()
        .Add("id", c.Id).Add("where", c.Outside ? "outside" : "ear").Add("ear", c.Ear).Add("number", c.Number).Add("recorder", c.Recorder)
        .Add("safety", c.Safety is { } s ? new YamlMap().Add("number", s.Number).Add("below_db", s.Below) : null).AddDetails(c.Details, DocumentShape.Channels)
        .Add("lowest_valid_hz", c.LowestValidHertz)
        .Add("own_noise", new YamlMap().Add("recording", c.NoiseRecording).Add("from", Span(c.NoiseFrom)).Add("to", Span(c.NoiseTo)));

    private static YamlMap Recording(RecordingEntry r, TrialDocument d)
    {
        var byChannel = r.Tracks.Count > 1 || (r.Tracks.Count == 1 && r.Tracks[0].Number != 1);
        return new YamlMap().Add("id", r.Id).Add("file", r.Tracks.Count == 0 ? r.File : null)
            .Add("files", r.Tracks.Count == 0 || byChannel ? [] : r.Tracks[0].Parts)
            .Add("channel_files", byChannel ? r.Tracks.Aggregate(new YamlMap(), (m, t) => t.Parts.Count == 1 ? m.Add(t.Number.ToString(CultureInfo.InvariantCulture), t.Parts[0]) : m.Add(t.Number.ToString(CultureInfo.InvariantCulture), t.Parts)) : null)
            .Add("recorder", r.Recorder).Add("run", r.Run).Add("starts", Clock(d, r.Run, r.StartClock - r.ClockOffset))
            .Add("clock_offset_s", r.ClockOffset != 0 ? r.ClockOffset : null).Add("clock_drift_ppm", r.ClockDrift != 0 ? r.ClockDrift : null).Add("allow_truncated", r.AllowTruncated ? "yes" : null)
            .Add("captured", r.Captured);
    }

    private static YamlMap Calibration(CalibrationEntry c) => new YamlMap()
        .Add("channel", c.Channel).Add("kind", c.Kind switch { CalibrationKind.Tone => "tone", CalibrationKind.SideBySide => "side-by-side", _ => "sensitivity" })
        .Add("recording", c.Recording).Add("from", Span(c.From)).Add("to", Span(c.To)).Add("level_db", c.LevelDecibels).Add("hertz", c.FrequencyHertz)
        .Add("weighting", c.Kind == CalibrationKind.SideBySide ? c.Weighting.ToString() : null).Add("uncertainty_db", c.Uncertainty)
        .Add("calibrator", c.Piston switch { true => "piston", false => "feedback", null => null }).Add("pressure_kpa", c.PressureKilopascal).Add("when", c.When);

    private static YamlMap Cabin(CabinEntry c) => new YamlMap()
        .Add("id", c.Id).Add("name", c.Name).Add("source", c.Source).Add("fraction", c.Levels.Any(l => l.Key.Fraction == BandFraction.ThirdOctave) ? "third" : null)
        .Add("bands", Bands(c.Levels.Select(l => (l.Key, YamlText.Number(l.Value))))).Add("level_a", c.LevelA).Add("level_c", c.LevelC).Add("uncertainty_db", c.Uncertainty)
        .Add("recording", c.Recording).Add("channel", c.Channel).Add("from", Span(c.From)).Add("to", Span(c.To));

    private static YamlMap Day(WeekDay d) => new YamlMap().Add("day", d.Day).Add("times", d.Times).Add("segments", d.Segments.Select(s => new YamlMap()
        .Add("name", s.Name).Add("hours", s.Hours).Add("condition", s.Condition).Add("cabin", s.Cabin).Add("off_minutes", s.OffMinutes > 0 ? s.OffMinutes : null).Add("one_ear_off", s.OneEarOff ? "yes" : null)
        .Add("level_a", s.LevelA).Add("uncertainty_db", s.Uncertainty).Add("comms_level_a", s.CommsLevelA).Add("comms_share_percent", s.CommsSharePercent > 0 ? s.CommsSharePercent : null)));

    private static YamlMap Device(Device d) => new YamlMap()
        .Add("id", d.Id).Add("name", d.Name).Add("kind", d.Kind switch { DeviceKind.OnEar => "on-ear", DeviceKind.InCanal => "in-canal", DeviceKind.Helmet => "helmet", _ => "over-ear" })
        .Add("measurable", d.Measurable ? null : "no").Add("mass_g", d.MassGrams).Add("clamp_n", d.ClampNewton).AddDetails(d.Details, DocumentShape.Devices)
        .Add("published", d.Published is { } p ? Published(p) : null);

    private static YamlMap Published(PublishedFigures p) => new YamlMap()
        .Add("source", p.Source).Add("subjects", p.Subjects).Add("fraction", p.Bands.Any(b => b.Band.Fraction == BandFraction.ThirdOctave) ? "third" : null)
        .Add("bands", Bands(p.Bands.Select(b => (b.Band, b.StandardDeviation is { } sd ? $"[{YamlText.Number(b.Mean)}, {YamlText.Number(sd)}]" : YamlText.Number(b.Mean)))))
        .Add("ratings", Flow(p.Ratings.Select(r => $"{r.Key}: {YamlText.Number(r.Value)}")))
        .Add("claims", p.Claims.Select(c => new YamlMap().Add("kind", c.Kind).Add("value", c.Value).Add("hertz", c.Hertz).Add("part", c.Part).Add("condition", c.Condition).Add("words", c.Words)));

    internal static YamlMap Take(TakeEntry t, TrialDocument d) => new YamlMap()
        .Add("id", t.Id).Add("run", t.Run).Add("wearer", t.Wearer).Add("condition", t.Condition).Add("fit", t.Fit)
        .Add("recording", t.Recording).Add("from", Span(t.From)).Add("to", Span(t.To))
        .Add("log", t.Log).Add("clock_from", Clock(d, t.Run, t.LogFrom)).Add("clock_to", Clock(d, t.Run, t.LogTo)).Add("line_from", t.LineFrom).Add("line_to", t.LineTo).Add("at", Clock(d, t.Run, t.Clock))
        .Add("reading_a", t.ReadingA).Add("reading_c", t.ReadingC).Add("reading_bands", Bands(t.ReadingBands.Select(b => (b.Key, YamlText.Number(b.Value)))))
        .Add("fraction", t.ReadingBands.Any(b => b.Key.Fraction == BandFraction.ThirdOctave) ? "third" : null)
        .Add("comms", t.Comms).Add("comms_on", t.CommsOn ? "yes" : null).Add("excluded", t.Excluded).Add("remarks", t.Remarks);

    private static YamlFlow? Bands(IEnumerable<(Band Band, string Value)> bands) => Flow(bands.Select(b => $"{YamlText.Number(b.Band.NominalHertz)}: {b.Value}"));

    private static YamlFlow? Flow(IEnumerable<string> pairs) => string.Join(", ", pairs) is { Length: > 0 } inside ? new YamlFlow($"{{ {inside} }}") : null;

    private static YamlFlow? Span(double? seconds) => seconds is { } s ? new YamlFlow(Sexagesimal((decimal)s, hours: s >= 3600)) : null;

    private static YamlFlow? Clock(TrialDocument document, string? run, double? clock)
    {
        if (clock is not { } since) return null;
        const decimal Day = 24 * 3600;
        var ofDay = (decimal)(document.Runs.FirstOrDefault(r => r.Id == run)?.StartOfDay ?? 0) + (decimal)since;
        return new YamlFlow(Sexagesimal(((ofDay % Day) + Day) % Day, hours: true));
    }

    private static string Sexagesimal(decimal seconds, bool hours)
    {
        var exact = decimal.Round(seconds, 6);
        var (whole, minutes) = (decimal.Truncate(exact / 3600), decimal.Truncate(exact / 60));
        return hours ? string.Create(CultureInfo.InvariantCulture, $"{whole}:{minutes % 60:00}:{exact % 60:00.######}")
            : string.Create(CultureInfo.InvariantCulture, $"{minutes}:{exact % 60:00.######}");
    }
}
