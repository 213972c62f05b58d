using Hushtrial.Hearing.Exposure;

namespace Hushtrial.Trials.Document;

/// <summary>The table of the trial document: every key, what it may hold and what it means, in the order a person fills it in.</summary>
internal static class DocumentShape
{
    /// <summary>The version of the layout that this program reads and writes.</summary>
    public const int Version = 1;

    /// <summary>The key that holds a person's own names.</summary>
    public const string Other = "other";

    private static readonly TextShape _text = new();

    private static readonly WordShape _fraction = Words(("octave", "octave bands"), ("third", "one-third-octave bands"));

    public static MapShape Trial { get; } = Map("the trial",
        Must("title", _text, "Title of the trial."),
        Can("purpose", _text, "The question: which, by how much, where."),
        Can("operator", _text, "Who measured."),
        Can("place", _text, "Where it was measured."),
        Can("date", new DateShape(), "Date as 2026-05-14, or '2026-05-14 to 2026-05-16'."),
        Can("funding", _text, "Who paid."),
        Can("interests", _text, "Loans, gifts, employment: whatever a reader should know."),
        Can("remarks", _text, "Anything else."),
        Must("quantity", Words(("insertion-loss", "same microphone at the same ear: open minus covered"),
            ("level-difference", "outside microphone minus ear microphone at the same moment"),
            ("active-part", "same fit: electronics off minus on")), "What is measured. It stands on every figure, and the three are never mixed."),
        Must("design", Words(("sequential", "open ear and devices one after another, with open-ear takes before, between and after"),
            ("outside-channel", "a second microphone outside the device reads the noise at the same time"),
            ("readings-only", "readings of a meter, noted by hand")), "How the readings relate to the noise outside."),
        Can("scope", Words(("general", "over fits and flights: which is better"), ("as-worn", "the fits really made: what reached the ear this time")),
            "Which statement leads the report; the other stands beside it. Default general."),
        Can("margin_db", Number(0.1, 20, "dB"), "Differences inside this margin do not matter to you. Set it before you look at results. Default 2."),
        Can("margin_set", _text, "When and by whom the margin was set."),
        Can("compare", new PairsShape(), "'all', or the pairs of conditions that answer the question: [[birch-active, cedar-active]]. Default all."),
        Can("donning_scatter_db", Number(0.1, 10, "dB"), "The scatter from fit to fit to assume before the data speak (median of its standard deviation). Default 1.6."),
        Can("scatter_per_kind", new YesNoShape(), "Whether each kind of device has a scatter of its own. Default no."),
        Can("reading_step_db", Number(0, 5, "dB"), "Smallest step of hand-noted readings: 1 for a meter read in whole dB. Default 0, no steps."),
        Can("meter_uncertainty_db", Number(0.05, 10, "dB"), "Standard uncertainty of hand-noted readings of a calibrated meter: about 0.7 for a good one, 1.5 for a simple one. Without it the readings serve for differences only."),
        Can("microphone_at", Words([.. EarPlaces.All.Select(p => (p.Word, p.Meaning))]), "Where the ear microphones sat. Limits of exposure are stated for the field without the head: at the eardrum a published table leads back to it, "
            + "elsewhere the trial's own open ear beside an outside microphone. Without it levels stay as read."));

    public static MapShape Method { get; } = Map("the method statement",
        Note("family", "Method family that informed the trial, for example microphone in a real ear."),
        Note("departures", "Where the trial departs from it."),
        Note("excluded", "The rule by which takes were left out."),
        Note("not_covered", "What the trial does not cover."),
        Note("data", "Where the recordings are kept and who may have them."),
        Note("remarks", "Anything else."), Own());

    public static MapShape Noise { get; } = Map("the noise and the vehicle", [.. NoiseFields(), Note("averaging", "Averaging time and kind."), Note("remarks", "Anything else."), Own()]);

