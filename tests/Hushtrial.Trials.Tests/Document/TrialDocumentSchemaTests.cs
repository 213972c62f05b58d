using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Hushtrial.Trials.Document;
using Json.Schema;
using YamlDotNet.RepresentationModel;

namespace Hushtrial.Trials.Tests.Document;

/// <summary>The published schema is the one the reader binds with, and an independent validator (JsonSchema.Net) agrees about the corpus.</summary>
public sealed class TrialDocumentSchemaTests
{
    private static readonly JsonSchema _schema = JsonSchema.FromText(TrialDocumentSchema.Text());

    /// <summary>Faults of the layout that a schema can see.</summary>
    private static readonly string[] _layoutCodes =
        ["DOC-010", "DOC-012", "DOC-013", "DOC-015", "DOC-020", "DOC-021", "DOC-022", "DOC-024", "DOC-025", "DOC-026", "DOC-027", "DOC-028", "DOC-029", "DOC-032", "DOC-033", "DOC-035"];

    public static TheoryData<string> Good => [.. Corpus.Names("good")];

    public static TheoryData<string> BadLayouts => [.. Corpus.Names("bad").Where(n => Corpus.Read(n).Problems is { Count: 1 } p && _layoutCodes.Contains(p[0].Code))];

    [Fact]
    public void The_published_schema_is_the_one_of_the_reader() =>
        Corpus.AssertPinned("docs/trial-document.schema.json", TrialDocumentSchema.Text());

    [Theory, MemberData(nameof(Good))]
    public void Good_documents_agree_with_the_schema(string name) => Assert.True(IsValid(Corpus.Text(name)));

    [Fact]
    public void The_template_and_the_writer_agree_with_the_schema()
    {
        Assert.True(IsValid(TrialDocumentTemplate.Text()));
        Assert.True(IsValid(TrialDocumentWriter.Write(Corpus.Read("good.everything.yaml").Document!)));
    }

    [Fact]
    public void There_are_layout_faults_of_every_kind() => Assert.InRange(BadLayouts.Count, _layoutCodes.Length, 60);

    [Theory, MemberData(nameof(BadLayouts))]
    public void Bad_layouts_do_not(string name) => Assert.False(IsValid(Corpus.Text(name)));

    private static bool IsValid(string yaml)
    {
        var stream = new YamlStream();
        stream.Load(new StringReader(yaml));
        using var json = JsonDocument.Parse((Json(stream.Documents[0].RootNode) ?? JsonValue.Create(0)).ToJsonString());
        return _schema.Evaluate(json.RootElement).IsValid;
    }

    /// <summary>YAML 1.2 core types, as editors resolve them.</summary>
    private static JsonNode? Json(YamlNode node) => node switch
    {
        YamlMappingNode map => new JsonObject(map.Children.Select(c => new KeyValuePair<string, JsonNode?>(((YamlScalarNode)c.Key).Value!, Json(c.Value)))),
        YamlSequenceNode list => new JsonArray([.. list.Children.Select(Json)]),
        YamlScalarNode { Style: YamlDotNet.Core.ScalarStyle.Plain } s => s.Value switch
        {
            null or "" or "~" or "null" => null,
            "true" or "false" => s.Value == "true",
            var text when double.TryParse(text, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var number) => number,
            var text => text,
        },
        YamlScalarNode s => s.Value,
        _ => throw new ArgumentOutOfRangeException(nameof(node), node, "A node of a kind that documents do not hold."),
    };
}
