using System.Globalization;
using System.Text;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Store;
using Hushtrial.Store.Files;

namespace Hushtrial.Cli.Calculations;

/// <summary>Numbers for one calculation as they came in: a table by rows, and single values beside it.</summary>
/// <remarks>CSV: a header line, then rows; comma, semicolon or tab between cells; a decimal comma where the cells are not separated by commas; lines
/// that start with '#' are passed over. JSON: an object whose arrays of numbers are columns, whose arrays of objects are tables, and whose other members are
/// single values; or an array of objects. Names are compared without regard to case.</remarks>
internal sealed class CalculationInput
{
    private readonly string _prefix;
    private readonly Dictionary<string, List<Row>> _tables = new(StringComparer.OrdinalIgnoreCase);
    private readonly Dictionary<string, JsonElement> _fields = new(StringComparer.OrdinalIgnoreCase);
    private readonly List<Problem> _problems = [];

    private CalculationInput(string prefix, string where) => (_prefix, Where) = (prefix, where);

    /// <summary>Name of the source, for problems.</summary>
    public string Where { get; }

    /// <summary>What was found wrong so far.</summary>
    public IReadOnlyList<Problem> Problems => _problems;

    /// <summary>Whether an error was found.</summary>
    public bool Failed => _problems.Any(p => p.Severity == Severity.Error);

    /// <summary>One row of a table.</summary>
    /// <param name="Place">Where it stands, for problems.</param>
    /// <param name="Cells">Cells by name of column, as text.</param>
    internal sealed record Row(string Place, IReadOnlyDictionary<string, string> Cells);

    /// <summary>Tables of numbers for one calculation have some kilobytes.</summary>
    private const int LargestFile = 20_000_000;

    /// <summary>No input but options.</summary>
    public static CalculationInput None(string prefix) => new(prefix, "options");

    /// <summary>Reads the file named, or standard input for '-'.</summary>
    /// <param name="edge">The edge.</param>
    /// <param name="file">A path, or '-'.</param>
    /// <param name="prefix">Letters of the problem codes.</param>
    public static CalculationInput Read(Edge edge, string file, string prefix)
    {
        if (file == "-") return Parse(edge.Input.ReadToEnd(), "standard input", prefix);
        return Parse(SmallFile.ReadText(file, LargestFile), file, prefix);
    }

    /// <summary>Reads text.</summary>
    public static CalculationInput Parse(string text, string where, string prefix)
    {
        var input = new CalculationInput(prefix, where);
        text = text.TrimStart('\uFEFF', ' ', '\n', '\r', '\t');
        if (text.Length == 0) input.Error(1, where, "nothing", "numbers as CSV with a header line, or as JSON", "See the command's --help for an example.");
        else if (text[0] is '{' or '[') input.ReadJson(text);
        else input.ReadCsv(text);
        return input;
    }

    /// <summary>The rows of a named table, else of the only one; empty when there is none.</summary>
    public IReadOnlyList<Row> Rows(string name) => _tables.TryGetValue(name, out var rows) ? rows : _tables.TryGetValue("", out rows) ? rows : [];

    /// <summary>All rows of all tables.</summary>
    public IEnumerable<Row> AllRows => _tables.Values.SelectMany(t => t);

    /// <summary>Members of the object that is the input, by name; none for a table.</summary>
    public IReadOnlyDictionary<string, JsonElement> Fields => _fields;

    /// <summary>Whether it was written as JSON.</summary>
    public bool IsJson { get; private set; }

    /// <summary>Whether a table of this very name was given.</summary>
    public bool HasTable(string name) => _tables.ContainsKey(name);

    /// <summary>A single number, or null; a value that is none is a problem.</summary>
    public double? Number(string name)
    {
        if (!_fields.TryGetValue(name, out var value) || value.ValueKind == JsonValueKind.Null) return null;
        if (value.ValueKind == JsonValueKind.Number && double.IsFinite(value.GetDouble())) return value.GetDouble();
        Error(3, Where, $"'{name}' is {value.GetRawText()}", "a number", "Write a plain number with a decimal point.");
        return null;
    }

    /// <summary>A single text, or null.</summary>
    public string? Text(string name) => _fields.TryGetValue(name, out var value) && value.ValueKind == JsonValueKind.String ? value.GetString() : null;

    /// <summary>Texts under one name: one, or a list of them; empty for none.</summary>
    public IReadOnlyList<string> Words(string name) => Text(name) is { } one ? [one]
        : _fields.TryGetValue(name, out var value) && value.ValueKind == JsonValueKind.Array ? [.. value.EnumerateArray().Where(v => v.ValueKind == JsonValueKind.String).Select(v => v.GetString()!)] : [];

    /// <summary>A list of numbers, or null.</summary>
    public IReadOnlyList<double>? Numbers(string name) => _fields.TryGetValue(name, out var value) && value.ValueKind == JsonValueKind.Array
        && value.EnumerateArray().All(IsNumber) ? [.. value.EnumerateArray().Select(v => v.GetDouble())] : null;

