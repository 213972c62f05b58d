using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Library;

/// <summary>A revision with its document, as it travels in a history file.</summary>
internal sealed record TravellingRevision(int Number, int? Parent, int? Next, string Author, string Summary, DateTimeOffset At, string Text);

/// <summary>The history of a trial as a file: every revision with its whole document, and the files with their hashes.</summary>
internal sealed record TrialHistory(DateTimeOffset Created, int Head, IReadOnlyList<TravellingRevision> Revisions, IReadOnlyList<StoredFile> Files)
{
    /// <summary>Name of the file beside the document.</summary>
    public const string FileName = "history.json";

    private const int Version = 1;

    public void Write(Stream to)
    {
        using var writer = new Utf8JsonWriter(to, new JsonWriterOptions { Indented = true, NewLine = "\n", Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping });
        writer.WriteStartObject();
        writer.WriteNumber("hushtrial_history", Version);
        writer.WriteString("created", Created);
        writer.WriteNumber("head", Head);
        writer.WriteStartArray("files");
        foreach (var file in Files)
        {
            writer.WriteStartObject();
            writer.WriteString("name", file.Name);
            writer.WriteString("sha256", file.Sha256);
            writer.WriteNumber("bytes", file.Bytes);
            writer.WriteEndObject();
        }
        writer.WriteEndArray();
        writer.WriteStartArray("revisions");
        foreach (var revision in Revisions)
        {
            writer.WriteStartObject();
            writer.WriteNumber("number", revision.Number);
            Number(writer, "parent", revision.Parent);
            Number(writer, "next", revision.Next);
            writer.WriteString("author", revision.Author);
            writer.WriteString("summary", revision.Summary);
            writer.WriteString("at", revision.At);
            writer.WriteString("text", revision.Text);
            writer.WriteEndObject();
        }
        writer.WriteEndArray();
        writer.WriteEndObject();
    }

    /// <summary>A history from its file, or null with the reason.</summary>
    /// <param name="from">The file.</param>
    /// <param name="problem">The reason.</param>
    /// <param name="most">Revisions that are taken.</param>
    /// <param name="each">Sees the document of every revision in turn: each is parsed once, and none is kept.</param>
    public static TrialHistory? Read(Stream from, out Problem? problem, int most = int.MaxValue, Action<TrialDraft>? each = null)
    {
        problem = null;
        try
        {
            using var json = JsonDocument.Parse(from);
            var root = json.RootElement;
            if (root.GetProperty("hushtrial_history").GetInt32() != Version)
            {
                problem = PackageProblems.NewerHistory();
                return null;
            }
            if (root.GetProperty("revisions").GetArrayLength() is var count && count > most)
            {
                problem = PackageProblems.TooMuch(FormattableString.Invariant($"more than {most} revisions"));
                return null;
            }
            var files = root.GetProperty("files").EnumerateArray().Select(f => new StoredFile(Text(f, "name"), Text(f, "sha256"), f.GetProperty("bytes").GetInt64())).ToList();
            var revisions = root.GetProperty("revisions").EnumerateArray().Select(r => new TravellingRevision(r.GetProperty("number").GetInt32(), Number(r, "parent"), Number(r, "next"),
                Text(r, "author"), Text(r, "summary"), r.GetProperty("at").GetDateTimeOffset(), Text(r, "text"))).ToList();
            var history = new TrialHistory(root.GetProperty("created").GetDateTimeOffset(), root.GetProperty("head").GetInt32(), revisions, files);
            if (history.Fault(each) is not { } fault) return history;
            problem = PackageProblems.DamagedHistory(fault);
        }
        catch (Exception e) when (e is JsonException or KeyNotFoundException or InvalidOperationException or FormatException)
        {
            problem = PackageProblems.DamagedHistory(e.Message);
        }
        return null;
    }

    /// <summary>What keeps the revisions from being a tree with a head; null when nothing does.</summary>
    private string? Fault(Action<TrialDraft>? each)
    {
        for (var i = 0; i < Revisions.Count; i++)
        {
            var (number, parent, next) = (Revisions[i].Number, Revisions[i].Parent, Revisions[i].Next);
            if (number != i + 1) return FormattableString.Invariant($"revision {number} at place {i + 1}");
            if (i == 0 ? parent is not null : parent is null || parent < 1 || parent >= number) return FormattableString.Invariant($"revision {number} with the parent {parent}");
            if (next is { } child && (child <= number || child > Revisions.Count || Revisions[child - 1].Parent != number)) return FormattableString.Invariant($"revision {number} with the follower {child}");
            if (TrialDraft.FromText(Revisions[i].Text, TrialFolder.DocumentName).Draft is not { } draft) return FormattableString.Invariant($"revision {number} with a text that is no document");
            each?.Invoke(draft);
        }
        return Head < 1 || Head > Revisions.Count ? FormattableString.Invariant($"the head {Head} of {Revisions.Count} revisions") : null;
    }

    private static void Number(Utf8JsonWriter writer, string name, int? value)
    {
        if (value is { } number) writer.WriteNumber(name, number);
        else writer.WriteNull(name);
    }

    private static int? Number(JsonElement element, string name) => element.GetProperty(name) is { ValueKind: JsonValueKind.Number } value ? value.GetInt32() : null;

    private static string Text(JsonElement element, string name) => element.GetProperty(name).GetString() ?? throw new FormatException($"no '{name}'");
}