    public static MapShape Chain { get; } = Map("the measuring chain",
        Note("recorder", "Recorder or interface."), Detail("bits", Number(8, 64, "bits", whole: true), "Bit depth of the recordings."),
        Detail("rate_hz", Number(8000, 768_000, "Hz"), "Sampling rate."), Note("format", "File format."),
        Note("gain", "Gain setting."), Note("automatic_functions", "Automatic gain, limiter, noise removal: all off?"),
        Note("proof", "How it was proved that the gain stayed the same."), Note("low_cut", "Low-cut filter."), Note("headroom", "Headroom to the loudest part."),
        Note("filters", "Band filters and their class."), Note("meter", "Sound level meter."), Note("meter_class", "Its class."),
        Note("weighting", "Frequency weighting read."), Note("time_weighting", "Time weighting or averaging of the readings."),
        Note("calibrator", "Calibrator, its class and last check."), Note("clock", "How clocks were set and compared."), Note("software", "Other software used."),
        Note("remarks", "Anything else."), Own());

    public static MapShape Comms { get; } = Map("radio and intercom",
        Note("state", "off, receiving only, as used …"), Note("system", "Radio or intercom."), Note("volume", "Position of the volume control."),
        Detail("talk_share_percent", Number(0, 100, "%"), "Share of the time somebody talks."), Note("squelch", "Squelch setting."), Note("sidetone", "Own voice in the headset."),
        Note("music", "Music or telephone."), Note("remarks", "Anything else."), Own());

    public static MapShape Fitting { get; } = Map("how devices were fitted",
        Note("fitted_by", "Who put the devices on."), Note("training", "Training in fitting."), Note("fitting_noise", "Noise while fitting."),
        Note("replicates", "How many fits of each were planned."), Note("order", "The order: 'flight 1: open, open; alder, alder; birch-passive, birch-active; open, open' leads the capture and names proposed takes; ';' parts fits, ',' takes."), Note("order_drawn", "How the order was drawn, and when."),
        Note("blind", "Who did not know which device was which."), Note("codes", "Blind codes that the card shows instead of names: 'B4 = alder; K7 = birch-passive, birch-active'."),
        Note("codes_revealed", "When the key of the codes was revealed on the card."), Detail("settle_s", Number(0, 3600, "s"), "Time to settle before a take."),
        Detail("take_s", Number(1, 3600, "s"), "Planned length of a take. Default 16."),
        Detail("take_half_width_db", Number(0.1, 10, "dB"), "Half width of a take's 95 % interval that is long enough. Default 1.2."),
        Detail("open_level_a", Number(40, 160, "dB"), "A-weighted level at the open ear, as known beforehand: its dose is reckoned with it while nothing is measured."),
        Detail("open_rules", new WordsShape([.. RuleSets.All.Select(r => (r.Id, r.Name))]), "Rule set of that dose. Default that of the exposure, else niosh."),
        Detail("open_share_percent", Number(1, 100, "%"), "Highest share of a day's dose that reading the open ear may cost. Default 25."),
        Note("checked", "How the seal was checked."), Note("rejects", "Fits rejected, with the reason."), Note("safety", "Briefing, stop rules, who watched the radio."),
        Note("remarks", "Anything else."), Own());

    public static MapShape Segment { get; } = Map("a segment of a day",
        Can("name", _text, "Name for readers."), Must("hours", Number(0.001, 24, "h"), "How long it lasts."),
        Can("condition", new ReferenceShape("conditions", OrOpen: true), "The condition worn, or open for no device."), Can("cabin", new ReferenceShape("cabins"), "The cabin it is worn in. Default the noise of this trial."),
        Can("off_minutes", Number(0, 1440, "min"), "Minutes of it with the device off."), Can("one_ear_off", new YesNoShape(), "Whether one ear is uncovered; the worse ear counts. Default no."),
        Can("level_a", Number(0, 160, "dB"), "A-weighted level of a stretch without device that this trial did not measure, instead of a condition."),
        Can("uncertainty_db", Number(0.05, 10, "dB"), "Standard uncertainty of that level. Default 2."),
        Can("comms_level_a", Number(0, 160, "dB"), "A-weighted level at the ear of radio or intercom alone while somebody talks."), Can("comms_share_percent", Number(0, 100, "%"), "Share of the worn time with it."));

    public static MapShape Day { get; } = Map("a day of the week",
        Must("day", _text, "Name for readers."), Can("times", Number(1, 7, "days", whole: true), "How many such days a week has. Default 1."),
        Must("segments", new ListShape(Segment, 1), "What the day is made of."));

