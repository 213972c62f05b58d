using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>What a person decided of a log beforehand; null: to be proposed from the file.</summary>
public sealed record LogWishes
{
    /// <summary>Coding of the characters.</summary>
    public LogEncoding? Encoding { get; init; }

    /// <summary>Between fields.</summary>
    public LogDelimiter? Delimiter { get; init; }

    /// <summary>Decimal mark.</summary>
    public DecimalMark? Decimal { get; init; }

    /// <summary>First line with values, from 1.</summary>
    public int? FirstLine { get; init; }

    /// <summary>Last line to read, from 1.</summary>
    public int? LastLine { get; init; }

    /// <summary>Roles of columns by number, from 1.</summary>
    public IReadOnlyDictionary<int, ColumnRole> Columns { get; init; } = new Dictionary<int, ColumnRole>();

    /// <summary>Frequency weighting of the band columns.</summary>
    public Quantities.FrequencyWeighting? BandWeighting { get; init; }

    /// <summary>Order of day, month and year.</summary>
    public DateOrder? DateOrder { get; init; }

    /// <summary>Start or end of the interval.</summary>
    public IntervalStamp? Stamp { get; init; }

    /// <summary>Length of the intervals, s.</summary>
    public double? IntervalSeconds { get; init; }

    /// <summary>Minutes that the trial's clock is ahead of UTC.</summary>
    public int? RunZoneMinutes { get; init; }

    /// <summary>What a jump of one hour is.</summary>
    public ClockChange? ClockChange { get; init; }

    /// <summary>The half of the day of the first row.</summary>
    public HalfOfDay? HalfOfDay { get; init; }
}
