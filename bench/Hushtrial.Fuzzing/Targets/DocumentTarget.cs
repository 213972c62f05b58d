using System.Text;
using Hushtrial.Fuzzing.Mutation;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Tests.Document;

namespace Hushtrial.Fuzzing.Targets;

/// <summary>Trial documents: read, and where they can be read, written and read back.</summary>
internal static class DocumentTarget
{
    /// <summary>Keys and words of the layout, as the template shows them.</summary>
    internal static IReadOnlyList<string> Words { get; } = [.. TrialDocumentTemplate.Text().Split([' ', '\n', '#', ',', '[', ']', '{', '}', '\''], StringSplitOptions.RemoveEmptyEntries).Where(w => w.Length <= 24)
        .Concat(["open", "yes", "no", "all", "- id: x", "takes:", "[]", "{}", "---", "...", "third"]).Distinct(StringComparer.Ordinal)];

    public static FuzzTarget Target { get; } = new("documents", 8192, Seeds, new TextMutation(Words).Mutate, Execute);

    internal static IReadOnlyList<byte[]> Seeds(string corpus) => [.. Directory.GetFiles(Path.Combine(corpus, "trials"), "*.yaml").Order(StringComparer.Ordinal).Select(File.ReadAllBytes).Where(b => b.Length <= 8192)];

    public static bool Execute(byte[] input)
    {
        using var stream = new Trickle(input);
        var (document, problems) = TrialDocumentReader.Read(stream, "trial.yaml");
        Places.Check(problems, input.Length, Places.LinesIn(input));
        BrokenPropertyException.Unless(problems.Any(p => p.Severity == Severity.Error) == document is null, "a document and an error, or neither");
        if (document is not null)
        {
            var (again, found) = TrialDocumentReader.Read(TrialDocumentWriter.Write(document), "trial.yaml");
            BrokenPropertyException.Unless(again is not null, $"what was written is not read: {found.FirstOrDefault(p => p.Severity == Severity.Error)}");
            BrokenPropertyException.Unless(DocumentEquality.Of(document) == DocumentEquality.Of(again!), "written and read back, the document is another");
        }
        return !problems.Any(p => p.Code is "DOC-001" or "DOC-002" or "DOC-003" or "DOC-004" or "DOC-005" or "DOC-006" or "DOC-007" or "DOC-008");
    }

    /// <summary>A stream that gives a few bytes at a time, as a pipe may.</summary>
    internal sealed class Trickle(byte[] bytes) : MemoryStream(bytes, writable: false)
    {
        public override int Read(byte[] buffer, int offset, int count) => base.Read(buffer, offset, Math.Min(count, 509));

        public override int Read(Span<byte> buffer) => base.Read(buffer[..Math.Min(buffer.Length, 509)]);
    }
}

/// <summary>Drafts of trials: any tree of keys; its text gives the same draft, and edits leave a draft that can be read.</summary>
internal static class DraftTarget
{
    public static FuzzTarget Target { get; } = new("drafts", 4096, DocumentTarget.Seeds, new TextMutation(DocumentTarget.Words).Mutate, Execute);

    public static bool Execute(byte[] input)
    {
        using var stream = new DocumentTarget.Trickle(input);
        var (draft, problems) = TrialDraft.FromStream(stream, "trial.yaml");
        Places.Check(problems, input.Length, Places.LinesIn(input));
        BrokenPropertyException.Unless(draft is null == problems.Any(p => p.Severity == Severity.Error), "a draft and an error, or neither");
        if (draft is null) return false;
        _ = draft.Read();
        if (Edited(draft, new DraftEdit.Set("trial.title", "A title")) is not { } titled) return true;
        BrokenPropertyException.Unless(titled.Value("trial.title") == "A title", "the title set is another");
        var text = titled.Text;
        var (again, faults) = TrialDraft.FromText(text, "trial.yaml");
        BrokenPropertyException.Unless(again is not null, $"the text of a draft is no draft: {faults.Count} problems, {(faults.Count > 0 ? faults[0] : null)}");
        // The text of an edit is tidy: read and edited to the same value, it stays as it is.
        BrokenPropertyException.Unless(Edited(again!, new DraftEdit.Set("trial.title", "B"))?.Apply(new DraftEdit.Set("trial.title", "A title")).Draft?.Text == text, "tidy text is not tidy");
        foreach (var section in new[] { "devices", "takes", "recordings" })
            foreach (var id in titled.Ids(section).Take(2))
            {
                _ = titled.Fields($"{section}[{id}]");
                _ = Edited(titled, new DraftEdit.Remove(section, id));
                _ = Edited(titled, new DraftEdit.Rename(section, id, "fresh-name"));
            }
        return true;
    }

    private static TrialDraft? Edited(TrialDraft draft, DraftEdit edit)
    {
        var result = draft.Apply(edit);
        BrokenPropertyException.Unless(result.Draft is null != result.Problem is null, "an edit with a draft and a problem, or neither");
        if (result.Draft is { } after) _ = Encoding.UTF8.GetByteCount(after.Text);
        return result.Draft;
    }
}