    public static MapShape Exposure { get; } = Map("exposure",
        Detail("rules", new WordsShape([.. RuleSets.All.Select(r => (r.Id, r.Name))]), "Rule sets to judge by, one or several: eu, niosh."), Detail("hours_per_day", Number(0, 24, "h"), "Hours in this noise on a day."),
        Detail("days_per_week", Number(0, 7, "days"), "Days a week."), Detail("off_minutes", Number(0, 1440, "min"), "Minutes of these hours with the device off."),
        Can("week", new ListShape(Day), "A week, built from days and their segments. It stands beside the single day above."),
        Note("limit", "Action or limit value to compare with."), Note("field", "How the level without the head is known."), Note("remarks", "Anything else."), Own());

    public static MapShape Wearers { get; } = Map("a wearer",
        Must("id", new IdentityShape(), "Short name used by takes."), Can("name", _text, "Name for readers; leave it out for privacy."),
        Note("sex", "For the balance of a group."), Note("age", "Age."), Note("head", "Head size and shape."), Note("ears", "Remarks on the ears."),
        Note("hair", "Hair, beard."), Note("spectacles", "Spectacles and their temples."), Note("jewellery", "Jewellery."),
        Note("ear_canals", "Ear canals looked into, by whom."), Note("hearing", "Hearing."), Note("training", "Practice with these devices."), Note("consent", "Consent to measure and to publish."),
        Note("remarks", "Anything else."), Own());

    public static MapShape Channels { get; } = Map("a microphone",
        Must("id", new IdentityShape(), "Short name used by calibrations."),
        Must("where", Words(("ear", "at the ear, under the device"), ("outside", "outside the device, at the same place in every take")), "At the ear or outside."),
        Can("ear", Words(("left", "left ear"), ("right", "right ear")), "Which ear."),
        Must("number", Number(1, 64, "", whole: true), "Number of the channel in the recordings, from 1."),
        Can("recorder", _text, "Where a second recorder ran along: the word that its recordings have under 'recorder'."),
        Can("safety", Map("a safety track", Must("number", Number(1, 64, "", whole: true), "Number of the channel that recorded the same microphone with less gain."),
            Can("below_db", Number(1, 40, "dB"), "How much less gain, as set at the recorder. It is measured where the main track did not clip, and held against this.")),
            "A second track of the same microphone with less gain: takes in which the main track clipped are read from it, and the report says so."),
        Note("microphone", "Type."), Note("size", "Size of the part in the ear."), Note("position", "Open canal, blocked entrance, concha, under the cup, headrest …"),
        Note("fixing", "How it was held in place."), Note("cable", "Way of the cable."), Note("response", "Frequency response and how it is known."), Note("windshield", "Windshield."),
        Note("serial", "Serial number."), Note("remarks", "Anything else."),
        Can("lowest_valid_hz", Number(1, 20_000, "Hz"), "Lowest frequency at which the microphone can be trusted."),
        Can("own_noise", Map("the microphone's own noise", Must("recording", new ReferenceShape("recordings"), "A recording in quiet."),
            Must("from", new SpanShape(), "Start of the quiet span."), Must("to", new SpanShape(), "End of the quiet span.")), "A quiet span that shows the own noise of microphone and recorder."),
        Own());

    public static MapShape Recordings { get; } = Map("a recording",
        Must("id", new IdentityShape(), "Short name used by takes and calibrations."), Can("file", new FileNameShape(), "File beside this document, with forward slashes. This, files or channel_files."),
        Can("files", new FileNamesShape(), "The parts of a recording that the recorder split, in order: [f1-1.wav, f1-2.wav]. They are joined to the sample."),
        Can("channel_files", new ChannelFilesShape(), "Files of single channels by number, from 1: { 1: left.wav, 2: right.wav }. Each may be a list of parts."),
        Can("recorder", _text, "The word for a second recorder that ran along, as its microphone has it. A microphone outside on it is the reference for takes of the other recorder, moment by moment."),
        Can("run", new ReferenceShape("runs"), "The run it was made in; none for a calibration recording."),
        Can("starts", new ClockShape(), "Clock time of its first sample. Default the time reference that a broadcast WAV holds."),
        Can("clock_offset_s", Number(-200_000, 200_000, "s"), "Seconds to add to its clock to have the clock of the run; 'hushtrial align' finds them. Default 0."),
        Can("clock_drift_ppm", Number(-5000, 5000, "ppm"), "Parts per million by which its clock is slow: added to every second from its first sample on. Default 0."),
        Can("allow_truncated", new YesNoShape(), "yes to use what is there of a recording that ends before its promised length. Default no."),
        Can("captured", new WordsShape([(CapturedInput.AutomaticGain, "automatic gain not proved off"), (CapturedInput.NoiseSuppression, "noise suppression not proved off"), (CapturedInput.EchoCancellation, "echo cancellation not proved off"),
            (CapturedInput.Resampled, "resampled on the way"), (CapturedInput.LowRate, "a sampling rate below 44.1 kHz")]), "What the device of a recording made in the workspace could not do, or did not prove."));

