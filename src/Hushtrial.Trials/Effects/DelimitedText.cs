using System.Text;

namespace Hushtrial.Trials.Effects;

/// <summary>One line of a table: its cells, trimmed, and its number in the file.</summary>
internal sealed record DelimitedRow(int Line, IReadOnlyList<string> Cells);

/// <summary>A small table of text: comma, semicolon or tab; quotes; remarks after '#'; blank lines skipped.</summary>
internal sealed record DelimitedText(char Separator, int HeaderLine, IReadOnlyList<string> Header, IReadOnlyList<DelimitedRow> Rows)
{
    // A trial of a hundred flights has some ten thousand readings; beyond this it is another kind of file.
    private const int MostLines = 200_000;

    public static DelimitedText Read(TextReader text)
    {
        var rows = new List<DelimitedRow>();
        var separator = ',';
        for (var line = 1; line <= MostLines && text.ReadLine() is { } content; line++)
        {
            content = content.TrimStart('\uFEFF');
            if (string.IsNullOrWhiteSpace(content) || content[0] == '#') continue;
            if (rows.Count == 0) separator = content.Contains('\t', StringComparison.Ordinal) ? '\t' : content.Contains(';', StringComparison.Ordinal) ? ';' : ',';
            var cells = Split(content, separator);
            if (rows.Count > 0 && cells.All(c => c.Length == 0)) continue;       // a spreadsheet's empty line
            rows.Add(new(line, cells));
        }
        return rows.Count == 0 ? new(separator, 0, [], []) : new(separator, rows[0].Line, rows[0].Cells, rows[1..]);
    }

    private static List<string> Split(string line, char separator)
    {
        var cells = new List<string>();
        var cell = new StringBuilder();
        var quoted = false;
        for (var i = 0; i < line.Length; i++)
        {
            var ch = line[i];
            if (ch == '"' && quoted && i + 1 < line.Length && line[i + 1] == '"') cell.Append(line[i++]);
            else if (ch == '"') quoted = !quoted;
            else if (ch == separator && !quoted)
            {
                cells.Add(cell.ToString().Trim());
                cell.Clear();
            }
            else cell.Append(ch);
        }
        cells.Add(cell.ToString().Trim());
        return cells;
    }
}
