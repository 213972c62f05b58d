using System.Text;
using Hushtrial.Quantities;
using YamlDotNet.Core;
using YamlDotNet.Core.Events;

namespace Hushtrial.Trials.Document;

/// <summary>Values for one entry of a document.</summary>
/// <param name="Section">'recordings' or 'logs'.</param>
/// <param name="Entry">Identity of the entry.</param>
/// <param name="Values">Keys with their values as text; an empty value removes nothing and is not allowed.</param>
public sealed record EntryValues(string Section, string Entry, IReadOnlyList<KeyValuePair<string, string>> Values);

/// <summary>Writes clocks into entries of a trial document and leaves every other character as its writer left it.</summary>
public static class ClockInsertion
{
    /// <summary>The text with the values set.</summary>
    /// <param name="text">A document that the reader reads without errors.</param>
    /// <param name="changes">What to set; keys that are there are replaced.</param>
    /// <returns>The new text, or null and why it cannot be done.</returns>
    public static (string? Text, Problem? Problem) Set(string text, IReadOnlyList<EntryValues> changes)
    {
        ArgumentNullException.ThrowIfNull(text);
        ArgumentNullException.ThrowIfNull(changes);
        var after = text;
        foreach (var change in changes)
            foreach (var (key, value) in change.Values)
            {
                if (Edited(after, change.Section, change.Entry, key, value) is not { } edited) return (null, Refused(change, "an entry to which no value can be added"));
                after = edited;
            }
        var (document, problems) = TrialDocumentReader.Read(after, "trial.yaml");
        if (document is null) return (null, problems.First(p => p.Severity == Severity.Error));
        // The text was edited, so it is proved: tidied, it is the old document with exactly these values.
        var wanted = TrialDraft.FromText(text, "trial.yaml").Draft;
        foreach (var change in changes)
            foreach (var (key, value) in change.Values) wanted = wanted?.Apply(new DraftEdit.Set($"{change.Section}[{change.Entry}].{key}", value)).Draft;
        var got = TrialDraft.FromText(after, "trial.yaml").Draft;
        return wanted is not null && got is not null && DraftTree.Write(wanted.Root) == DraftTree.Write(got.Root) ? (after, null) : (null, Refused(changes[0], "an entry that would read otherwise than meant"));
    }

    private static Problem Refused(EntryValues change, string found) => new("ALG-003", Severity.Error, $"{change.Section}, {change.Entry}", found, "an entry with 'id' on a line or in braces", "Write the values by hand; the command prints them.");

    private static string? Edited(string text, string section, string entry, string key, string value)
    {
        if (Find(text, section, entry) is not { } found) return null;
        if (found.Keys.TryGetValue(key, out var old)) return string.Concat(text.AsSpan(0, old.Start), value, text.AsSpan(old.End));
        var at = found.Id.End;
        if (found.IsFlow) return string.Concat(text.AsSpan(0, at), $", {key}: {value}", text.AsSpan(at));
        var lineEnd = text.Contains("\r\n", StringComparison.Ordinal) ? "\r\n" : "\n";
        var line = text.IndexOf('\n', at) is >= 0 and var end ? end + 1 : text.Length;
        var block = new StringBuilder(line == text.Length && !text.EndsWith('\n') ? lineEnd : "").Append(' ', found.Indent).Append(key).Append(": ").Append(value).Append(lineEnd);
        return string.Concat(text.AsSpan(0, line), block.ToString(), text.AsSpan(line));
    }

    private sealed record Entry(bool IsFlow, int Indent, (int Start, int End) Id, IReadOnlyDictionary<string, (int Start, int End)> Keys);

    private static Entry? Find(string text, string section, string id)
    {
        var parser = new Parser(new StringReader(text));
        while (parser.MoveNext() && parser.Current is not MappingStart) { }
        while (parser.MoveNext() && parser.Current is Scalar key)
        {
            parser.MoveNext();
            if (key.Value != section || parser.Current is not SequenceStart)
            {
                Skip(parser);
                continue;
            }
            while (parser.MoveNext() && parser.Current is MappingStart map)
                if (Read(parser, map, id) is { } entry) return entry;
            return null;
        }
        return null;
    }

    private static Entry? Read(Parser parser, MappingStart map, string id)
    {
        var keys = new Dictionary<string, (int, int)>(StringComparer.Ordinal);
        ((int, int) Place, int Indent)? found = null;
        while (parser.MoveNext() && parser.Current is Scalar key)
        {
            parser.MoveNext();
            if (parser.Current is Scalar value)
            {
                keys[key.Value] = ((int)value.Start.Index, (int)value.End.Index);
                if (key.Value == "id" && value.Value.Trim() == id) found = (keys["id"], (int)key.Start.Column - 1);
            }
            Skip(parser);
        }
        return found is { } place ? new(map.Style == MappingStyle.Flow, place.Indent, place.Place, keys) : null;
    }

    private static void Skip(Parser parser)
    {
        var level = parser.Current!.NestingIncrease;
        while (level > 0 && parser.MoveNext()) level += parser.Current!.NestingIncrease;
    }
}