    public static MapShape Logs { get; } = Map("a level log",
        Must("id", new IdentityShape(), "Short name used by takes."), Must("file", new FileNameShape(), "File beside this document, with forward slashes. 'hushtrial log FILE' proposes the entry with the evidence."),
        Can("sha256", new PatternShape("^[0-9a-f]{64}$", "64 hexadecimal digits in small letters", "the one that 'hushtrial log' prints"), "Hash of the file for which the columns were confirmed: a changed file is refused."),
        Must("where", Words(("ear", "at the ear, under the device"), ("outside", "outside the device: the reference at the time of every take of its run")), "Where its microphone was."),
        Can("ear", Words(("left", "left ear"), ("right", "right ear")), "Which ear."),
        Can("run", new ReferenceShape("runs"), "The run it was made in; may be left out when there is one."),
        Can("starts", new ClockShape(), "For a log with elapsed time alone: clock time at which it begins."),
        Can("clock_offset_s", Number(-200_000, 200_000, "s"), "Seconds to add to its clock to have the clock of the run. Default 0."),
        Can("clock_drift_ppm", Number(-5000, 5000, "ppm"), "Parts per million by which its clock is slow: added to every second from its first row on. Default 0."),
        Can("encoding", Words(("utf-8", "UTF-8"), ("utf-16-le", "UTF-16, low byte first"), ("utf-16-be", "UTF-16, high byte first"), ("latin-1", "one byte a character")), "Coding of its characters. Default utf-8."),
        Must("delimiter", Words(("comma", "','"), ("semicolon", "';'"), ("tab", "tabs"), ("bar", "'|'"), ("space", "one or more spaces")), "What stands between the fields of a row."),
        Can("decimal", Words(("point", "85.3"), ("comma", "85,3")), "Decimal mark. Default point."),
        Can("thousands", Words(("point", "1.250,5"), ("comma", "1,250.5")), "Mark between thousands. Default none."),
        Can("header_line", Number(1, 100_000, "", whole: true), "Line of the header, from 1."), Must("first_line", Number(1, 100_000_000, "", whole: true), "First line with values, from 1."),
        Can("last_line", Number(1, 100_000_000, "", whole: true), "Last line to read. Default the last of the file."),
        Can("date_order", Words(("year-month-day", "2026-05-14"), ("day-month-year", "14/05/2026"), ("month-day-year", "05/14/2026")), "Order of the numbers in its dates."),
        Can("stamp", Words(("start", "the start of the interval"), ("end", "the end of the interval")), "What the time of a row stands for."),
        Can("interval_s", Number(0.001, 86_400, "s"), "Length of every interval, unless a column holds it."),
        Can("run_zone", new PatternShape("^[+-](?:0[0-9]|1[0-4]):[0-5][0-9]$", "an offset from UTC", "\"+02:00\""), "For stamps that carry their zone: offset of the run's clock from UTC."),
        Can("clock_change", Words(("summer-time", "the change of summer time: the rows follow each other"), ("gap", "an hour is missing")), "What a jump of one hour in its clock is."),
        Can("half_of_day", Words(("morning", "before noon"), ("afternoon", "after noon")), "For a 12-hour clock without AM and PM: the half of the day of the first row."),
        Must("columns", new ColumnsShape(), "Roles by number of the column, from 1: { 1: time, 2: LAeq, 3: LAFmax, 4: LZeq 125 Hz third }. Columns that are left out are not read."),
        Can("uncertainty_db", Number(0.05, 10, "dB"), "Standard uncertainty of its levels, of a calibrated instrument: about 0.7 for a good meter. Without it the levels serve for differences only."),
        Can("most_lost_percent", Number(0, 100, "%"), "Largest share of a take's time that may be missing or overloaded. Default 5."),
        Note("instrument", "Kind of instrument and its class."), Note("settings", "Its settings: range, time weighting."), Note("position", "Where the microphone was, in words."), Note("remarks", "Anything else."), Own());

