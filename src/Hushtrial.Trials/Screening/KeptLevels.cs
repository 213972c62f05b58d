using System.Text.Json;
using System.Text.Json.Serialization;
using Hushtrial.Quantities;
using Hushtrial.Signals.Calibration;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Screening;

/// <summary>One channel's levels as kept, dB re full scale; nothing in them is finer than half a second.</summary>
/// <param name="Channel">Identity of the channel.</param>
/// <param name="A">A-weighted.</param>
/// <param name="C">C-weighted.</param>
/// <param name="Bands">Unweighted one-third octaves.</param>
/// <param name="PeakC">C-weighted peak.</param>
/// <param name="HalfSeconds">Levels of half seconds.</param>
/// <param name="Looks">Narrow-band looks at claimed frequencies.</param>
public sealed record KeptChannel(string Channel, double? A, double? C, IReadOnlyDictionary<Band, double> Bands, double? PeakC, ShortTermLevels? HalfSeconds, IReadOnlyList<NarrowLook> Looks)
{
    /// <summary>The kept form of measured levels.</summary>
    public static KeptChannel Of(ChannelLevels levels, double fullScale)
    {
        ArgumentNullException.ThrowIfNull(levels);
        var by = -fullScale;
        return new(levels.Channel, levels.A + by, levels.C + by, Moved(levels.Bands, by), levels.PeakC + by, Moved(levels.HalfSeconds, by), Moved(levels.Looks, by));
    }

    /// <summary>The levels with a full scale.</summary>
    public ChannelLevels With(double fullScale) => new(Channel, A + fullScale, C + fullScale, Moved(Bands, fullScale))
    {
        PeakC = PeakC + fullScale, HalfSeconds = Moved(HalfSeconds, fullScale), Looks = Moved(Looks, fullScale),
    };

    private static Dictionary<Band, double> Moved(IReadOnlyDictionary<Band, double> bands, double by) => bands.ToDictionary(b => b.Key, b => b.Value + by);

    private static List<NarrowLook> Moved(IReadOnlyList<NarrowLook> looks, double by) => [.. looks.Select(l => l with { NoiseLevel = l.NoiseLevel + by })];

    private static ShortTermLevels? Moved(ShortTermLevels? levels, double by)
    {
        if (levels is null) return null;
        IReadOnlyList<double>? Series(IReadOnlyList<double>? series) => series is null ? null : [.. series.Select(x => x + by)];
        return new(Series(levels.A), Series(levels.C), levels.Bands.ToDictionary(b => b.Key, b => Series(b.Value)!));
    }
}

/// <summary>A take as kept: its span, its levels, and what the checks found while the sound was there.</summary>
public sealed record KeptTake(double From, double To, IReadOnlyList<KeptChannel> Ears, KeptChannel? Outside, IReadOnlyList<double> Coherence,
    IReadOnlyList<GatedSpan>? Set, IReadOnlyList<KeptChannel> NoiseOnly, KeptChannel? NoiseOnlyOutside, IReadOnlyList<Problem> Findings, IReadOnlyList<Problem> Compared, IReadOnlyList<Band> Incomparable, IReadOnlyList<SafetyReading> Safety);

/// <summary>Levels of a span that is no take: own noise, a warning sound, a quiet room, another cabin.</summary>
public sealed record KeptSpan(int Number, double From, double To, KeptChannel Levels);

/// <summary>A calibration as it was made from the sound.</summary>
public sealed record KeptCalibration(string Channel, CalibrationKind Kind, double From, double To, double Level, double? Hertz, FrequencyWeighting Weighting, double Uncertainty,
    double? FullScale, double StandardUncertainty, string Words, IReadOnlyList<Problem> Problems);

/// <summary>The A-weighted level history of a recording for the figure, dB re full scale, in steps of a second or more.</summary>
public sealed record KeptHistory(string Channel, double StepSeconds, IReadOnlyList<double?> LevelA);

/// <summary>What the analysis needs of a recording whose sound was discarded.</summary>
/// <remarks>Nothing is kept in steps below half a second: one-third octaves every 125 ms could be made to speak again (docs/decisions/0042).</remarks>
public sealed record KeptRecording
{
    /// <summary>What a file of kept levels is called: the name of the first file of the recording, and this.</summary>
    public const string Suffix = ".levels.json";

    private static readonly JsonSerializerOptions _options = new() { PropertyNamingPolicy = JsonNamingPolicy.SnakeCaseLower, DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull, Converters = { new BandWords(), new JsonStringEnumConverter(JsonNamingPolicy.SnakeCaseLower) } };

