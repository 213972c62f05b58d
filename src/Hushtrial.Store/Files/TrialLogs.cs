using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Files;

/// <summary>Writes the entry of a level log into a trial document, leaving every other line as it is.</summary>
public static class TrialLogs
{
    /// <summary>Adds the entry.</summary>
    /// <returns>Empty when it was written; else why it was not: the document is then untouched.</returns>
    /// <exception cref="WrongUseException">There is no such trial.</exception>
    public static IReadOnlyList<Problem> Add(string trial, LogEntry entry)
    {
        var path = File.Exists(trial) ? trial : Path.Combine(trial, TrialFolder.DocumentName);
        if (!File.Exists(path)) throw new WrongUseException($"there is no trial document '{trial}'.");
        var name = Path.GetFileName(path);
        var old = SmallFile.ReadText(path, 5_000_000);
        var before = TrialDocumentReader.Read(old, name).Problems.Where(p => p.Severity == Severity.Error).ToList();
        if (Inserted(old, entry) is not { } text)
            return [NotWritten(name, $"a section 'logs' that already names '{entry.Id}', or is not written as one '- ' a line", "an entry of its own", "Paste the entry by hand, or give the log another name with '--id'.")];
        // A document that could be read must stay readable; one that could not may keep its own faults, but gets no new ones.
        var errors = TrialDocumentReader.Read(text, name).Problems.Where(p => p.Severity == Severity.Error).ToList();
        if (errors.Count > before.Count || (before.Count == 0 && errors.Count > 0))
            return [NotWritten(name, $"a document that could not be read with the entry in it: {errors[^1]}", "a readable document", "Mend what is named, or paste the entry by hand.")];
        Output.Write(path, text);
        return [];
    }

    /// <summary>Nothing is written while a question is open.</summary>
    public static Problem NotConfirmed(string log) => NotWritten(log, "questions without an answer", "an answer to each", "Give the answers as options of this command; nothing was written.");

    internal static string? Inserted(string text, LogEntry entry)
    {
        var newline = text.Contains("\r\n", StringComparison.Ordinal) ? "\r\n" : "\n";
        var lines = text.ReplaceLineEndings("\n").Split('\n').ToList();
        var section = LogSection.Text(entry).TrimEnd('\n').Split('\n');
        var at = lines.FindIndex(l => l.TrimEnd() is "logs:" or "logs: []" || l.StartsWith("logs: #", StringComparison.Ordinal));
        if (at < 0)
        {
            if (lines.Exists(l => l.StartsWith("logs:", StringComparison.Ordinal))) return null;
            // In front of the section that follows in the layout, with its remarks; at the end where none is there.
            var next = lines.FindIndex(l => l.StartsWith("calibrations:", StringComparison.Ordinal) || l.StartsWith("devices:", StringComparison.Ordinal));
            if (next < 0) next = lines.Count;
            while (next > 0 && lines[next - 1].StartsWith('#')) next--;
            lines.InsertRange(next, [.. section, ""]);
            return string.Join(newline, lines);
        }
        var end = at + 1;
        while (end < lines.Count && (lines[end].Trim().Length == 0 || lines[end].StartsWith(' ') || lines[end].StartsWith("- ", StringComparison.Ordinal))) end++;
        while (end > at + 1 && lines[end - 1].Trim().Length == 0) end--;
        var entries = lines[(at + 1)..end];
        if (entries.Exists(l => l.TrimStart().StartsWith("- ", StringComparison.Ordinal) && !l.StartsWith("  - ", StringComparison.Ordinal))) return null;
        if (entries.Exists(l => l.Contains($"id: {entry.Id}", StringComparison.Ordinal) && l.Split("id:")[1].TrimStart().Split(',', ' ', '}')[0] == entry.Id)) return null;
        lines[at] = "logs:";
        lines.InsertRange(end, section.Skip(1));
        return string.Join(newline, lines);
    }

    private static Problem NotWritten(string where, string found, string expected, string remedy) => new("LOG-050", Severity.Error, where, found, expected, remedy);
}