    public static MapShape Calibrations { get; } = Map("a calibration",
        Must("channel", new ReferenceShape("channels"), "The microphone."),
        Must("kind", Words(("tone", "a calibrator's tone in a recording"), ("side-by-side", "a span of noise read beside a reference meter"),
            ("sensitivity", "a stated level of full scale")), "How it was calibrated."),
        Can("recording", new ReferenceShape("recordings"), "Recording of the tone or of the noise."), Can("from", new SpanShape(), "Start of the span."), Can("to", new SpanShape(), "End of the span."),
        Must("level_db", Number(-60, 200, "dB"), "Level of the calibrator or of the meter's reading; for a sensitivity the level of a signal at 0 dB re full scale (mean square 1)."),
        Can("hertz", Number(20, 20_000, "Hz"), "Frequency of the tone."),
        Can("weighting", Words(("A", "A weighting"), ("C", "C weighting"), ("Z", "flat")), "Weighting of the meter's reading. Default Z."),
        Can("uncertainty_db", Number(0.01, 10, "dB"), "Standard uncertainty. Default 0.25 for a tone, 1 for the others."),
        Can("calibrator", Words(("piston", "piston type: follows static pressure"), ("feedback", "feedback type: does not")), "Type of the calibrator."),
        Can("pressure_kpa", Number(20, 120, "kPa"), "Static pressure while calibrating."),
        Can("when", Words(("before", "before the runs"), ("after", "after the runs")), "Before or after the runs."));

    /// <summary>One cabin; a list of spectra kept outside the trial has the same fields, without those of a recording.</summary>
    public static MapShape Cabins { get; } = Map("a cabin",
        [.. SpectrumFields(), Can("recording", new ReferenceShape("recordings"), "A recording of this trial that holds the noise, instead of bands."),
         Can("channel", new ReferenceShape("channels"), "Its microphone. Default the outside one or, without one, the first at the ear, which must then be open."),
         Can("from", new SpanShape(), "Start in the recording."), Can("to", new SpanShape(), "End in the recording.")]);

    public static MapShape Published { get; } = Map("published figures",
        Can("source", _text, "Where it was published."), Can("subjects", Number(1, 1000, "", whole: true), "Number of test subjects."),
        Can("fraction", _fraction, "Width of the bands. Default octave."),
        Can("bands", new BandsShape(-20, 80, WithDeviation: true), "Attenuation by midband frequency: { 125: [14.2, 3.1], 250: 20.5 } as mean and standard deviation, dB."),
        Can("ratings", Map("ratings", [.. new[] { "snr", "h", "m", "l", "nrr", "nrr_sf", "slc80", "nrs_a" }
            .Select(r => Can(r, Number(0, 60, "dB"), $"{r.ToUpperInvariant().Replace('_', ' ')} as published."))]), "Single numbers as published, dB."),
        Can("claims", new ListShape(Map("a claim",
            Must("kind", Words(("at-least", "at least this much"), ("up-to", "at most this much, somewhere"), ("mean", "this much on average")), "What the words mean."),
            Must("value", Number(0, 80, "dB"), "The number claimed."), Can("hertz", Number(16, 20_000, "Hz"), "At this frequency; without it the claim is about dB(A)."),
            Can("part", Words(("total", "the whole reduction"), ("active", "what the electronics add")), "Of the whole or of the active part. Default total."),
            Can("condition", new ReferenceShape("conditions"), "Condition it is tested on; all of the device's without it."),
            Can("words", _text, "The claim as published."))), "Claims to test."));

