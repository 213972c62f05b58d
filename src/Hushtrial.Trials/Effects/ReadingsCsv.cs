using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Effects;

/// <summary>A table of readings from CSV: what could be read and everything that was wrong with it.</summary>
/// <param name="Readings">The readings, in the order of the rows; without those of rows that have an error.</param>
/// <param name="Lines">Line of the file of every reading.</param>
/// <param name="Quantities">Names of the quantities, in the order of the columns.</param>
/// <param name="Problems">Problems, in the order of the file.</param>
/// <remarks>Columns: flight, clock_s, episode, donning, condition, take, wearer; every other column with numbers is a quantity in dB. Only condition and one
/// quantity are needed. Comma, semicolon or tab separate; with a semicolon or tab a decimal comma is understood. Lines that start with '#' are
/// remarks. An empty cell, '-' or 'NA' is a value that was not read.</remarks>
public sealed record ReadingsCsv(IReadOnlyList<Reading> Readings, IReadOnlyList<int> Lines, IReadOnlyList<string> Quantities, IReadOnlyList<Problem> Problems)
{
    /// <summary>Reads a table; never throws on its content.</summary>
    /// <param name="text">The content.</param>
    /// <param name="name">Name of the file for problems.</param>
    public static ReadingsCsv Read(TextReader text, string name)
    {
        var problems = new List<Problem>();
        var table = DelimitedText.Read(text);
        if (table.Rows.Count == 0)
        {
            problems.Add(new("EST-001", Severity.Error, name, "no line with readings", "a line of column names and one line per reading", "See 'hushtrial estimate --help' for an example."));
            return new([], [], [], problems);
        }
        var columns = new ReadingColumns(table, name, problems);
        if (problems.Any(p => p.Severity == Severity.Error)) return new([], [], [], problems);
        var readings = new List<Reading>();
        var lines = new List<int>();
        foreach (var row in table.Rows)
        {
            if (columns.Parse(row, readings.Count > 0 ? readings[^1] : null) is not { } reading) continue;
            readings.Add(reading);
            lines.Add(row.Line);
        }
        TableChecks.Add(problems, readings, lines, columns, name);
        return new(readings, lines, columns.Quantities, problems);
    }
}

/// <summary>Finds the columns of a table of readings and parses its rows.</summary>
internal sealed class ReadingColumns
{
    private static readonly string[] Known = ["flight", "clock_s", "episode", "donning", "condition", "take", "wearer"];
    private static readonly string[] Remarks = ["remarks", "remark", "comment", "comments", "note", "notes"];

    private readonly DelimitedText _table;
    private readonly string _name;
    private readonly List<Problem> _problems;
    private readonly Dictionary<string, int> _known = new(StringComparer.Ordinal);
    private readonly List<(string Name, int Column)> _quantities = [];
    private int _episodes;

    public ReadingColumns(DelimitedText table, string name, List<Problem> problems)
    {
        (_table, _name, _problems) = (table, name, problems);
        var seen = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        for (var c = 0; c < table.Header.Count; c++)
        {
            var title = table.Header[c];
            if (title.Length == 0) continue;
            if (!seen.Add(title))
            {
                problems.Add(new("EST-002", Severity.Error, At(table.HeaderLine, c), $"a second column named {DocumentProblems.Quote(title)}", "every column once", "Rename one of the two."));
                continue;
            }
            if (Known.FirstOrDefault(k => k.Equals(title.Trim(), StringComparison.OrdinalIgnoreCase)) is { } known) _known[known] = c;
            else if (!Remarks.Contains(title.ToLowerInvariant(), StringComparer.Ordinal)) AddQuantity(title, c);
        }
        if (!Has("condition"))
            problems.Add(new("EST-003", Severity.Error, $"{name}, line {table.HeaderLine}", $"columns {DocumentProblems.Quote(string.Join(", ", table.Header))}", "a column named 'condition'", "Name the column that says what was worn 'condition'; the open ear is 'open'."));
        if (_quantities.Count == 0)
            problems.Add(new("EST-004", Severity.Error, $"{name}, line {table.HeaderLine}", "no column with levels", "at least one column of numbers, for example LA", "Add the readings in dB, one column per quantity."));
    }

    public IReadOnlyList<string> Quantities => [.. _quantities.Select(q => q.Name)];

    public bool Has(string column) => _known.ContainsKey(column);

