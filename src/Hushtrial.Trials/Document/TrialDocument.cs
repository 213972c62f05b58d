using Hushtrial.Hearing.EarTransfer;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>What is measured; printed on every figure, never mixed in one column.</summary>
public enum MeasuredQuantity
{
    /// <summary>Same microphone, same ear: open minus covered.</summary>
    InsertionLoss,

    /// <summary>Outside microphone minus ear microphone at the same moment.</summary>
    LevelDifference,

    /// <summary>Same fit: electronics off minus on.</summary>
    ActivePart,
}

/// <summary>How the readings relate to the noise outside.</summary>
public enum TrialDesign
{
    /// <summary>Open ear and devices one after another, with open-ear brackets.</summary>
    Sequential,

    /// <summary>A second channel outside the device reads the noise at the same time.</summary>
    OutsideChannel,

    /// <summary>Hand-noted meter readings alone.</summary>
    ReadingsOnly,
}

/// <summary>What an estimate speaks of.</summary>
public enum EstimateScope
{
    /// <summary>The donnings that were really made: what reached the ear this time.</summary>
    AsWorn,

    /// <summary>Over donnings and flights: which is better.</summary>
    General,
}

/// <summary>The kind of device; it sets the expected scatter of donnings (method: h = 1, 1.35, 2).</summary>
public enum DeviceKind
{
    /// <summary>Cup around the ear.</summary>
    OverEar,

    /// <summary>Cushion on the ear.</summary>
    OnEar,

    /// <summary>Ear plug or in-canal device.</summary>
    InCanal,

    /// <summary>Helmet with cups.</summary>
    Helmet,
}

/// <summary>One trial as written by a person: the content of the trial document, checked and with every reference resolvable.</summary>
/// <remarks>Immutable. Times of takes are seconds from the start of their recording; clock times are seconds since the start of the run.</remarks>
public sealed record TrialDocument
{
    /// <summary>Version of the schema; 1.</summary>
    public required int Schema { get; init; }

    /// <summary>Title, purpose, who, where, when, who paid.</summary>
    public required Identity Identity { get; init; }

    /// <summary>What is measured.</summary>
    public required MeasuredQuantity Quantity { get; init; }

    /// <summary>How the readings relate to the noise outside.</summary>
    public required TrialDesign Design { get; init; }

    /// <summary>The scope that leads the report; the other is given beside it.</summary>
    public EstimateScope Scope { get; init; } = EstimateScope.General;

    /// <summary>The margin within which two conditions count as equivalent.</summary>
    public LevelDifference Margin { get; init; } = LevelDifference.FromDecibels(2);

    /// <summary>When the margin was set, as written; null when not stated.</summary>
    public string? MarginSet { get; init; }

    /// <summary>Pairs to compare, by condition identity; empty means all pairs.</summary>
    public IReadOnlyList<(string First, string Second)> Family { get; init; } = [];

    /// <summary>Median of the assumed donning scatter per kind of device, dB, where the user replaced the default of 1.6.</summary>
    public double DonningScatterMedian { get; init; } = 1.6;

    /// <summary>Whether each kind of device has a donning scatter of its own in the model.</summary>
    public bool ScatterPerKind { get; init; }

    /// <summary>Smallest step of hand-noted readings, dB; 0 when they are continuous.</summary>
    public double ReadingStep { get; init; }

    /// <summary>Standard uncertainty of readings noted from a calibrated meter, dB; null when no meter is said to be calibrated: then nothing absolute is said.</summary>
    public double? MeterUncertainty { get; init; }

    /// <summary>Where the ear microphones sat; null when not stated. It decides whether levels can be referred to the field.</summary>
    public EarMicrophone? MicrophoneAt { get; init; }

    /// <summary>The method statement (family, departures, averaging, what is not covered …), as free fields in order.</summary>
    public IReadOnlyList<KeyValuePair<string, string>> Method { get; init; } = [];

    /// <summary>The noise and the vehicle, as free fields in order: name → text.</summary>
    public IReadOnlyList<KeyValuePair<string, string>> Noise { get; init; } = [];

    /// <summary>The measuring chain (recorder, bits, gain, automatic functions …), as free fields in order.</summary>
    public IReadOnlyList<KeyValuePair<string, string>> Chain { get; init; } = [];

    /// <summary>Comms state as free fields (state, volume, share of talk time, squelch).</summary>
    public IReadOnlyList<KeyValuePair<string, string>> Comms { get; init; } = [];

    /// <summary>How devices were fitted and the order drawn, as free fields.</summary>
    public IReadOnlyList<KeyValuePair<string, string>> Fitting { get; init; } = [];

    /// <summary>Exposure wishes: rule set and hours a day, as free fields.</summary>
    public IReadOnlyList<KeyValuePair<string, string>> Exposure { get; init; } = [];

