using System.Globalization;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>Reads cabin noises from a table: a header line with the columns 'hz' and 'level', and 'cabin' where it holds several; a row per band.</summary>
/// <remarks>Levels are unweighted. Comma, semicolon or tab between cells; a decimal comma where cells are not separated by commas; lines that begin with '#' are
/// passed over. Frequencies that are all octaves' with no gap narrower than one are octaves, else one-third octaves. Pure: opens no file.</remarks>
public static class CabinTable
{
    /// <summary>Reads a table.</summary>
    /// <param name="text">The whole table.</param>
    /// <param name="displayName">Name for messages.</param>
    /// <param name="id">Identity of the cabin where the table names none.</param>
    /// <returns>The cabins, empty when there is an error; and all problems.</returns>
    public static (IReadOnlyList<CabinEntry> Cabins, IReadOnlyList<Problem> Problems) Read(string text, string displayName, string id)
    {
        ArgumentNullException.ThrowIfNull(text);
        var problems = new List<Problem>();
        var lines = text.TrimStart('\ufeff').Split('\n').Select((l, i) => (Text: l.TrimEnd('\r'), Number: i + 1)).Where(l => l.Text.Trim().Length > 0 && l.Text[0] != '#').ToList();
        var separator = lines.Count == 0 ? ',' : new[] { ';', '\t', ',' }.First(s => s == ',' || lines[0].Text.Contains(s, StringComparison.Ordinal));
        string[] Cells(string line) => [.. line.Split(separator).Select(c => c.Trim().Trim('"'))];
        var header = lines.Count == 0 ? [] : Cells(lines[0].Text);
        int Column(params string[] names) => Array.FindIndex(header, h => names.Contains(h, StringComparer.OrdinalIgnoreCase));
        var (hertz, level, cabin) = (Column("hz", "midband_hz"), Column("level", "level_db"), Column("cabin"));
        void Error(string code, int line, string found, string expected, string remedy) =>
            problems.Add(new(code, Severity.Error, string.Create(CultureInfo.InvariantCulture, $"{displayName}, line {line}"), found, expected, remedy));
        if (hertz < 0 || level < 0 || lines.Count < 2)
        {
            Error("CAB-001", 1, lines.Count < 2 ? "no row under a header line" : $"the columns {string.Join(", ", header)}", "the columns hz and level, and cabin where there are several", "Write a header line 'hz,level' and a row for every band.");
            return ([], problems);
        }
        var rows = new List<(string Cabin, double Hertz, double Level, int Line)>();
        foreach (var (line, number) in lines.Skip(1))
        {
            var cells = Cells(line);
            double? Number(int column) => column < cells.Length && double.TryParse(separator == ',' ? cells[column] : cells[column].Replace(',', '.'), NumberStyles.Float, CultureInfo.InvariantCulture, out var v) && double.IsFinite(v) ? v : null;
            if (Number(hertz) is not { } f || Number(level) is not (>= -40 and <= 160 and { } l))
                Error("CAB-002", number, DocumentProblems.Quote(line), "a frequency in Hz and a level of −40 to 160 dB", "Write plain numbers; with commas between the cells the decimal sign is a point.");
            else rows.Add((cabin >= 0 && cabin < cells.Length && cells[cabin].Length > 0 ? cells[cabin] : id, f, l, number));
        }
        var cabins = new List<CabinEntry>();
        foreach (var group in rows.GroupBy(r => r.Cabin, StringComparer.Ordinal))
        {
            var sorted = group.Select(r => r.Hertz).Order().ToList();
            var octaves = sorted.TrueForAll(f => Band.FromNominal(BandFraction.Octave, f) is not null) && sorted.Zip(sorted.Skip(1)).All(p => p.Second / p.First > 1.9);
            var levels = new SortedDictionary<Band, double>();
            foreach (var row in group)
                if (Band.FromNominal(octaves ? BandFraction.Octave : BandFraction.ThirdOctave, row.Hertz) is not { } band)
                    Error("CAB-003", row.Line, FormattableString.Invariant($"{row.Hertz} Hz"), "a midband frequency of octaves or of one-third octaves", "Write the nominal midband frequency in Hz.");
                else if (!levels.TryAdd(band, row.Level)) Error("CAB-003", row.Line, $"the band at {band} for the second time", "each band once", "Remove one of the two rows, or name two cabins.");
            if (levels.Count > 0) cabins.Add(new(group.Key, group.Key, displayName, [.. levels], null, null, null, null, null, null, null));
        }
        return (problems.Count > 0 ? [] : cabins, problems);
    }
}
