using System.Globalization;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>What a person decided of a log beforehand; null: to be proposed from the file.</summary>
public sealed record LogWishes
{
    /// <summary>What the entry of a log in a draft states; what is not written, or cannot be read, is left to the proposal.</summary>
    /// <param name="draft">The draft.</param>
    /// <param name="log">Name of the entry.</param>
    public static LogWishes Of(TrialDraft draft, string log)
    {
        ArgumentNullException.ThrowIfNull(draft);
        string? Value(string key) => draft.Value($"logs[{log}].{key}");
        int? Whole(string key) => int.TryParse(Value(key), NumberStyles.None, CultureInfo.InvariantCulture, out var n) && n > 0 ? n : null;
        var columns = new Dictionary<int, ColumnRole>();
        foreach (var (key, word) in draft.Fields($"logs[{log}].columns"))
            if (int.TryParse(key, NumberStyles.None, CultureInfo.InvariantCulture, out var number) && number is >= 1 and <= LogFields.Most && ColumnRole.FromWord(word) is { } role) columns[number] = role;
        return new()
        {
            Encoding = LogWords.Find(LogWords.Encodings, Value("encoding")), Delimiter = LogWords.Find(LogWords.Delimiters, Value("delimiter")), Decimal = LogWords.Find(LogWords.Decimals, Value("decimal")),
            FirstLine = Whole("first_line"), LastLine = Whole("last_line"), Columns = columns, DateOrder = LogWords.Find(LogWords.DateOrders, Value("date_order")), Stamp = LogWords.Find(LogWords.Stamps, Value("stamp")),
            IntervalSeconds = double.TryParse(Value("interval_s"), NumberStyles.Float, CultureInfo.InvariantCulture, out var s) && s is >= 0.001 and <= 86_400 ? s : null,
            RunZoneMinutes = LogWords.ZoneMinutes(Value("run_zone")), ClockChange = LogWords.Find(LogWords.ClockChanges, Value("clock_change")), HalfOfDay = LogWords.Find(LogWords.HalvesOfDay, Value("half_of_day")),
        };
    }

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