    /// <summary>The days of a week, built from segments; empty when only one kind of day, or none, is stated.</summary>
    public IReadOnlyList<WeekDay> Week { get; init; } = [];

    /// <summary>Noises of other cabins that the losses are carried to.</summary>
    public IReadOnlyList<CabinEntry> Cabins { get; init; } = [];

    /// <summary>The microphones and the channel each is on.</summary>
    public IReadOnlyList<ChannelEntry> Channels { get; init; } = [];

    /// <summary>The recordings, by identity.</summary>
    public IReadOnlyList<RecordingEntry> Recordings { get; init; } = [];

    /// <summary>The level logs, by identity.</summary>
    public IReadOnlyList<LogEntry> Logs { get; init; } = [];

    /// <summary>Calibrations; several per channel when made before and after.</summary>
    public IReadOnlyList<CalibrationEntry> Calibrations { get; init; } = [];

    /// <summary>The devices.</summary>
    public required IReadOnlyList<Device> Devices { get; init; }

    /// <summary>The conditions: device × mode × worn-with.</summary>
    public required IReadOnlyList<Condition> Conditions { get; init; }

    /// <summary>The people at whose ears was measured.</summary>
    public IReadOnlyList<Wearer> Wearers { get; init; } = [];

    /// <summary>Flights or runs: stretches at one steady state.</summary>
    public required IReadOnlyList<Run> Runs { get; init; }

    /// <summary>Details of donnings; a donning that only takes name needs no entry.</summary>
    public IReadOnlyList<Fit> Fits { get; init; } = [];

    /// <summary>What wearers said of comfort, in the order written.</summary>
    public IReadOnlyList<ComfortEntry> Comfort { get; init; } = [];

    /// <summary>What has to be heard under the devices; null when not asked.</summary>
    public ListeningPlan? Listening { get; init; }

    /// <summary>The takes.</summary>
    public required IReadOnlyList<TakeEntry> Takes { get; init; }

    /// <summary>The channels that a recording has: those of its recorder.</summary>
    public IEnumerable<ChannelEntry> ChannelsOf(RecordingEntry recording) => Channels.Where(c => c.Recorder == recording.Recorder);

    /// <summary>The identity that takes use for the open ear.</summary>
    public const string OpenEar = "open";
}

/// <summary>Who, where, when, why, who paid. Null: not stated.</summary>
public sealed record Identity(string Title, string? Purpose, string? Operator, string? Place, string? Date, string? Funding, string? Interests, string? Remarks);

/// <summary>One microphone on one channel of the recordings.</summary>
/// <param name="Id">Identity used by calibrations.</param>
/// <param name="Outside">True for the microphone outside the device; false for the one at the ear.</param>
/// <param name="Ear">'left' or 'right' for an ear microphone; null when not stated.</param>
/// <param name="Number">Channel number in the recordings, from 1.</param>
/// <param name="Details">Type, size, position, response and how known, cable path …: free fields in order.</param>
/// <param name="LowestValidHertz">Lowest frequency the microphone can be trusted at; null when not stated.</param>
/// <param name="NoiseRecording">Recording (identity) of its own noise in quiet, or null.</param>
/// <param name="NoiseFrom">Start of the quiet span, s.</param>
/// <param name="NoiseTo">End of the quiet span, s.</param>
public sealed record ChannelEntry(string Id, bool Outside, string? Ear, int Number, IReadOnlyList<KeyValuePair<string, string>> Details,
    double? LowestValidHertz = null, string? NoiseRecording = null, double? NoiseFrom = null, double? NoiseTo = null)
{
    /// <summary>A second track of the same microphone with less gain; null when there is none.</summary>
    public SafetyTrack? Safety { get; init; }

    /// <summary>The recorder it was on, where several ran along; null for the only or the first one.</summary>
    public string? Recorder { get; init; }
}

/// <summary>A track that recorded the same microphone with less gain.</summary>
/// <param name="Number">Its channel number in the recordings, from 1.</param>
/// <param name="Below">How much less gain was set, dB; null when not stated.</param>
public sealed record SafetyTrack(int Number, double? Below);

/// <summary>The files of one channel of a recording, or of several that lie in one file.</summary>
/// <param name="Number">Number of the first of its channels, from 1.</param>
/// <param name="Parts">Relative file names with forward slashes, in the order of time; at least one.</param>
public sealed record TrackFiles(int Number, IReadOnlyList<string> Parts);

