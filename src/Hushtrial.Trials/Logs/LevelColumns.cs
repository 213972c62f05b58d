using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Logs;

/// <summary>A column as proposed: its header, its role, and why.</summary>
/// <param name="Number">From 1.</param>
/// <param name="Header">Its header, as written; empty without one.</param>
/// <param name="Role">The role proposed; other where nothing is proposed.</param>
/// <param name="Evidence">Why, point by point.</param>
public sealed record ColumnProposal(int Number, string Header, ColumnRole Role, IReadOnlyList<string> Evidence)
{
    /// <summary>False where the file leaves the role open: it is then one of several readings.</summary>
    public bool IsSure { get; init; } = true;
}

/// <summary>The columns of levels: by their headers, by settings in front of the table, and by how their values relate.</summary>
internal sealed class LevelColumns
{
    // Propellers, rotors and engines: a cabin spectrum without weighting has its highest band below this (common practice, no source).
    private const double CabinPeakHertz = 300;

    private readonly string _name;
    private readonly IReadOnlyList<HeaderReading> _headers;
    private readonly IReadOnlyList<string> _names;
    private readonly Relations _relations;
    private readonly LogWishes _wishes;
    private readonly List<(int Index, Band Band)> _bands = [];
    private readonly Dictionary<int, (FrequencyWeighting? Weighting, ColumnTime Time, LevelStatistic? Statistic, int Percent)> _open = [];

    internal LevelColumns(string name, IReadOnlyList<string> names, IReadOnlyList<HeaderReading> headers, IReadOnlyList<double?[]> rows, IReadOnlySet<int> others, IReadOnlyList<string> preamble, LogWishes wishes)
    {
        (_name, _names, _headers, _relations, _wishes) = (name, names, headers, new(rows), wishes);
        var fraction = Fraction();
        var settings = HeaderWords.Settings(preamble);
        for (var column = 0; column < headers.Count; column++)
        {
            if (others.Contains(column)) continue;
            if (wishes.Columns.TryGetValue(column + 1, out var stated)) { Keep(column, stated, "stated"); continue; }
            if (!rows.Any(r => r[column] is not null)) continue;
            Read(column, fraction, settings);
        }
        Weigh();
        Finish();
        Check();
    }

    /// <summary>Roles with evidence by index of the column.</summary>
    internal SortedDictionary<int, (ColumnRole Role, List<string> Evidence)> Roles { get; } = [];

    /// <summary>What cannot be decided from the file.</summary>
    internal List<Problem> Problems { get; } = [];

    /// <summary>Indices of columns whose role a person has to confirm.</summary>
    internal HashSet<int> Doubtful { get; } = [];

    private void Keep(int column, ColumnRole role, string evidence) => Roles[column] = (role, [evidence]);

    /// <summary>Octaves or thirds by the ratio of neighbours.</summary>
    private BandFraction Fraction()
    {
        var hertz = _headers.Select(h => h.Hertz).OfType<double>().Distinct().Order().ToList();
        return hertz.Count > 1 && hertz.Zip(hertz.Skip(1), (a, b) => b / a).Min() < 1.6 ? BandFraction.ThirdOctave : BandFraction.Octave;
    }

    private void Read(int column, BandFraction fraction, (FrequencyWeighting? Weighting, ColumnTime Time) settings)
    {
        var header = _headers[column];
        var evidence = new List<string>();
        if (!header.IsLevel)
        {
            if (header.Kind is not null || LooksLikeNoLevel(_names[column])) return;
            if (_names[column].Length > 0)
            {
                Problems.Add(Unknown(column, "a column of numbers that could be levels, under words that do not tell"));
                return;
            }
            Problems.Add(Unknown(column, "a column of levels without a header"));
            return;
        }
        evidence.Add($"its header '{_names[column]}'");
        var (weighting, time, statistic) = (header.Weighting, header.Time, header.Statistic);
        if (header.Hertz is { } hertz)
        {
            if (Band.FromNominal(fraction, hertz) is not { } band) { Problems.Add(Unknown(column, "a band that is neither an octave nor a one-third octave of its neighbours")); return; }
            if (_headers.Select(h => h.Hertz).OfType<double>().Distinct().Count() < 2 && Band.FromNominal(BandFraction.Octave, hertz) is not null && !_names[column].Contains("oct", StringComparison.OrdinalIgnoreCase))
            {
                Problems.Add(Unknown(column, "a band without neighbours: it may be an octave or a one-third octave", new(ColumnKind.Level, weighting ?? FrequencyWeighting.Z, time, statistic ?? LevelStatistic.Equivalent, 0, band)));
                return;
            }
            _bands.Add((column, band));
            _open[column] = (weighting, time, statistic, header.Percent);
            Roles[column] = (new(ColumnKind.Level, weighting ?? FrequencyWeighting.Z, time, statistic ?? LevelStatistic.Equivalent, header.Percent, band), evidence);
            return;
        }
        if (weighting is null && settings.Weighting is { } set)
        {
            weighting = set;
            evidence.Add($"the setting of weighting {set} in front of the table");
        }
        if (statistic is null && settings.Time != ColumnTime.None)
        {
            (time, statistic) = (settings.Time, LevelStatistic.Sample);
            evidence.Add($"the setting of the time weighting ({(settings.Time == ColumnTime.Fast ? "F" : "S")}) in front of the table");
        }
        _open[column] = (weighting, time, statistic, header.Percent);
        Roles[column] = (new(ColumnKind.Level, weighting ?? FrequencyWeighting.A, time, statistic ?? LevelStatistic.Equivalent, header.Percent), evidence);
    }

