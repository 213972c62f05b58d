using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;

namespace Hushtrial.Trials.Document;

/// <summary>The layout of the trial document as JSON Schema, for editors that complete and check while one types.</summary>
/// <remarks>Made from the table that the reader binds with. It knows the layout only: whether names resolve, fits are single and
/// designs make sense is for the reader to say.</remarks>
public static class TrialDocumentSchema
{
    private static readonly JsonSerializerOptions _options = new() { WriteIndented = true, NewLine = "\n", Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>The schema (JSON Schema 2020-12) as indented JSON with a final line feed; the same on every machine.</summary>
    public static string Text() => Root().ToJsonString(_options) + "\n";

    private static JsonObject Root()
    {
        var root = new JsonObject { ["$schema"] = "https://json-schema.org/draft/2020-12/schema", ["title"] = "Trial document", ["description"] = "A trial of headsets or hearing protectors in real noise, version 1 of the layout." };
        foreach (var (key, value) in Of(DocumentShape.Root)) root[key] = value?.DeepClone();
        root["$defs"] = new JsonObject
        {
            ["text"] = new JsonObject { ["type"] = Types("string", "number", "boolean", "null"), ["maxLength"] = TextShape.MostCharacters },
            ["name"] = new JsonObject { ["type"] = Types("string", "number"), ["pattern"] = ScalarReading.IdentityPattern, ["maxLength"] = IdentityShape.MostCharacters },
            ["time"] = new JsonObject
            {
                ["anyOf"] = new JsonArray(new JsonObject { ["type"] = "number", ["minimum"] = 0, ["maximum"] = SpanShape.MostHours * 3600 },
                    new JsonObject { ["type"] = "string", ["pattern"] = ScalarReading.SpanPattern }),
            },
            ["clock"] = new JsonObject { ["type"] = "string", ["pattern"] = ScalarReading.ClockPattern },
            ["date"] = new JsonObject { ["type"] = "string", ["pattern"] = ScalarReading.DatePattern },
        };
        return root;
    }

    private static JsonObject Of(Shape shape) => shape switch
    {
        TextShape => Ref("text"),
        WordShape words => new JsonObject { ["enum"] = new JsonArray([.. words.Words.Select(w => (JsonNode)w)]) },
        WordsShape words => new JsonObject
        {
            ["anyOf"] = new JsonArray(new JsonObject { ["type"] = "string", ["pattern"] = $"^ *({string.Join('|', words.Words)})( *, *({string.Join('|', words.Words)}))* *$" },
                new JsonObject { ["type"] = "array", ["items"] = new JsonObject { ["enum"] = new JsonArray([.. words.Words.Select(w => (JsonNode)w)]) } }),
        },
        NumberShape number => new JsonObject { ["type"] = number.Whole ? "integer" : "number", ["minimum"] = number.Least, ["maximum"] = number.Most },
        YesNoShape => new JsonObject { ["enum"] = new JsonArray("yes", "no", true, false) },
        SpanShape => Ref("time"),
        ClockShape => Ref("clock"),
        DateShape => Ref("date"),
        FileNameShape => FileName(),
        FileNamesShape => FileNames(),
        ChannelFilesShape => new JsonObject
        {
            ["type"] = "object",
            ["propertyNames"] = new JsonObject { ["pattern"] = "^[1-9][0-9]*$" },
            ["additionalProperties"] = FileNames(),
        },
        IdentityShape or ReferenceShape or ModeShape => Ref("name"),
        PatternShape pattern => new JsonObject { ["type"] = "string", ["pattern"] = pattern.Pattern },
        ColumnsShape => new JsonObject
        {
            ["type"] = "object",
            ["propertyNames"] = new JsonObject { ["pattern"] = "^[1-9][0-9]*$" },
            ["additionalProperties"] = new JsonObject { ["type"] = "string", ["pattern"] = ColumnRole.Pattern },
        },
        BandsShape bands => Bands(bands),
        TextsShape => new JsonObject { ["anyOf"] = new JsonArray(Ref("text"), new JsonObject { ["type"] = "array", ["items"] = Ref("text") }) },
        PairsShape => new JsonObject
        {
            ["anyOf"] = new JsonArray(new JsonObject { ["const"] = "all" },
                new JsonObject { ["type"] = "array", ["minItems"] = 1, ["items"] = new JsonObject { ["type"] = "array", ["items"] = Ref("name"), ["minItems"] = 2, ["maxItems"] = 2 } }),
        },
        OwnWordsShape => new JsonObject { ["type"] = "object", ["additionalProperties"] = Ref("text") },
        ListShape list => new JsonObject { ["type"] = "array", ["minItems"] = list.Least, ["items"] = Of(list.Entry) },
        MapShape map => Map(map),
        _ => throw new ArgumentOutOfRangeException(nameof(shape), shape, "This shape has no schema."),
    };

    private static JsonObject FileName() => new() { ["type"] = "string", ["pattern"] = "^[^\\\\/:~][^\\\\:]*$", ["maxLength"] = 200 };

    private static JsonObject FileNames() => new() { ["anyOf"] = new JsonArray(FileName(), new JsonObject { ["type"] = "array", ["items"] = FileName(), ["minItems"] = 1 }) };

    private static JsonObject Map(MapShape map)
    {
        var properties = new JsonObject();
        foreach (var field in map.Fields) properties[field.Key] = Of(field);
        return new JsonObject
        {
            ["type"] = "object",
            ["properties"] = properties,
            ["required"] = new JsonArray([.. map.Fields.Where(f => f.Required).Select(f => (JsonNode)f.Key)]),
            ["additionalProperties"] = false,
        };
    }

    /// <summary>A key with its meaning. What need not be there may be empty: that is how a form is left unfilled.</summary>
    private static JsonObject Of(Field field)
    {
        var schema = Of(field.Shape);
        var result = field.Required || field.Shape is TextShape ? schema : new JsonObject { ["anyOf"] = new JsonArray(schema, new JsonObject { ["type"] = "null" }) };
        if (field is { Required: true, Shape: TextShape }) result["not"] = new JsonObject { ["type"] = "null" };
        result["description"] = DocumentMeaning.Of(field);
        return result;
    }

    private static JsonObject Bands(BandsShape bands)
    {
        JsonNode value = new JsonObject { ["type"] = "number", ["minimum"] = bands.Least, ["maximum"] = bands.Most };
        return new JsonObject
        {
            ["type"] = "object",
            ["propertyNames"] = new JsonObject { ["pattern"] = "^[0-9]+(\\.[0-9]+)?$" },
            ["additionalProperties"] = !bands.WithDeviation ? value : new JsonObject
            {
                ["anyOf"] = new JsonArray(value, new JsonObject { ["type"] = "array", ["items"] = new JsonObject { ["type"] = "number" }, ["minItems"] = 2, ["maxItems"] = 2 }),
            },
        };
    }

    private static JsonObject Ref(string name) => new() { ["$ref"] = $"#/$defs/{name}" };

    private static JsonArray Types(params string[] types) => new([.. types.Select(t => (JsonNode)t)]);
}