/// <summary>One recording beside the document: a file, the parts of a split one, or files of single channels.</summary>
/// <param name="Id">Identity used by takes and calibrations.</param>
/// <param name="File">Relative file name with forward slashes; never leaves the folder. The first one where there are several.</param>
/// <param name="StartClock">Clock of its first sample on the clock of its run, s, <see cref="ClockOffset"/> included; null when not stated.</param>
/// <param name="Run">The run it belongs to, or null (a calibration recording).</param>
/// <param name="AllowTruncated">Whether a recording that ends before its promised length is used as far as it goes.</param>
public sealed record RecordingEntry(string Id, string File, double? StartClock, string? Run, bool AllowTruncated = false)
{
    /// <summary>The recorder that made it, where several ran along; null for the only or the first one.</summary>
    public string? Recorder { get; init; }

    /// <summary>Its files where there are several, by channel and in order of time; empty for one file.</summary>
    public IReadOnlyList<TrackFiles> Tracks { get; init; } = [];

    /// <summary>Seconds added to its own clock to have the clock of the run.</summary>
    public double ClockOffset { get; init; }

    /// <summary>Parts per million by which its clock is slow.</summary>
    public double ClockDrift { get; init; }

    /// <summary>What its device could not do or did not prove, for a recording made in the workspace; empty for any other.</summary>
    public IReadOnlyList<string> Captured { get; init; } = [];

    /// <summary>Seconds of the run's clock that a second of it lasts.</summary>
    public double ClockRate => 1 + (ClockDrift * 1e-6);

    /// <summary>From its own seconds to the clock of its run and back; from 0 where its start is not stated.</summary>
    public RecorderClock Clock => new(StartClock ?? 0, ClockRate);

    /// <summary>All its files.</summary>
    public IReadOnlyList<string> Files => Tracks.Count == 0 ? [File] : [.. Tracks.SelectMany(t => t.Parts)];

    /// <summary>For messages: the file, or the first and the last of several.</summary>
    public string Name => Files is [var only] ? only : $"{Files[0]} … {Files[^1]}";
}

/// <summary>How a channel was calibrated.</summary>
public enum CalibrationKind
{
    /// <summary>A calibrator's tone in a recording.</summary>
    Tone,

    /// <summary>A span of noise read beside a reference meter.</summary>
    SideBySide,

    /// <summary>A stated level of full scale.</summary>
    Sensitivity,
}

/// <summary>One calibration of one channel.</summary>
/// <param name="Channel">Identity of the channel.</param>
/// <param name="Kind">Tone, side by side or stated sensitivity.</param>
/// <param name="Recording">Recording (identity) for a tone or a side-by-side span.</param>
/// <param name="From">Start of the span, s.</param>
/// <param name="To">End of the span, s.</param>
/// <param name="LevelDecibels">Level of the calibrator or of the meter's reading; for a sensitivity the level of a signal at 0 dB re full scale (mean square 1; a sine that just reaches full scale reads 3.01 dB less).</param>
/// <param name="FrequencyHertz">Frequency of the tone; null for the others.</param>
/// <param name="Weighting">Weighting of the meter's reading.</param>
/// <param name="Uncertainty">Standard uncertainty, dB.</param>
/// <param name="Piston">True for a piston-type calibrator, which follows static pressure; false for a feedback type; null when not stated.</param>
/// <param name="PressureKilopascal">Static pressure while calibrating; null when not stated.</param>
/// <param name="When">'before' or 'after' the runs; null when not stated.</param>
/// <param name="Where">Line and column in the document, for problems.</param>
public sealed record CalibrationEntry(string Channel, CalibrationKind Kind, string? Recording, double? From, double? To, double LevelDecibels,
    double? FrequencyHertz, FrequencyWeighting Weighting, double Uncertainty, bool? Piston, double? PressureKilopascal, string? When, string Where);

/// <summary>A headset or hearing protector.</summary>
/// <param name="Id">Identity.</param>
/// <param name="Name">Name for readers.</param>
/// <param name="Kind">Kind; sets the expected donning scatter.</param>
/// <param name="Measurable">False when no microphone fits inside (a moulded plug): it enters by published data only.</param>
/// <param name="MassGrams">Mass; null when not stated.</param>
/// <param name="ClampNewton">Clamp force; null when not stated.</param>
/// <param name="Details">Condition, age, cushions, battery, firmware, price …: free fields in order.</param>
/// <param name="Published">Published figures.</param>
public sealed record Device(string Id, string Name, DeviceKind Kind, bool Measurable, double? MassGrams, double? ClampNewton,
    IReadOnlyList<KeyValuePair<string, string>> Details, PublishedFigures? Published);

/// <summary>What the maker publishes.</summary>
/// <param name="Bands">Mean attenuation and standard deviation per band; empty when none.</param>
/// <param name="Subjects">Number of test subjects behind the bands; null when not stated.</param>
/// <param name="Ratings">Single numbers by name (snr, nrr, h, m, l …), dB.</param>
/// <param name="Claims">Claims in words or as tones.</param>
/// <param name="Source">Where it was published, as written.</param>
public sealed record PublishedFigures(IReadOnlyList<PublishedBand> Bands, int? Subjects, IReadOnlyList<KeyValuePair<string, double>> Ratings,
    IReadOnlyList<PublishedClaim> Claims, string? Source);

