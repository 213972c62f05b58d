using System.Text.Json;
using Hushtrial.Quantities;

namespace Hushtrial.Cli;

/// <summary>How a command answers: JSON to standard output with <c>--format json</c>, else text; problems as part of the object or to standard error.</summary>
internal sealed class Answer(Edge edge, bool json)
{
    private static readonly JsonWriterOptions _options = new() { Indented = true, Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>Whether JSON was asked for.</summary>
    public bool Json => json;

    /// <summary>Gives the answer and returns the exit code: 1 when a problem is an error, else 0.</summary>
    /// <param name="problems">Everything found; all of it is shown.</param>
    /// <param name="members">Writes the members of the object after 'hushtrial' and 'problems'.</param>
    /// <param name="text">Writes the text for a person.</param>
    public int Give(IReadOnlyList<Problem> problems, Action<Utf8JsonWriter> members, Action<TextWriter> text)
    {
        if (json)
        {
            using var writer = new Utf8JsonWriter(edge.StandardOutput, _options);
            writer.WriteStartObject();
            WriteHead(writer, problems);
            members(writer);
            writer.WriteEndObject();
            writer.Flush();
            edge.StandardOutput.WriteByte((byte)'\n');
            edge.StandardOutput.Flush();
        }
        else
        {
            text(edge.Out);
            foreach (var problem in problems) edge.Error.WriteLine(problem + (problem.EffectDecibels is { } e ? string.Create(System.Globalization.CultureInfo.InvariantCulture, $" Effect: {e:+0.0;−0.0;0.0} dB.") : ""));
        }
        return problems.Any(p => p.Severity == Severity.Error) ? ExitCode.Problems : ExitCode.Done;
    }

    /// <summary>Writes the two members that every object has.</summary>
    public static void WriteHead(Utf8JsonWriter writer, IReadOnlyList<Problem> problems)
    {
        writer.WriteStartObject("hushtrial");
        writer.WriteString("version", Edge.Version);
        writer.WriteNumber("schema", 1);
        writer.WriteEndObject();
        writer.WriteStartArray("problems");
        foreach (var p in problems)
        {
            writer.WriteStartObject();
            writer.WriteString("code", p.Code);
            writer.WriteString("severity", p.Severity.ToString().ToLowerInvariant());
            writer.WriteString("where", p.Where);
            writer.WriteString("found", p.Found);
            writer.WriteString("expected", p.Expected);
            writer.WriteString("remedy", p.Remedy);
            if (p.EffectDecibels is { } effect) writer.WriteNumber("effect_db", effect);
            else writer.WriteNull("effect_db");
            writer.WriteEndObject();
        }
        writer.WriteEndArray();
    }
}