    private static bool LooksLikeNoLevel(string header) => header.Trim().ToLowerInvariant() is "no" or "no." or "nr" or "nr." or "n°" or "#" or "index" or "record" or "row" or "zeile" or "line" or "id" or "count" or "battery" or "batterie" or "temperature" or "temperatur" or "pressure" or "humidity" or "speed";

    /// <summary>The weighting of the bands.</summary>
    private void Weigh()
    {
        var open = _bands.Where(b => _open[b.Index] is { Statistic: null or LevelStatistic.Equivalent }).ToList();
        if (open.Count < 4) return;
        var stated = open.Select(b => _open[b.Index].Weighting).Distinct().ToList() is [{ } one] ? one : (FrequencyWeighting?)null;
        if (_wishes.BandWeighting is { } wish) { Set(open, wish, "stated"); return; }
        FrequencyWeighting? found = null;
        var words = new List<string>();
        foreach (var (column, broad) in _open.Where(o => _headers[o.Key].Hertz is null && o.Value is { Weighting: not null, Statistic: null or LevelStatistic.Equivalent, Time: ColumnTime.None }))
        {
            if (_relations.BandSums(open, column, broad.Weighting!.Value) is not { } sums) continue;
            words.Add($"the energy sum of the {open.Count} bands differs from column {column + 1} ({_names[column]}) by (median) {Relations.Words(sums)}");
            if (Relations.Only(sums) is not { } only) continue;
            found ??= only;
            // Bands that sum up to an average are averages, and so is what they sum up to.
            if (broad.Statistic is null)
            {
                _open[column] = broad with { Statistic = LevelStatistic.Equivalent };
                Roles[column].Evidence.Add("the bands sum up to it");
            }
        }
        var loudest = _relations.Loudest(open);
        var plausible = loudest is not { } l ? "" : l.Band.ExactMidband.Hertz < CabinPeakHertz ? $"the loudest band is that at {l.Band}, below {CabinPeakHertz} Hz as in an unweighted cabin spectrum"
            : $"the loudest band is that at {l.Band}; an unweighted cabin spectrum has it below {CabinPeakHertz} Hz";
        if (plausible.Length > 0 && found is null) words.Add(plausible);
        if (stated is { } s && found is { } f && (s == FrequencyWeighting.A) != (f == FrequencyWeighting.A))
        {
            Doubtful.UnionWith(open.Select(b => b.Index));
            Problems.Add(LogProblems.Error("LOG-016", _name, $"bands headed as {s}-weighted that sum up to the broadband level only when taken as {f}: {words[0]}", "headers and values that agree", $"State '--bands {s}' or '--bands {f}'."));
            Set(open, s, "their headers, against the sum");
            return;
        }
        if ((stated ?? found) is { } weighting)
        {
            Set(open, weighting, [.. words]);
            if (found is null && weighting == FrequencyWeighting.Z && loudest is { } peak && peak.Band.ExactMidband.Hertz >= CabinPeakHertz)
                Problems.Add(LogProblems.Warning("LOG-016", _name, $"bands headed as unweighted, of which {plausible}", "a cabin spectrum that peaks at low frequencies", "If the bands are A-weighted in truth, state '--bands A': weighting them again would read 16 dB too low at 125 Hz."));
            return;
        }
        Doubtful.UnionWith(open.Select(b => b.Index));
        Problems.Add(LogProblems.Error("LOG-015", _name, $"{open.Count} band columns whose weighting is not stated: they may be unweighted (Z) or already A-weighted{(words.Count > 0 ? "; " + string.Join("; ", words) : "")}", "one weighting",
            "State '--bands Z', '--bands A' or '--bands C'. The wrong one is 16 dB off at 125 Hz and 26 dB at 63 Hz."));
        Set(open, loudest is { } p && p.Band.ExactMidband.Hertz >= CabinPeakHertz ? FrequencyWeighting.A : FrequencyWeighting.Z, "in doubt");
    }