    public static MapShape Devices { get; } = Map("a device",
        Must("id", new IdentityShape(), "Short name used by conditions."), Can("name", _text, "Name for readers. Default the short name."),
        Must("kind", Words(("over-ear", "cup around the ear"), ("on-ear", "cushion on the ear"), ("in-canal", "ear plug or in-canal device"), ("helmet", "helmet with cups")),
            "Kind; it sets the scatter of fits to expect."),
        Can("measurable", new YesNoShape(), "Whether a microphone fits inside. A device without room for one (a moulded plug) enters by published data only. Default yes."),
        Can("mass_g", Number(0.1, 5000, "g"), "Mass."), Can("clamp_n", Number(0, 50, "N"), "Clamp force."),
        Note("clamp_measured", "How the clamp force was measured."), Note("type", "General type."), Note("modes", "Modes it has."), Note("units", "How many units were tried."), Note("serial", "Serial number."),
        Note("age", "Age."), Note("cushions", "Condition of cushions or tips."), Note("band", "Condition of the band."), Note("battery", "Battery and its state."), Note("firmware", "Firmware."),
        Note("loan", "Bought, own or on loan, from whom."), Note("price", "Price."), Note("comfort", "Comfort: hot spots, heat, hours."), Note("alarms", "Which alarms were checked to be heard, and how."),
        Note("remarks", "Anything else."), Can("published", Published, "What its maker publishes."), Own());

    public static MapShape Conditions { get; } = Map("a condition",
        Must("id", new IdentityShape(), "Short name used by takes."), Must("device", new ReferenceShape("devices"), "The device."),
        Can("mode", new ModeShape(), "passive, active or another mode of the device. Default passive."), Can("with", new TextsShape(), "Worn with: spectacles, cap … Each combination is a condition of its own."));

    public static MapShape Runs { get; } = Map("a run",
        [Must("id", new IdentityShape(), "Short name used by takes."), Can("name", _text, "Name for readers."), Can("start", new ClockShape(), "Clock time of its start. Default its earliest clock."),
         Detail("date", new DateShape(), "Date."), .. NoiseFields().Where(f => f.Key != "vehicle"), Note("remarks", "Anything else."), Own()]);

    public static MapShape Fits { get; } = Map("a fit",
        Must("id", new IdentityShape(), "Short name used by takes."), Note("by", "Who put it on."), Note("order", "Place in the order."), Note("seal", "How the seal was checked and found."),
        Note("battery", "Battery state."), Note("comfort", "Comfort."), Note("remarks", "Anything else."), Own());

    public static MapShape Takes { get; } = Map("a take",
        Must("id", new IdentityShape(), "Short name."), Can("run", new ReferenceShape("runs"), "The run; may be left out when there is one, or when the recording names it."),
        Can("wearer", new ReferenceShape("wearers"), "The wearer, when there are several."), Must("condition", new ReferenceShape("conditions", OrOpen: true), "The condition, or open for the open ear."),
        Can("fit", new ReferenceShape("fits"), "One putting-on of the device. Takes between putting it on and taking it off share its name."),
        Can("recording", new ReferenceShape("recordings"), "The recording."), Can("from", new SpanShape(), "Start in the recording: seconds, m:ss or h:mm:ss."), Can("to", new SpanShape(), "End in the recording."),
        Can("log", new ReferenceShape("logs"), "The level log."), Can("clock_from", new ClockShape(), "Clock time of its start, on the clock of the run, in a log."), Can("clock_to", new ClockShape(), "Clock time of its end."),
        Can("line_from", Number(1, 100_000_000, "", whole: true), "Or its first line in the file of the log, from 1."), Can("line_to", Number(1, 100_000_000, "", whole: true), "And its last line."),
        Can("at", new ClockShape(), "Clock time of a hand-noted reading."),
        Can("reading_a", Number(0, 160, "dB"), "Hand-noted level, dB(A)."), Can("reading_c", Number(0, 160, "dB"), "Hand-noted level, dB(C)."),
        Can("reading_bands", new BandsShape(-20, 160, WithDeviation: false), "Hand-noted band levels, without weighting: { 63: 92, 125: 95.5 }."), Can("fraction", _fraction, "Width of these bands. Default octave."),
        Can("comms", _text, "Radio and intercom during this take, where unlike the trial's."), Can("comms_on", new YesNoShape(), "yes when radio or intercom was on and left as heard: the take then gives the level as heard, and the loss comes from the others. Default no."),
        Can("excluded", _text, "The reason for leaving this take out. Without it the take is used."), Can("remarks", _text, "Anything else."));