/// <summary>Published mean attenuation of one band and its standard deviation over subjects, dB.</summary>
public sealed record PublishedBand(Band Band, double Mean, double? StandardDeviation);

/// <summary>A claim such as '20 dB at 125 Hz' or 'up to 30 dB'.</summary>
/// <param name="Kind">'at-least', 'up-to' or 'mean'.</param>
/// <param name="Value">The number claimed, dB.</param>
/// <param name="Hertz">At this frequency; null for an overall A-weighted claim.</param>
/// <param name="Part">'total' or 'active'.</param>
/// <param name="Words">The claim as published, or null.</param>
/// <param name="Condition">Condition (identity) it is tested on; null for all of the device's.</param>
public sealed record PublishedClaim(string Kind, double Value, double? Hertz, string Part, string? Words, string? Condition);

/// <summary>What is compared: a device in a mode, worn with something.</summary>
/// <param name="Id">Identity used by takes.</param>
/// <param name="Device">Identity of the device.</param>
/// <param name="Mode">'passive', 'active' or another mode of the device.</param>
/// <param name="WornWith">Spectacles, hat …; empty for nothing.</param>
public sealed record Condition(string Id, string Device, string Mode, IReadOnlyList<string> WornWith);

/// <summary>A person at whose ears was measured.</summary>
public sealed record Wearer(string Id, string? Name, IReadOnlyList<KeyValuePair<string, string>> Details);

/// <summary>A flight or run: a stretch at one steady state, with one clock.</summary>
public sealed record Run(string Id, string? Name, IReadOnlyList<KeyValuePair<string, string>> Details)
{
    /// <summary>Time of day at which its clock reads 0, s since midnight: the start as written, else the earliest clock of the run; 0 when it has none.</summary>
    public double StartOfDay { get; init; }
}

/// <summary>One putting-on of a device.</summary>
public sealed record Fit(string Id, IReadOnlyList<KeyValuePair<string, string>> Details);

/// <summary>One take: an interval of a recording, or a hand-noted reading.</summary>
/// <param name="Id">Identity.</param>
/// <param name="Run">Identity of the run.</param>
/// <param name="Wearer">Identity of the wearer; null when there is only one.</param>
/// <param name="Condition">Identity of the condition, or 'open'.</param>
/// <param name="Fit">Identity of the donning; null for the open ear. Modes taken in one donning share it.</param>
/// <param name="Recording">Identity of the recording; null for a hand-noted reading.</param>
/// <param name="From">Start in the recording, s.</param>
/// <param name="To">End in the recording, s.</param>
/// <param name="ReadingA">Hand-noted A-weighted level, dB.</param>
/// <param name="ReadingC">Hand-noted C-weighted level, dB.</param>
/// <param name="ReadingBands">Hand-noted unweighted band levels.</param>
/// <param name="Clock">Clock of a hand-noted reading, s since the start of the run; null: no clock.</param>
/// <param name="Comms">Comms state during the take, as written; null: as the trial's.</param>
/// <param name="Excluded">Reason for leaving it out; null: used.</param>
/// <param name="Remarks">Free text.</param>
/// <param name="Where">Line and column in the document, for problems.</param>
public sealed record TakeEntry(string Id, string Run, string? Wearer, string Condition, string? Fit, string? Recording, double? From, double? To,
    double? ReadingA, double? ReadingC, IReadOnlyList<KeyValuePair<Band, double>> ReadingBands, double? Clock, string? Comms, string? Excluded,
    string? Remarks, string Where)
{
    /// <summary>Identity of the level log; null for a recording or a hand-noted reading.</summary>
    public string? Log { get; init; }

    /// <summary>Start in the log, s on the clock of the run; null for a span by lines.</summary>
    public double? LogFrom { get; init; }

    /// <summary>End in the log, s on the clock of the run.</summary>
    public double? LogTo { get; init; }

    /// <summary>First line in the file of the log, from 1; null for a span by clock.</summary>
    public int? LineFrom { get; init; }

    /// <summary>Last line in the file of the log.</summary>
    public int? LineTo { get; init; }

    /// <summary>Whether radio or intercom was on and left as heard; the take then gives the level as heard and not the loss.</summary>
    public bool CommsOn { get; init; }

    /// <summary>Whether the take is of the open ear.</summary>
    public bool IsOpen => Condition == TrialDocument.OpenEar;

    /// <summary>Why it does not enter the estimate of the loss; null when it does.</summary>
    public string? LeftOut => Excluded ?? (CommsOn ? "radio or intercom on: it counts in the level as heard alone" : null);
}