    public Reading? Parse(DelimitedRow row, Reading? before)
    {
        if (row.Cells.Count != _table.Header.Count)
        {
            _problems.Add(new("EST-005", Severity.Error, $"{_name}, line {row.Line}", $"{row.Cells.Count} cells", $"{_table.Header.Count}, as in the line of names",
                _table.Separator == ',' ? "If the file has decimal commas, separate the columns by semicolons." : "Add or remove separators."));
            return null;
        }
        var condition = Cell(row, "condition");
        if (condition.Length == 0)
        {
            _problems.Add(new("EST-006", Severity.Error, At(row.Line, _known["condition"]), "no condition", "the name of what was worn, or 'open'", "Fill it in or delete the line."));
            return null;
        }
        if (condition.Equals(TrialDocument.OpenEar, StringComparison.OrdinalIgnoreCase)) condition = TrialDocument.OpenEar;
        double? clock = null;
        if (Cell(row, "clock_s") is { Length: > 0 } written)
        {
            if (!TryNumber(written, out var seconds))
            {
                _problems.Add(new("EST-007", Severity.Error, At(row.Line, _known["clock_s"]), $"clock {DocumentProblems.Quote(written)}", "seconds since the start of the flight, for example 306", "Write the time in seconds, or leave the column empty."));
                return null;
            }
            clock = seconds;
        }
        var values = new Dictionary<string, double>(StringComparer.Ordinal);
        var good = true;
        foreach (var (quantity, column) in _quantities) good &= AddValue(row, quantity, column, values);
        if (!good) return null;
        var (flight, wearer) = (Cell(row, "flight") is { Length: > 0 } f ? f : "1", Cell(row, "wearer") is { Length: > 0 } w ? w : null);
        var donning = condition == TrialDocument.OpenEar || Cell(row, "donning").Length == 0 ? null : Cell(row, "donning");
        var episode = Cell(row, "episode");
        if (episode.Length == 0)
        {
            if (before is null || before.Flight != flight || before.Wearer != wearer || before.Condition != condition || before.Donning != donning) _episodes++;
            episode = string.Create(CultureInfo.InvariantCulture, $"run {_episodes}");
        }
        return new(flight, wearer, clock, episode, donning, condition, values);
    }

    private bool AddValue(DelimitedRow row, string quantity, int column, Dictionary<string, double> values)
    {
        var cell = row.Cells[column];
        if (IsMissing(cell)) return true;
        if (!TryNumber(cell, out var value))
        {
            _problems.Add(new("EST-008", Severity.Error, At(row.Line, column), $"{quantity} {DocumentProblems.Quote(cell)}", "a number in dB, or an empty cell", "Write the number alone; the line is left out until then."));
            return false;
        }
        if (value is < -120 or > 180)
        {
            _problems.Add(new("EST-009", Severity.Error, At(row.Line, column), string.Create(CultureInfo.InvariantCulture, $"{quantity} {value} dB"), "a level between −120 and 180 dB", "Check the reading; a decimal sign may be missing. The line is left out until then."));
            return false;
        }
        values[quantity] = value;
        return true;
    }

    private void AddQuantity(string title, int column)
    {
        var cells = _table.Rows.Where(r => column < r.Cells.Count).Select(r => r.Cells[column]).Where(c => !IsMissing(c)).ToList();
        // A column in which most cells are no numbers is text somebody added, not a quantity with mistakes.
        if (cells.Count > 0 && cells.Count(c => TryNumber(c, out _)) * 2 >= cells.Count) _quantities.Add((title, column));
        else _problems.Add(new("EST-010", Severity.Note, At(_table.HeaderLine, column), $"column {DocumentProblems.Quote(title)} holds no numbers", "a known column or a quantity in dB", "It is ignored."));
    }

    private string Cell(DelimitedRow row, string column) => _known.TryGetValue(column, out var c) && c < row.Cells.Count ? row.Cells[c] : "";

    private bool TryNumber(string cell, out double value)
    {
        var plain = cell.Replace('−', '-');
        if (plain.EndsWith("dB", StringComparison.OrdinalIgnoreCase)) plain = plain[..^2].TrimEnd();
        if (_table.Separator != ',' && plain.Count(ch => ch == ',') == 1 && !plain.Contains('.', StringComparison.Ordinal)) plain = plain.Replace(',', '.');
        return double.TryParse(plain, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);
    }

    private static bool IsMissing(string cell) => cell.Length == 0 || cell is "-" or "–" || cell.Equals("NA", StringComparison.OrdinalIgnoreCase);

    private string At(int line, int column) => string.Create(CultureInfo.InvariantCulture, $"{_name}, line {line}, column {column + 1}");
}