    public static MapShape Root { get; } = Map("the trial document",
        Must("hushtrial", Number(Version, Version, "", whole: true), "Version of this layout."),
        Must("trial", Trial, "Who, what and why."), Can("method", Method, "How it was done, in words."), Can("noise", Noise, "The noise and the vehicle."), Can("chain", Chain, "Recorder or meter."),
        Can("comms", Comms, "Radio and intercom."), Can("fitting", Fitting, "How devices were fitted and the order drawn."), Can("exposure", Exposure, "What to say about hearing."),
        Can("wearers", new ListShape(Wearers), "The people at whose ears was measured."), Can("channels", new ListShape(Channels), "The microphones."),
        Can("recordings", new ListShape(Recordings), "The recordings."), Can("logs", new ListShape(Logs), "Level logs: tables of levels that a meter or logger wrote."), Can("calibrations", new ListShape(Calibrations), "Calibrations."),
        Can("cabins", new ListShape(Cabins), "Noises of other cabins, to carry the losses to."),
        Must("devices", new ListShape(Devices, 1), "Headsets and hearing protectors."), Must("conditions", new ListShape(Conditions, 1), "What is compared: device, mode, worn with."),
        Must("runs", new ListShape(Runs, 1), "Flights or runs: stretches at one steady state, each with one clock."), Can("fits", new ListShape(Fits), "Details of single fits; a fit that only takes name needs no entry."),
        Can(ComfortShape.Key, new ListShape(ComfortShape.Entry), "What wearers said of comfort at moments and at the end of the day. It stands beside the results and never enters a decibel or a verdict."),
        Can(ListeningShape.Key, ListeningShape.Listening, "What has to be heard: radio, warnings, a device's own hiss."),
        Must("takes", new ListShape(Takes), "The takes, in the order they were made."));

    internal static Field[] SpectrumFields() =>
    [
        Must("id", new IdentityShape(), "Short name used by segments of a week."), Can("name", _text, "Name for readers. Default the short name."),
        Can("source", _text, "Where the levels come from: measured by whom, published where, invented."),
        Can("fraction", _fraction, "Width of the bands. Default octave."), Can("weighting", Words(("Z", "flat"), ("A", "the bands are A-weighted already")), "Weighting of the bands. Default Z."),
        Can("bands", new BandsShape(-40, 160, WithDeviation: false), "Band levels at the open ear or without a head: { 63: 92, 125: 95.5 }."),
        Can("level_a", Number(0, 160, "dB"), "A-weighted level as stated with the bands; it only checks them."), Can("level_c", Number(0, 160, "dB"), "C-weighted level as stated with the bands."),
        Can("uncertainty_db", Number(0.05, 10, "dB"), "Standard uncertainty of these levels. Without it they count as exact."),
    ];

    private static Field[] NoiseFields() =>
    [
        Note("vehicle", "Vehicle or machine, by its general type."), Note("engine", "Engine."), Note("power", "Power setting."), Detail("rpm", Number(1, 100_000, "rpm"), "Speed of propeller, rotor or engine."),
        Detail("blades", Number(1, 40, "", whole: true), "Blades of propeller or main rotor."), Note("speed", "Speed with its unit."), Detail("altitude_ft", Number(-1500, 60_000, "ft"), "Altitude."),
        Detail("temperature_c", Number(-60, 70, "°C"), "Temperature in the cabin."), Detail("pressure_kpa", Number(20, 120, "kPa"), "Static pressure in the cabin."),
        Note("doors", "Doors."), Note("windows", "Windows."), Note("heater", "Heater, ventilation."), Note("phase", "Phase: cruise, idle …"), Note("seat", "Seat measured at."),
        Note("ground", "Road, field, water."), Note("weather", "Weather, wind, turbulence."), Note("occupants", "People on board."), Note("steadiness", "How steady it was."), Note("tones", "Tones heard."),
    ];

    private static MapShape Map(string title, params IReadOnlyList<Field> fields) => new(title, fields);

    private static Field Must(string key, Shape shape, string meaning) => new(key, shape, meaning, Required: true);

    private static Field Can(string key, Shape shape, string meaning) => new(key, shape, meaning);

    private static Field Note(string key, string meaning) => new(key, _text, meaning, Detail: true);

    private static Field Detail(string key, Shape shape, string meaning) => new(key, shape, meaning, Detail: true);

    private static Field Own() => new(Other, new OwnWordsShape(), "Names and texts of your own.", Detail: true);

    private static NumberShape Number(double least, double most, string unit, bool whole = false) => new(least, most, unit, whole);

    private static WordShape Words(params (string, string)[] choices) => new(choices);
}
