using System.Text;
using Hushtrial.Quantities;
using YamlDotNet.Core;
using YamlDotNet.Core.Events;

namespace Hushtrial.Trials.Document;

/// <summary>Adds takes to the text of a trial document and leaves every other character as its writer left it: comments, order, spacing.</summary>
public static class TakeInsertion
{
    /// <summary>The text with the takes behind those that are there.</summary>
    /// <param name="text">A document that the reader reads without errors.</param>
    /// <param name="takes">The takes; their identities are new.</param>
    /// <returns>The new text, or null and the problem that the document would have.</returns>
    /// <exception cref="ArgumentException">The text is not a readable document.</exception>
    public static (string? Text, Problem? Problem) Add(string text, IReadOnlyList<TakeEntry> takes)
    {
        if (TrialDocumentReader.Read(text, "trial.yaml").Document is not { } before) throw new ArgumentException("Takes are added to a document that can be read.", nameof(text));
        if (takes.Count == 0) return (text, null);
        var place = Place.Of(text);
        var lineEnd = text.Contains("\r\n", StringComparison.Ordinal) ? "\r\n" : "\n";
        var entries = new StringBuilder();
        foreach (var take in takes) YamlText.Entry(entries, new string(' ', place.Indent), TrialDocumentWriter.Take(take, before), oneLine: true);
        var block = entries.ToString().Replace("\n", lineEnd, StringComparison.Ordinal);
        var head = text[..place.At];
        if (place.Replaces > 0) head = head.TrimEnd(' ');
        var joined = head + (head.EndsWith('\n') ? "" : lineEnd) + block + text[(place.At + place.Replaces)..].TrimStartOnce(lineEnd, place.Replaces > 0);
        var (after, problems) = TrialDocumentReader.Read(joined, "trial.yaml");
        if (after is null) return (null, problems.First(p => p.Severity == Severity.Error));
        // The text was edited, so it is proved: what was there is there, and what was added reads as it was meant.
        if (after.Takes.Count != before.Takes.Count + takes.Count || !after.Takes.Select(t => t.Id).SequenceEqual(before.Takes.Concat(takes).Select(t => t.Id), StringComparer.Ordinal))
            return (null, new("FND-007", Severity.Error, "takes", "a list of takes to which no entry could be added", "a list with one '- ' for each take", "Copy the lines by hand; the command prints them."));
        return (joined, null);
    }

    private static string TrimStartOnce(this string text, string lineEnd, bool trim) => trim && text.StartsWith(lineEnd, StringComparison.Ordinal) ? text[lineEnd.Length..] : text;

    /// <summary>Where the entries go.</summary>
    /// <param name="At">Index in the text.</param>
    /// <param name="Replaces">Characters they replace: those of '[]'.</param>
    /// <param name="Indent">Spaces before '-'.</param>
    private readonly record struct Place(int At, int Replaces, int Indent)
    {
        public static Place Of(string text)
        {
            var parser = new Parser(new StringReader(text));
            var depth = 0;
            while (parser.MoveNext())
            {
                if (depth == 1 && parser.Current is Scalar { Value: "takes" } key)
                {
                    parser.MoveNext();
                    return Behind(text, parser, key);
                }
                if (depth == 1 && parser.Current is Scalar) { parser.MoveNext(); parser.SkipThisValue(); continue; }
                depth += parser.Current is MappingStart ? 1 : 0;
            }
            // The reader demands the key: it is there.
            throw new ArgumentException("The document has no 'takes'.", nameof(text));
        }

        private static Place Behind(string text, Parser parser, Scalar key)
        {
            var indent = (int)key.Start.Column - 1 + 2;
            if (parser.Current is SequenceStart { Style: SequenceStyle.Flow } flow)
            {
                var from = (int)flow.Start.Index;
                var close = text.IndexOf(']', from);
                return new(from, close - from + 1, indent);
            }
            if (parser.Current is not SequenceStart sequence) return new(LineAfter(text, (int)key.End.Index), 0, indent);
            var last = (int)sequence.Start.Index;
            var level = 1;
            while (level > 0 && parser.MoveNext())
            {
                var now = parser.Current!;
                level += now.NestingIncrease;
                // Block collections end where the next thing begins; flow ones and texts end where they end.
                if (now is Scalar || (now is MappingEnd or SequenceEnd && now.End.Index > now.Start.Index)) last = Math.Max(last, (int)now.End.Index);
            }
            return new(LineAfter(text, text[..Math.Min(last, text.Length)].TrimEnd().Length), 0, (int)sequence.Start.Column - 1);
        }

        private static int LineAfter(string text, int index) => text.IndexOf('\n', Math.Min(index, text.Length)) is >= 0 and var end ? end + 1 : text.Length;
    }

    private static void SkipThisValue(this Parser parser)
    {
        var level = parser.Current!.NestingIncrease;
        while (level > 0 && parser.MoveNext()) level += parser.Current!.NestingIncrease;
    }
}
