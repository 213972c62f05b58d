using System.Globalization;
using System.Text.RegularExpressions;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>What a column of a level log holds.</summary>
public enum ColumnKind
{
    /// <summary>Date and time of day together.</summary>
    Stamp,

    /// <summary>Date alone.</summary>
    Date,

    /// <summary>Time of day alone.</summary>
    Clock,

    /// <summary>Date and time, or time of day, of the end of the interval, beside a column with its start.</summary>
    End,

    /// <summary>Time since the log began.</summary>
    Elapsed,

    /// <summary>Length of the interval.</summary>
    Interval,

    /// <summary>A level.</summary>
    Level,

    /// <summary>A mark of overload; anything but empty, 0, '-', 'no' or 'ok' is one.</summary>
    Flag,

    /// <summary>Anything else: not read.</summary>
    Other,
}

/// <summary>Time weighting of a logged level; <see cref="None"/> for averages and peaks.</summary>
public enum ColumnTime
{
    /// <summary>No exponential time weighting.</summary>
    None,

    /// <summary>F, 125 ms.</summary>
    Fast,

    /// <summary>S, 1 s.</summary>
    Slow,

    /// <summary>I, impulse.</summary>
    Impulse,
}

/// <summary>What of the level in the interval was logged.</summary>
public enum LevelStatistic
{
    /// <summary>The level of the mean square over the interval: the only one that may be averaged.</summary>
    Equivalent,

    /// <summary>The time-weighted level at one moment.</summary>
    Sample,

    /// <summary>The largest time-weighted level.</summary>
    Maximum,

    /// <summary>The smallest time-weighted level.</summary>
    Minimum,

    /// <summary>The largest sound pressure without time weighting.</summary>
    Peak,

    /// <summary>The level exceeded for a percentage of the interval.</summary>
    Exceeded,

    /// <summary>The sound exposure level: the energy of the interval as if it had lasted 1 s.</summary>
    Exposure,
}

/// <summary>The role of one column of a level log, with its word in the trial document: 'time', 'LAeq', 'LAFmax', 'LZeq 125 Hz third'.</summary>
/// <remarks>Level words follow the symbols of IEC 61672-1: L, frequency weighting, time weighting, statistic.</remarks>
/// <param name="Kind">What it holds.</param>
/// <param name="Weighting">Frequency weighting of a level.</param>
/// <param name="Time">Time weighting of a level.</param>
/// <param name="Statistic">What of the level was logged.</param>
/// <param name="Percent">Percentage of time of an exceeded level, 1…99; else 0.</param>
/// <param name="Band">The band, or null for a broadband level.</param>
public sealed partial record ColumnRole(ColumnKind Kind, FrequencyWeighting Weighting = FrequencyWeighting.Z, ColumnTime Time = ColumnTime.None,
    LevelStatistic Statistic = LevelStatistic.Equivalent, int Percent = 0, Band? Band = null)
{
    private static readonly IReadOnlyList<(string Word, ColumnKind Kind)> _words =
    [
        ("time", ColumnKind.Stamp), ("date", ColumnKind.Date), ("clock", ColumnKind.Clock), ("end", ColumnKind.End), ("elapsed", ColumnKind.Elapsed),
        ("interval", ColumnKind.Interval), ("flag", ColumnKind.Flag), ("other", ColumnKind.Other),
    ];

    /// <summary>What the words may look like; stands in the published schema too.</summary>
    internal const string Pattern = @"^(?:time|date|clock|end|elapsed|interval|flag|other|L[ACZ](?:[FSI](?:max|min|[1-9][0-9]?)?|I?eq|max|min|peak|E|[1-9][0-9]?)(?: [0-9]{1,5}(?:\.[0-9]{1,2})? Hz (?:octave|third))?)$";

    /// <summary>The words for roles that are not levels.</summary>
    internal static IReadOnlyList<string> Words { get; } = [.. _words.Select(w => w.Word)];

    /// <summary>A level averaged over the interval.</summary>
    public static ColumnRole Equivalent(FrequencyWeighting weighting, Band? band = null) => new(ColumnKind.Level, weighting, Band: band);

    /// <summary>The role of a word, or null when it is none.</summary>
    public static ColumnRole? FromWord(string word)
    {
        ArgumentNullException.ThrowIfNull(word);
        foreach (var (known, kind) in _words)
            if (known == word) return new(kind);
        if (LevelWord().Match(word) is not { Success: true } m) return null;
        var weighting = m.Groups[1].Value switch { "A" => FrequencyWeighting.A, "C" => FrequencyWeighting.C, _ => FrequencyWeighting.Z };
        var time = m.Groups[2].Value switch { "F" => ColumnTime.Fast, "S" => ColumnTime.Slow, "I" => ColumnTime.Impulse, _ => ColumnTime.None };
        Band? band = null;
        if (m.Groups[4].Success)
        {
            band = Quantities.Band.FromNominal(m.Groups[5].Value == "third" ? BandFraction.ThirdOctave : BandFraction.Octave, double.Parse(m.Groups[4].Value, CultureInfo.InvariantCulture));
            if (band is null) return null;
        }
        var (statistic, percent) = m.Groups[3].Value switch
        {
            "" => (LevelStatistic.Sample, 0),
            "eq" => (LevelStatistic.Equivalent, 0),
            "max" => (LevelStatistic.Maximum, 0),
            "min" => (LevelStatistic.Minimum, 0),
            "peak" => (LevelStatistic.Peak, 0),
            "E" => (LevelStatistic.Exposure, 0),
            var digits => (LevelStatistic.Exceeded, int.Parse(digits, CultureInfo.InvariantCulture)),
        };
        var sound = statistic switch
        {
            LevelStatistic.Sample => time != ColumnTime.None,
            LevelStatistic.Equivalent => time is ColumnTime.None or ColumnTime.Impulse,
            LevelStatistic.Peak or LevelStatistic.Exposure => time == ColumnTime.None,
            _ => true,
        };
        return sound ? new(ColumnKind.Level, weighting, time, statistic, percent, band) : null;
    }

    /// <summary>Whether an energy mean over this column is an average level: an Leq without impulse weighting, or a sound exposure level.</summary>
    public bool CanBeAveraged => Kind == ColumnKind.Level && Time == ColumnTime.None && Statistic is LevelStatistic.Equivalent or LevelStatistic.Exposure;

    /// <summary>The word of the trial document.</summary>
    public override string ToString()
    {
        if (Kind != ColumnKind.Level) return _words.First(w => w.Kind == Kind).Word;
        var time = Time switch { ColumnTime.Fast => "F", ColumnTime.Slow => "S", ColumnTime.Impulse => "I", _ => "" };
        var statistic = Statistic switch
        {
            LevelStatistic.Equivalent => "eq",
            LevelStatistic.Maximum => "max",
            LevelStatistic.Minimum => "min",
            LevelStatistic.Peak => "peak",
            LevelStatistic.Exposure => "E",
            LevelStatistic.Exceeded => Percent.ToString(CultureInfo.InvariantCulture),
            _ => "",
        };
        var band = Band is { } b ? string.Create(CultureInfo.InvariantCulture, $" {b.NominalHertz} Hz {(b.Fraction == BandFraction.Octave ? "octave" : "third")}") : "";
        return $"L{Weighting}{time}{statistic}{band}";
    }

    [GeneratedRegex(@"^L([ACZ])([FSI]?)(eq|max|min|peak|E|[1-9][0-9]?|)(?: ([0-9]{1,5}(?:\.[0-9]{1,2})?) Hz (octave|third))?$")]
    private static partial Regex LevelWord();
}
