using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Logs;

/// <summary>The levels of one span of a log as a reading of a take: A, C and unweighted bands, dB; what cannot be said is absent, with its reason.</summary>
/// <param name="A">A-weighted average level.</param>
/// <param name="C">C-weighted average level.</param>
/// <param name="Bands">Unweighted band levels: one-third octaves where the log has them, else octaves.</param>
/// <param name="Problems">What was lost, refused or computed.</param>
public sealed record LogReading(double? A, double? C, IReadOnlyDictionary<Band, double> Bands, IReadOnlyList<Problem> Problems)
{
    // A broadband level from bands needs those that carry it: octaves 63 Hz to 8 kHz for A, 31.5 Hz to 8 kHz for C, or their thirds.
    private static readonly IReadOnlyList<Band> _octavesForA = [.. Band.Octaves.Where(b => b.NominalHertz is >= 60 and <= 8000)];
    private static readonly IReadOnlyList<Band> _octavesForC = [.. Band.Octaves.Where(b => b.NominalHertz is >= 30 and <= 8000)];

    /// <summary>Whether nothing can be said.</summary>
    public bool IsEmpty => A is null && C is null && Bands.Count == 0;

    /// <summary>Makes a reading of the means of a span.</summary>
    /// <param name="levels">The means.</param>
    /// <param name="entry">The log.</param>
    /// <param name="where">Where the span is asked for, for problems.</param>
    public static LogReading Of(LogSpanLevels levels, LogEntry entry, string where)
    {
        ArgumentNullException.ThrowIfNull(levels);
        ArgumentNullException.ThrowIfNull(entry);
        var problems = new List<Problem>();
        if (levels.Rows == 0)
        {
            problems.Add(LogProblems.Error("LOG-041", where, levels.CutRows > 0 ? Invariant($"a span that cuts {levels.CutRows} rows of {entry.File} and holds none wholly") : $"a span in which {entry.File} has no row", "at least one whole row", "Correct the clock or the lines; check 'clock_offset_s' and 'stamp' of the log."));
            return Nothing(problems);
        }
        var usable = levels.Columns.Where(c => c.Role.CanBeAveraged).ToList();
        if (usable.Count == 0)
        {
            problems.Add(NotAveraged(levels.Columns, entry, where));
            return Nothing(problems);
        }
        if (levels.CutRows > 0 && levels.Span.From is { } from)
            problems.Add(new("LOG-043", Severity.Note, where, Invariant($"edges that cut {levels.CutRows} rows: {levels.Seconds:0.###} of {levels.Span.To!.Value - from:0.###} s are used"), "edges between rows", "Whole rows alone are used; nothing need be done."));
        var kept = Keep(usable, levels, entry, where, problems);
        var bands = Unweighted(kept, entry, where, problems);
        var a = Broadband(kept, FrequencyWeighting.A) ?? FromBands(usable, bands, FrequencyWeighting.A, _octavesForA, entry, where, problems);
        var c = Broadband(kept, FrequencyWeighting.C) ?? FromBands(usable, bands, FrequencyWeighting.C, _octavesForC, entry, where, problems);
        return new(a, c, bands, problems);
    }

    private static LogReading Nothing(List<Problem> problems) => new(null, null, new Dictionary<Band, double>(), problems);

    private static Problem NotAveraged(IReadOnlyList<LogColumnMean> columns, LogEntry entry, string where)
    {
        var words = string.Join(", ", columns.Select(c => c.Role.ToString()).Take(6));
        return LogProblems.Error("LOG-040", where, columns.Count == 0 ? $"{entry.File} without a column of levels" : $"{entry.File} with {words} only",
            "a column of average levels (LAeq, or LAE)",
            "Maxima, peaks and percentiles have no mean that is a level of the noise: their energy mean lies above it by several dB, and momentary levels (LAF, LAS) miss what was between them. Export the LAeq of each interval.");
    }

