using System.Text.RegularExpressions;
using Hushtrial.Tests;

namespace Hushtrial.Trials.Tests.Document;

/// <summary>The list of problems for users holds the codes that the reader can give, no more and no fewer, and the corpus shows each.</summary>
public sealed partial class ProblemListTests
{
    [Fact]
    public void Every_code_is_listed_and_shown()
    {
        var source = Directory.GetFiles(Path.Combine(Reference.Root, "src", "Hushtrial.Trials", "Document"), "*.cs").SelectMany(f => Codes(File.ReadAllText(f))).ToHashSet(StringComparer.Ordinal);
        var listed = ListedCode().Matches(File.ReadAllText(Path.Combine(Reference.Root, "docs", "guide", "problems.md"))).Select(m => m.Groups["code"].Value).ToList();
        Assert.InRange(source.Count, 60, 120);
        Assert.Equal(source.Order(StringComparer.Ordinal), listed);
        // Notes stand in documents that are read all the same.
        var shown = Corpus.Names("bad").Concat(Corpus.Names("good")).SelectMany(n => Codes(Corpus.Pinned(n))).ToHashSet(StringComparer.Ordinal);
        // A file of 5 MB and one with 200 faults are made in the tests of the reader.
        Assert.Equal(["DOC-001", "DOC-009"], source.Except(shown).Order(StringComparer.Ordinal));
    }

    private static IEnumerable<string> Codes(string text) => Code().Matches(text).Select(m => m.Value);

    [GeneratedRegex("DOC-[0-9]{3}")]
    private static partial Regex Code();

    [GeneratedRegex(@"^\| (?<code>DOC-[0-9]{3}) ", RegexOptions.Multiline)]
    private static partial Regex ListedCode();
}
