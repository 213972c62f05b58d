using Hushtrial.Quantities;
using Hushtrial.Tests;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

public sealed class TrialDocumentReaderTests
{
    private static (TrialDocument? Document, IReadOnlyList<Problem> Problems) Corpus(string name)
    {
        using var file = File.OpenRead(Path.Combine(Reference.Root, "corpus", "trials", name));
        return TrialDocumentReader.Read(file, name);
    }

    [Theory]
    [InlineData("good.minimal.yaml", 4)]
    [InlineData("good.sequential.yaml", 8)]
    [InlineData("good.outside-channel.yaml", 5)]
    [InlineData("good.readings-only.yaml", 10)]
    [InlineData("good.two-wearers.yaml", 8)]
    public void Good_documents_are_read_without_errors_and_warnings(string name, int takes)
    {
        var (document, problems) = Corpus(name);
        Assert.DoesNotContain(problems, p => p.Severity > Severity.Note);
        Assert.Equal(takes, document!.Takes.Count);
    }
}