    /// <summary>The columns of which enough is there.</summary>
    private static List<LogColumnMean> Keep(List<LogColumnMean> usable, LogSpanLevels levels, LogEntry entry, string where, List<Problem> problems)
    {
        var kept = new List<LogColumnMean>();
        var refused = new List<string>();
        var time = levels.Seconds + levels.MissingSeconds;
        (ColumnRole? Role, double Lost, double Overload, double Under) worst = default;
        foreach (var column in usable)
        {
            var lost = 100 * (column.LostSeconds + column.OverloadSeconds + levels.MissingSeconds) / time;
            if (lost > entry.MostLostPercent || column.Level is null) refused.Add(Invariant($"{column.Role} ({lost:0.#} %)"));
            else kept.Add(column);
            if (worst.Role is null || lost > worst.Lost || 100 * column.UnderRangeSeconds / time > worst.Under)
                worst = (column.Role, lost, 100 * column.OverloadSeconds / time, 100 * column.UnderRangeSeconds / time);
        }
        if (refused.Count > 0)
            problems.Add(new("LOG-042", kept.Exists(k => k.Role is { Band: null, Weighting: FrequencyWeighting.A }) || !usable.Exists(k => k.Role is { Band: null, Weighting: FrequencyWeighting.A }) && kept.Count > 0 ? Severity.Warning : Severity.Error, where,
                $"time missing or overloaded: {string.Join(", ", refused.Take(6))}{(refused.Count > 6 ? Invariant($" and {refused.Count - 6} more columns") : "")}", Invariant($"at most {entry.MostLostPercent} % ('most_lost_percent')"),
                "The mean of these columns is not given. Move the span, or exclude the take; overload hides the loudest part, so that a mean without it reads too low."));
        if (kept.Count > 0 && worst is { Role: { } role } && (worst.Lost > 0 || worst.Under > 0))
            problems.Add(LogProblems.Warning("LOG-044", where, Invariant($"of {time:0.###} s, in the worst column ({role}): {worst.Lost:0.##} % lost, of which overload {worst.Overload:0.##} %; below the range {worst.Under:0.##} %"),
                "every row with a level", worst.Under > 0 ? "Where the range was left below, its bound was taken: the level is at most what is given, and a loss at least." : "The mean is over the rest."));
        return kept;
    }

    private static double? Broadband(List<LogColumnMean> columns, FrequencyWeighting weighting) =>
        columns.Where(c => c.Role.Band is null && c.Role.Weighting == weighting).OrderBy(c => c.Role.Statistic).FirstOrDefault()?.Level;

    private static Dictionary<Band, double> Unweighted(List<LogColumnMean> columns, LogEntry entry, string where, List<Problem> problems)
    {
        var all = columns.Where(c => c.Role.Band is not null).ToList();
        var fraction = all.Exists(c => c.Role.Band!.Value.Fraction == BandFraction.ThirdOctave) ? BandFraction.ThirdOctave : BandFraction.Octave;
        var bands = new Dictionary<Band, double>();
        var weighted = new SortedSet<FrequencyWeighting>();
        foreach (var column in all.Where(c => c.Role.Band!.Value.Fraction == fraction).OrderByDescending(c => c.Role.Weighting))
        {
            var band = column.Role.Band!.Value;
            if (!bands.TryAdd(band, column.Level!.Value - Weightings.At(column.Role.Weighting, band.ExactMidband).Decibels)) continue;
            if (column.Role.Weighting != FrequencyWeighting.Z) weighted.Add(column.Role.Weighting);
        }
        if (weighted.Count > 0)
            problems.Add(new("LOG-048", Severity.Note, where, $"{string.Join("- and ", weighted)}-weighted bands in {entry.File}", "unweighted bands", "The weighting at each midband was taken off again; at low frequencies a weighted band of a few dB may be the own noise of the instrument."));
        return bands;
    }

    private static double? FromBands(List<LogColumnMean> usable, Dictionary<Band, double> bands, FrequencyWeighting weighting, IReadOnlyList<Band> needed, LogEntry entry, string where, List<Problem> problems)
    {
        // A column that is there and was refused is not replaced behind the reader's back.
        if (bands.Count == 0 || usable.Exists(c => c.Role.Band is null && c.Role.Weighting == weighting)) return null;
        var fraction = bands.Keys.First().Fraction;
        if (!needed.SelectMany(o => fraction == BandFraction.Octave ? [o] : o.Thirds).All(bands.ContainsKey)) return null;
        problems.Add(new("LOG-045", Severity.Note, where, $"no column of the {weighting}-weighted level in {entry.File}", $"L{weighting}eq", string.Create(CultureInfo.InvariantCulture, $"It was computed from {bands.Count} bands.")));
        return 10 * Math.Log10(bands.Sum(b => Math.Pow(10, (b.Value + Weightings.At(weighting, b.Key.ExactMidband).Decibels) / 10)));
    }
}
