using System.Globalization;
using System.Runtime.CompilerServices;

namespace Hushtrial.Tests;

/// <summary>Reads a table of published values from the project's reference folder. Lines that start with '#' tell the source.</summary>
internal static class Reference
{
    /// <summary>The project's root: the folder that holds the solution.</summary>
    public static string Root { get; } = FindRoot();

    /// <summary>Rows by column name; throws when the table is empty, so that no test passes for want of data.</summary>
    public static IReadOnlyList<IReadOnlyDictionary<string, string>> Read(string path)
    {
        var lines = File.ReadAllLines(Path.Combine(Root, "reference", path)).Where(l => l.Length > 0 && l[0] != '#').ToArray();
        var header = Split(lines[0]);
        var rows = lines.Skip(1).Select(l =>
        {
            var cells = Split(l);
            Assert.Equal(header.Count, cells.Count);
            return (IReadOnlyDictionary<string, string>)header.Zip(cells).ToDictionary(p => p.First, p => p.Second, StringComparer.Ordinal);
        }).ToList();
        Assert.NotEmpty(rows);
        return rows;
    }

    /// <summary>A cell as a number; 'inf' and '-inf' stand for no limit.</summary>
    public static double Number(this IReadOnlyDictionary<string, string> row, string column) => row[column] switch
    {
        "inf" => double.PositiveInfinity,
        "-inf" => double.NegativeInfinity,
        var text => double.Parse(text, CultureInfo.InvariantCulture),
    };

    private static List<string> Split(string line)
    {
        var cells = new List<string>();
        var cell = new System.Text.StringBuilder();
        var quoted = false;
        foreach (var ch in line)
        {
            if (ch == '"') quoted = !quoted;
            else if (ch == ',' && !quoted) { cells.Add(cell.ToString()); cell.Clear(); }
            else cell.Append(ch);
        }
        cells.Add(cell.ToString());
        return cells;
    }

    private static string FindRoot([CallerFilePath] string here = "")
    {
        foreach (var start in new[] { AppContext.BaseDirectory, Path.GetDirectoryName(here) ?? "." })
            for (var folder = new DirectoryInfo(start); folder is not null; folder = folder.Parent)
                if (File.Exists(Path.Combine(folder.FullName, "Hushtrial.slnx"))) return folder.FullName;
        throw new DirectoryNotFoundException("No folder above the tests holds Hushtrial.slnx.");
    }
}
