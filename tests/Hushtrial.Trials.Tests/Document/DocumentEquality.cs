using System.Text.Json;
using System.Text.Json.Serialization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

/// <summary>A document by its whole content, without the places it was written at.</summary>
internal static class DocumentEquality
{
    private static readonly JsonSerializerOptions _options = new() { IncludeFields = true, WriteIndented = true, Converters = { new BandAsText() } };

    public static string Of(TrialDocument document) => JsonSerializer.Serialize(document with
    {
        Takes = [.. document.Takes.Select(t => t with { Where = "" })],
        Logs = [.. document.Logs.Select(l => l with { Where = "" })],
        Calibrations = [.. document.Calibrations.Select(c => c with { Where = "" })],
    }, _options);

    /// <summary>A band lists its thirds, and a third itself: as an object it would never end.</summary>
    private sealed class BandAsText : JsonConverter<Band>
    {
        public override Band Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => throw new NotSupportedException("Documents are compared, not read.");

        public override void Write(Utf8JsonWriter writer, Band value, JsonSerializerOptions options) => writer.WriteStringValue($"{value.Fraction} {value.Index}");
    }
}