    private void Set(List<(int Index, Band Band)> bands, FrequencyWeighting weighting, params string[] evidence)
    {
        foreach (var (index, band) in bands)
        {
            var before = _open[index];
            _open[index] = before with { Weighting = weighting, Statistic = LevelStatistic.Equivalent };
            Roles[index] = (ColumnRole.Equivalent(weighting, band), [.. Roles[index].Evidence, .. evidence]);
        }
    }

    /// <summary>What is still open after all.</summary>
    private void Finish()
    {
        foreach (var (column, known) in _open)
        {
            var (role, evidence) = Roles[column];
            Roles[column] = (role with { Weighting = known.Weighting ?? role.Weighting, Time = known.Time, Statistic = known.Statistic ?? role.Statistic, Percent = known.Percent }, evidence);
            if (role.Band is not null && _wishes.BandWeighting is not null) continue;
            if (role.Band is not null && _bands.Count >= 4 && known.Statistic is null or LevelStatistic.Equivalent) continue;
            if (known is { Weighting: not null, Statistic: not null }) continue;
            var w = known.Weighting is { } one ? [one] : new[] { FrequencyWeighting.A, FrequencyWeighting.C, FrequencyWeighting.Z };
            var readings = known.Statistic is not null ? w.Select(x => role with { Weighting = x, Statistic = known.Statistic.Value })
                : w.SelectMany(x => new[] { role with { Weighting = x, Statistic = LevelStatistic.Equivalent, Time = ColumnTime.None }, role with { Weighting = x, Statistic = LevelStatistic.Sample, Time = ColumnTime.Fast } });
            var unsure = known.Weighting is null && known.Statistic is null ? "neither the frequency weighting nor whether it is an average" : known.Weighting is null ? "no frequency weighting" : "not whether it is an average or a momentary level";
            Problems.Add(Unknown(column, $"a header that states {unsure}: it may be {string.Join(" or ", readings.Take(6))}", readings.First()));
        }
    }

    private Problem Unknown(int column, string found, ColumnRole? example = null)
    {
        Doubtful.Add(column);
        return LogProblems.Error("LOG-014", Invariant($"{_name}, column {column + 1}{(_names[column].Length > 0 ? $" '{_names[column]}'" : "")}"), found, "a role that the header states",
        Invariant($"State it: '--column {column + 1}={(example ?? ColumnRole.Equivalent(FrequencyWeighting.A)).ToString()}', or '--column {column + 1}=other' to leave the column out."));
    }

    /// <summary>Laws between columns, and roles that occur twice.</summary>
    private void Check()
    {
        foreach (var twice in Roles.Where(r => r.Value.Role.Kind == ColumnKind.Level).GroupBy(r => r.Value.Role).Where(g => g.Count() > 1))
        {
            Doubtful.UnionWith(twice.Select(r => r.Key));
            Problems.Add(LogProblems.Error("LOG-018", _name, Invariant($"columns {string.Join(" and ", twice.Select(r => Invariant($"{r.Key + 1} '{_names[r.Key]}'")))} with the same role {twice.Key}"), "each role once",
                "Two microphones in one file: give each an entry of its own, with the columns of the other as other."));
        }
        var levels = Roles.Where(r => r.Value.Role is { Kind: ColumnKind.Level, Band: null }).ToList();
        foreach (var (low, lowRole) in levels)
            foreach (var (high, highRole) in levels)
            {
                if (!MustLieAbove(highRole.Role, lowRole.Role)) continue;
                var (share, count) = _relations.Above(low, high);
                if (count == 0) continue;
                if (share <= 0.02) highRole.Evidence.Add(Invariant($"never below column {low + 1} ({lowRole.Role})"));
                else Problems.Add(LogProblems.Warning("LOG-017", Invariant($"{_name}, columns {low + 1} and {high + 1}"), Invariant($"{lowRole.Role} above {highRole.Role} in {100 * share:0} % of {count} rows"), $"{highRole.Role} at least as high as {lowRole.Role}", "The columns may be swapped, or a role is wrong: look at the header and at the settings."));
            }
    }

    private static bool MustLieAbove(ColumnRole high, ColumnRole low)
    {
        if (high == low) return false;
        // A peak without time weighting is above any level of the same or a smaller bandwidth.
        if (high.Statistic == LevelStatistic.Peak) return low.Statistic is LevelStatistic.Maximum or LevelStatistic.Equivalent && (high.Weighting == low.Weighting || low.Weighting == FrequencyWeighting.A);
        if (high.Weighting != low.Weighting) return false;
        return (high.Statistic, low.Statistic) switch
        {
            (LevelStatistic.Maximum, LevelStatistic.Equivalent or LevelStatistic.Minimum or LevelStatistic.Exceeded) => true,
            (LevelStatistic.Equivalent, LevelStatistic.Minimum) => true,
            (LevelStatistic.Exceeded, LevelStatistic.Exceeded) => high.Percent < low.Percent && high.Time == low.Time,
            _ => false,
        };
    }
}