    /// <summary>Numbers by name, as in {"125": 84}, or null; of a name that stands there twice the last one counts, as everywhere in JSON.</summary>
    public IReadOnlyDictionary<string, double>? Map(string name) => _fields.TryGetValue(name, out var value) && value.ValueKind == JsonValueKind.Object
        && value.EnumerateObject().All(p => IsNumber(p.Value)) ? value.EnumerateObject().GroupBy(p => p.Name, StringComparer.Ordinal).ToDictionary(p => p.Key, p => p.Last().Value.GetDouble(), StringComparer.Ordinal) : null;

    // '1e999' is a number of JSON and none to reckon with.
    private static bool IsNumber(JsonElement value) => value.ValueKind == JsonValueKind.Number && double.IsFinite(value.GetDouble());

    /// <summary>A cell as a number; null when the column is not there or the cell is empty. A cell that is no number is a problem.</summary>
    public double? Cell(Row row, params ReadOnlySpan<string> names)
    {
        foreach (var name in names)
        {
            if (!row.Cells.TryGetValue(name, out var text) || text.Length == 0) continue;
            if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var value) && double.IsFinite(value)) return value;
            Error(3, row.Place, $"'{text}' in column '{name}'", "a number", "Write a plain number with a decimal point; leave the cell empty when there is none.");
            return null;
        }

        return null;
    }

    /// <summary>A cell that must be there.</summary>
    public double? Required(Row row, params ReadOnlySpan<string> names)
    {
        var before = _problems.Count;
        var value = Cell(row, names);
        if (value is null && _problems.Count == before)
            Error(4, row.Place, $"no '{names[0]}'", $"a number in column '{names[0]}'", "See the command's --help for the columns.");
        return value;
    }

    /// <summary>A column over bands, sorted out by nominal frequency.</summary>
    /// <param name="table">Name of the table.</param>
    /// <param name="fraction">The kind of bands.</param>
    /// <param name="names">Names of the column.</param>
    /// <returns>Values by band; rows with an empty cell are left out.</returns>
    public IReadOnlyDictionary<Band, double> Bands(string table, BandFraction fraction, params ReadOnlySpan<string> names)
    {
        var values = new SortedDictionary<Band, double>();
        foreach (var row in Rows(table))
        {
            if (Cell(row, names) is not { } value || Cell(row, "hz", "midband_hz", "frequency", "f") is not { } hertz) continue;
            if (Band.FromNominal(fraction, hertz) is not { } band) BandProblem(row.Place, hertz, fraction);
            else if (!values.TryAdd(band, value)) Error(6, row.Place, $"the band at {band} for the second time", "each band once", "Remove one of the two rows.");
        }

        return values;
    }

    /// <summary>Octaves when every frequency of the table is an octave's and no gap is narrower than an octave; else one-third octaves. Frequencies that are neither are problems.</summary>
    public BandFraction Fraction(string table)
    {
        double[] hertz = [.. Rows(table).Select(r => Cell(r, "hz", "midband_hz", "frequency", "f")).OfType<double>().Order()];
        return hertz.Length > 0 && hertz.All(f => Band.FromNominal(BandFraction.Octave, f) is not null) && hertz.Zip(hertz.Skip(1)).All(p => p.Second / p.First > 1.9)
            ? BandFraction.Octave : BandFraction.ThirdOctave;
    }

    /// <summary>Adds an error.</summary>
    public void Error(int number, string where, string found, string expected, string remedy) =>
        _problems.Add(new($"{_prefix}-{number:000}", Severity.Error, where, found, expected, remedy));

    /// <summary>Adds a note.</summary>
    public void Note(int number, string where, string found, string expected, string remedy) =>
        _problems.Add(new($"{_prefix}-{number:000}", Severity.Note, where, found, expected, remedy));

    /// <summary>Adds problems found elsewhere.</summary>
    public void Add(IEnumerable<Problem> problems) => _problems.AddRange(problems);

    private void BandProblem(string place, double hertz, BandFraction fraction) => Error(5, place, string.Create(CultureInfo.InvariantCulture, $"{hertz} Hz"),
        fraction == BandFraction.Octave ? "an octave midband: 31.5, 63, 125 … 16000" : "a one-third-octave midband: 20, 25, 31.5, 40 … 20000", "Give the nominal midband frequency in Hz.");

    private void ReadJson(string text)
    {
        IsJson = true;
        JsonElement root;
        try
        {
            using var document = JsonDocument.Parse(text, new() { AllowTrailingCommas = true, CommentHandling = JsonCommentHandling.Skip });
            root = document.RootElement.Clone();
        }
        catch (JsonException e)
        {
            Error(2, string.Create(CultureInfo.InvariantCulture, $"{Where}, line {e.LineNumber + 1}"), "text that is not JSON", "one JSON object", e.Message);
            return;
        }

        if (!IsText(root))
        {
            Error(2, Where, "half a character (a lone surrogate such as \\ud800)", "text that can be written", "Write the name or the word again.");
            return;
        }

        if (root.ValueKind == JsonValueKind.Array)
        {
            _tables[""] = ObjectRows("row", root);
            return;
        }

        foreach (var member in root.EnumerateObject())
        {
            _fields[member.Name] = member.Value;
            if (member.Value.ValueKind == JsonValueKind.Array && member.Value.GetArrayLength() > 0 && member.Value[0].ValueKind == JsonValueKind.Object)
                _tables[member.Name] = ObjectRows(member.Name, member.Value);
        }

        Columns(root);
    }

    /// <summary>Whether every name and word can be read: JSON may escape half of a surrogate pair, which is no text.</summary>
    private static bool IsText(JsonElement element)
    {
        try
        {
            return element.ValueKind switch
            {
                JsonValueKind.Object => element.EnumerateObject().All(p => p.Name.Length >= 0 && IsText(p.Value)),
                JsonValueKind.Array => element.EnumerateArray().All(IsText),
                JsonValueKind.String => element.GetString() is not null,
                _ => true,
            };
        }
        catch (InvalidOperationException)
        {
            return false;
        }
    }

    private List<Row> ObjectRows(string name, JsonElement array) => [.. array.EnumerateArray().Select((e, i) => new Row(
        string.Create(CultureInfo.InvariantCulture, $"{Where}, {name} {i + 1}"),
        e.ValueKind == JsonValueKind.Object ? Cells(e.EnumerateObject().Select(p => (p.Name, TextOf(p.Value)))) : new Dictionary<string, string>()))];

    // Arrays of numbers of one length are the columns of a table.
    private void Columns(JsonElement root)
    {
        var columns = root.EnumerateObject().Where(p => p.Value.ValueKind == JsonValueKind.Array && p.Value.GetArrayLength() > 0
            && p.Value.EnumerateArray().All(v => v.ValueKind is JsonValueKind.Number or JsonValueKind.Null)).ToArray();
        if (columns.Length == 0 || !columns.Any(c => c.Name.Equals("hz", StringComparison.OrdinalIgnoreCase) || c.Name.Equals("midband_hz", StringComparison.OrdinalIgnoreCase))) return;
        var lengths = columns.Select(c => c.Value.GetArrayLength()).Distinct().ToArray();
        if (lengths.Length > 1)
        {
            Error(7, Where, $"columns of {string.Join(", ", columns.Select(c => $"{c.Name}: {c.Value.GetArrayLength()}"))} values", "columns of one length", "Give one value per band in every list; null where there is none.");
            return;
        }

        _tables[""] = [.. Enumerable.Range(0, lengths[0]).Select(i => new Row(string.Create(CultureInfo.InvariantCulture, $"{Where}, entry {i + 1}"), Cells(columns.Select(c => (c.Name, TextOf(c.Value[i]))))))];
    }

    private static string TextOf(JsonElement value) => value.ValueKind switch
    {
        JsonValueKind.String => value.GetString()!,
        JsonValueKind.Null => "",
        JsonValueKind.True => "1",
        JsonValueKind.False => "0",
        _ => value.GetRawText(),
    };

    private static Dictionary<string, string> Cells(IEnumerable<(string Name, string Text)> cells)
    {
        var map = new Dictionary<string, string>(StringComparer.OrdinalIgnoreCase);
        foreach (var (name, text) in cells) map[name.Trim()] = text.Trim();
        return map;
    }

    private void ReadCsv(string text)
    {
        var lines = text.Split('\n').Select((l, i) => (Text: l.TrimEnd('\r'), Number: i + 1)).Where(l => l.Text.Trim().Length > 0 && l.Text[0] != '#').ToArray();
        if (lines.Length < 2)
        {
            Error(1, Where, "no row under the header", "a header line and at least one row", "See the command's --help for an example.");
            return;
        }

        var separator = new[] { ';', '\t', ',' }.First(s => s == ',' || lines[0].Text.Contains(s, StringComparison.Ordinal));
        var header = Split(lines[0].Text, separator);
        var rows = new List<Row>();
        foreach (var line in lines.Skip(1))
        {
            var cells = Split(line.Text, separator);
            var place = string.Create(CultureInfo.InvariantCulture, $"{Where}, line {line.Number}");
            if (cells.Count != header.Count)
            {
                Error(8, place, $"{cells.Count} cells", $"{header.Count} cells as in the header", "Check for a missing or extra separator, or for a decimal comma between commas.");
                continue;
            }

            rows.Add(new(place, Cells(header.Zip(cells, (h, c) => (h, separator == ',' ? c : DecimalPoint(c))))));
        }

        _tables[""] = rows;
    }

    // '12,5' is a number where cells are not separated by commas; a cell with other letters is left as it is.
    private static string DecimalPoint(string cell) => cell.Count(c => c == ',') == 1 && cell.All(c => char.IsAsciiDigit(c) || c is ',' or '-' or '+' or ' ') ? cell.Replace(',', '.') : cell;

    private static List<string> Split(string line, char separator)
    {
        var cells = new List<string>();
        var cell = new StringBuilder();
        var quoted = false;
        foreach (var c in line)
        {
            if (c == '"') quoted = !quoted;
            else if (c == separator && !quoted)
            {
                cells.Add(cell.ToString());
                cell.Clear();
            }
            else cell.Append(c);
        }

        cells.Add(cell.ToString());
        return cells;
    }
}
