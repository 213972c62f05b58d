using Hushtrial.Tests;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Finding;

/// <summary>Takes are added to the text that a person wrote, and everything else stays as it was.</summary>
public sealed class TakeInsertionTests
{
    private static readonly string _good = File.ReadAllText(Path.Combine(Reference.Root, "corpus", "trials", "good.everything.yaml"));

    private static TakeEntry Take(string id, string run) => new(id, run, "anna", "open", null, "f1", 500, 520.5, null, null, [], null, null, null, null, "");

    [Theory]
    [InlineData("\n", "")]
    [InlineData("\r\n", "")]
    [InlineData("\n", "   # the last word\n\n# and a remark behind\n")]
    public void The_rest_of_the_text_stays(string lineEnd, string behind)
    {
        var text = (_good.TrimEnd('\n') + (behind.Length > 0 ? behind : "\n")).ReplaceLineEndings(lineEnd);
        var run = TrialDocumentReader.Read(text, "t").Document!.Takes[0].Run;
        var (after, problem) = TakeInsertion.Add(text, [Take("T90", run), Take("T91", run) with { From = 600, To = 620 }]);
        Assert.Null(problem);
        string[] added = [.. after!.Split(lineEnd).Except(text.Split(lineEnd))];
        Assert.Equal(2, added.Length);
        Assert.All(added, l => Assert.StartsWith("  - { id: T9", l, StringComparison.Ordinal));
        Assert.Equal(text, string.Join(lineEnd, after.Split(lineEnd).Where(l => !added.Contains(l))));
        var read = TrialDocumentReader.Read(after, "t").Document!.Takes;
        Assert.Equal(520.5, read[^2].To);
        Assert.Equal("T91", read[^1].Id);
    }

    [Theory]
    [InlineData("takes: []\n", "takes:\n  - {")]
    [InlineData("takes: []   # none yet\n", "takes:\n  - {")]
    [InlineData("takes:\n", "takes:\n  - {")]
    public void An_empty_list_is_filled(string empty, string expected)
    {
        var text = _good[.._good.IndexOf("takes:", StringComparison.Ordinal)] + empty;
        var (document, problems) = TrialDocumentReader.Read(text, "t");
        if (document is null) { Assert.Contains(problems, p => p.Code.StartsWith("DOC", StringComparison.Ordinal)); return; }
        var (after, problem) = TakeInsertion.Add(text, [Take("T90", document.Runs[0].Id)]);
        Assert.Null(problem);
        Assert.Contains(expected, after, StringComparison.Ordinal);
        Assert.Single(TrialDocumentReader.Read(after!, "t").Document!.Takes);
    }

    [Fact]
    public void A_take_that_the_document_cannot_have_is_refused_with_the_reason()
    {
        var (after, problem) = TakeInsertion.Add(_good, [Take("T90", "no-such-run")]);
        Assert.Null(after);
        Assert.StartsWith("DOC-", problem!.Code, StringComparison.Ordinal);
    }
}
