using Hushtrial.Quantities;
using Hushtrial.Tests;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

public sealed class TrialDocumentTemplateTests
{
    [Fact]
    public void The_template_is_read_with_one_note_for_every_place_to_fill_in()
    {
        var text = TrialDocumentTemplate.Text();
        var (document, problems) = TrialDocumentReader.Read(text, "trial.yaml");
        Assert.NotNull(document);
        Assert.All(problems, p => Assert.Equal(("DOC-089", Severity.Note), (p.Code, p.Severity)));
        Assert.Equal(text.Split(": " + TrialDocumentTemplate.FillIn).Length - 1, problems.Count);
        Assert.Equal(5, problems.Count);
    }

    [Fact]
    public void The_filled_in_template_is_read_without_any_problem() =>
        Assert.Empty(TrialDocumentReader.Read(TrialDocumentTemplate.Text().Replace(TrialDocumentTemplate.FillIn, "something", StringComparison.Ordinal), "trial.yaml").Problems);

    [Fact]
    public void The_template_and_the_corpus_show_every_field()
    {
        using var schema = System.Text.Json.JsonDocument.Parse(File.ReadAllText(Path.Combine(Reference.Root, "docs", "trial-document.schema.json")));
        var keys = SchemaKeys(schema.RootElement).Distinct(StringComparer.Ordinal).ToList();
        Assert.InRange(keys.Count, 150, 400);
        var template = Words(TrialDocumentTemplate.Text());
        var everything = Words(Corpus.Text("good.everything.yaml")).Union(Words(Corpus.Text("good.readings-only.yaml"))).Union(Words(Corpus.Text("good.files-that-belong-together.yaml"))).ToHashSet(StringComparer.Ordinal);
        Assert.All(keys, k => Assert.Contains(k, template));
        Assert.All(keys, k => Assert.Contains(k, everything));
    }

    private static HashSet<string> Words(string text) => [.. text.Split([' ', ':', '\n', '#', ',', '{', '}'], StringSplitOptions.RemoveEmptyEntries)];

    private static IEnumerable<string> SchemaKeys(System.Text.Json.JsonElement element)
    {
        if (element.ValueKind == System.Text.Json.JsonValueKind.Array) return element.EnumerateArray().SelectMany(SchemaKeys);
        if (element.ValueKind != System.Text.Json.JsonValueKind.Object) return [];
        var own = element.TryGetProperty("properties", out var properties) && properties.ValueKind == System.Text.Json.JsonValueKind.Object ? properties.EnumerateObject().Select(p => p.Name) : [];
        return own.Concat(element.EnumerateObject().SelectMany(p => SchemaKeys(p.Value)));
    }
}