    /// <summary>Version of the layout; 1.</summary>
    [JsonPropertyName("hushtrial_levels")]
    public int Version { get; init; } = 1;

    /// <summary>For people.</summary>
    public string Meaning { get; init; } = "Levels re full scale that the analysis of the trial needs. The sound itself was discarded.";

    /// <summary>When the sound was discarded, as a date.</summary>
    public required string Discarded { get; init; }

    /// <summary>The files that were there, with their hashes.</summary>
    public required IReadOnlyList<InputFile> Files { get; init; }

    /// <summary>Whether a lossy codec had made them.</summary>
    public bool Lossy { get; init; }

    /// <summary>Length, s.</summary>
    public double Seconds { get; init; }

    /// <summary>Time of day of the first sample by the file's own time reference, s; null without one.</summary>
    public double? OfDay { get; init; }

    /// <summary>The takes.</summary>
    public IReadOnlyList<KeptTake> Takes { get; init; } = [];

    /// <summary>Other spans.</summary>
    public IReadOnlyList<KeptSpan> Spans { get; init; } = [];

    /// <summary>Calibrations.</summary>
    public IReadOnlyList<KeptCalibration> Calibrations { get; init; } = [];

    /// <summary>Level history; null for a recording of no run.</summary>
    public KeptHistory? History { get; init; }

    /// <summary>The name of the file of kept levels for a recording.</summary>
    public static string NameFor(string firstFile) => firstFile + Suffix;

    /// <summary>Reads kept levels; null with a problem when they cannot be read.</summary>
    public static KeptRecording? Read(Stream from, string name, out Problem? problem)
    {
        problem = null;
        try
        {
            if (JsonSerializer.Deserialize<KeptRecording>(from, _options) is { Version: 1 } kept) return kept;
            problem = KeptSound.Unreadable(name, "another layout");
        }
        catch (Exception e) when (e is JsonException or NotSupportedException or ArgumentException)
        {
            problem = KeptSound.Unreadable(name, e.Message);
        }
        return null;
    }

    /// <summary>Writes them.</summary>
    public void Write(Stream to) => JsonSerializer.Serialize(to, this, _options);

    /// <summary>The kept take of a span; null when none was made of it.</summary>
    internal KeptTake? Take(double from, double to) => Takes.FirstOrDefault(t => Same(t.From, from) && Same(t.To, to));

    /// <summary>Levels of a span on a channel; null when none were kept.</summary>
    internal KeptChannel? Span(int number, double from, double to) => Spans.FirstOrDefault(s => s.Number == number && Same(s.From, from) && Same(s.To, to))?.Levels;

    /// <summary>The calibration that an entry made; null when none was made of it.</summary>
    internal Calibration? Calibration(CalibrationEntry entry) => Calibrations.FirstOrDefault(c => c.Channel == entry.Channel && c.Kind == entry.Kind && Same(c.From, entry.From ?? 0) && Same(c.To, entry.To ?? Seconds)
            && c.Level.Equals(entry.LevelDecibels) && Nullable.Equals(c.Hertz, entry.FrequencyHertz) && c.Weighting == entry.Weighting && c.Uncertainty.Equals(entry.Uncertainty)) is { } kept
        ? Signals.Calibration.Calibration.Kept(kept.FullScale is { } level ? Quantities.Level.FromDecibels(level) : null, LevelDifference.FromDecibels(kept.StandardUncertainty), kept.Words, kept.Problems) : null;

    // Times are written to the microsecond.
    private static bool Same(double a, double b) => Math.Abs(a - b) < 2e-6;

    /// <summary>A band as 'third 1000' or 'octave 500', by its nominal midband frequency.</summary>
    private sealed class BandWords : JsonConverter<Band>
    {
        public override Band Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => Of(reader.GetString());

        public override void Write(Utf8JsonWriter writer, Band value, JsonSerializerOptions options) => writer.WriteStringValue(Words(value));

        public override Band ReadAsPropertyName(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => Of(reader.GetString());

        public override void WriteAsPropertyName(Utf8JsonWriter writer, Band value, JsonSerializerOptions options) => writer.WritePropertyName(Words(value));

        private static string Words(Band band) => FormattableString.Invariant($"{(band.Fraction == BandFraction.Octave ? "octave" : "third")} {band.NominalHertz}");

        private static Band Of(string? words) => words?.Split(' ') is [var width, var hertz] && double.TryParse(hertz, System.Globalization.CultureInfo.InvariantCulture, out var f)
            && Band.FromNominal(width == "octave" ? BandFraction.Octave : BandFraction.ThirdOctave, f) is { } band ? band : throw new JsonException($"'{words}' is no band.");
    }
}
