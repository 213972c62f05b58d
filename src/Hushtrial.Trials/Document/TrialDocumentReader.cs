using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>Reads a trial document: a YAML text that people write by hand.</summary>
/// <remarks>Pure: opens no file and does not look whether recordings are there. All problems are collected, in the order of the
/// document; their codes are listed in docs/guide/problems.md. Values are read as text by their place in the layout, so that 0:12
/// is a time and 'no' in a text is a word. Anchors, aliases, tags and merge keys are refused.</remarks>
public static class TrialDocumentReader
{
    /// <summary>Reads a document from bytes in UTF-8 (with or without byte-order mark) or UTF-16; at most 5 MB.</summary>
    /// <param name="stream">Read to its end; not disposed.</param>
    /// <param name="displayName">Name for messages, for example 'trial.yaml'.</param>
    /// <returns>The document, or null when there is at least one problem of severity error; and all problems.</returns>
    public static (TrialDocument? Document, IReadOnlyList<Problem> Problems) Read(Stream stream, string displayName)
    {
        ArgumentNullException.ThrowIfNull(stream);
        var problems = new DocumentProblems(displayName);
        var text = DocumentText.Decode(stream, problems);
        return (text is null ? null : Read(text, problems), problems.InOrder());
    }

    /// <summary>Reads a document from text.</summary>
    /// <param name="text">The whole document; at most 5 million characters.</param>
    /// <param name="displayName">Name for messages, for example 'trial.yaml'.</param>
    /// <returns>The document, or null when there is at least one problem of severity error; and all problems.</returns>
    public static (TrialDocument? Document, IReadOnlyList<Problem> Problems) Read(string text, string displayName)
    {
        ArgumentNullException.ThrowIfNull(text);
        var problems = new DocumentProblems(displayName);
        return (Read(text.StartsWith('\ufeff') ? text[1..] : text, problems), problems.InOrder());
    }

    internal static TrialDocument? Read(string text, DocumentProblems problems)
    {
        if (!DocumentText.IsReadable(text, problems) || DocumentComposer.Compose(text, problems) is not { } node) return null;
        var binder = new Binder(problems);
        if (binder.Map(node, DocumentShape.Root, "") is not { } root) return null;
        IdentityChecks.Resolve(root, binder, problems);
        var draft = new Draft(root, binder.Incomplete);
        TakeChecks.Check(draft, problems);
        DesignChecks.Check(draft, problems);
        ListeningChecks.Check(draft, problems);
        ComfortLog.Check(draft, problems);
        var clocks = new RunClocks(draft, problems);
        Unfilled(node, problems);
        if (problems.AnyError) return null;
        var document = new Assembly(draft, clocks, problems).Document();
        EvidenceChecks.Check(document, draft, problems);
        return document;
    }

    /// <summary>The places of the template that its user has not come to yet.</summary>
    private static void Unfilled(DocumentNode node, DocumentProblems problems)
    {
        switch (node)
        {
            case TextNode text when text.Text.StartsWith(TrialDocumentTemplate.FillIn, StringComparison.Ordinal):
                problems.Note("DOC-089", text.Place, "", $"'{TrialDocumentTemplate.FillIn}', as in the template", "your own words", "Fill it in, or leave the place empty: the report then says 'not stated'.");
                break;
            case ListNode list:
                foreach (var item in list.Items) Unfilled(item, problems);
                break;
            case MapNode map:
                foreach (var (_, value) in map.Pairs) Unfilled(value, problems);
                break;
        }
    }
}
