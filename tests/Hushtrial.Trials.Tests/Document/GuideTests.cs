using Hushtrial.Quantities;
using Hushtrial.Tests;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

public sealed class GuideTests
{
    [Fact]
    public void The_examples_of_the_guide_are_read_without_errors_and_warnings()
    {
        var blocks = File.ReadAllText(Path.Combine(Reference.Root, "docs", "guide", "trial-document.md")).Split("```");
        var examples = blocks.Where(b => b.StartsWith("yaml\n", StringComparison.Ordinal)).Select(b => b["yaml\n".Length..]).ToList();
        Assert.Equal(2, examples.Count);
        foreach (var example in examples)
        {
            var (document, problems) = TrialDocumentReader.Read(example, "trial.yaml");
            Assert.Empty(problems.Where(p => p.Severity > Severity.Note).Select(p => p.ToString()));
            Assert.NotEmpty(document!.Takes);
        }
    }
}
