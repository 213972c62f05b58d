using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>The first rows of a log as they stand in the file, for a person to compare with what is made of them.</summary>
public static class LogRowsShown
{
    /// <summary>Rows from the first line with values on.</summary>
    /// <param name="bytes">The log's bytes; not disposed of.</param>
    /// <param name="layout">How its text is parted.</param>
    /// <param name="most">Number of rows at most.</param>
    /// <returns>Line in the file, from 1, and the fields.</returns>
    public static IReadOnlyList<(int Line, IReadOnlyList<string> Fields)> First(IByteSource bytes, LogLayout layout, int most)
    {
        ArgumentNullException.ThrowIfNull(bytes);
        ArgumentNullException.ThrowIfNull(layout);
        var lines = new LogLines(new ByteStream(bytes), layout.Encoding);
        var rows = new List<(int, IReadOnlyList<string>)>();
        while (rows.Count < most && lines.Next())
            if (lines.Number >= layout.FirstLine && !lines.Line.IsWhiteSpace()) rows.Add((lines.Number, LogFields.Texts(lines.Line.ToString(), layout.Delimiter)));
        return rows;
    }
}
