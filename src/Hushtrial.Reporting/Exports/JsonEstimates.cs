using System.Text.Json;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>Estimates, numbers and lists as they stand in the JSON object.</summary>
internal static class JsonEstimates
{
    /// <summary>A number rounded to 1e-6; null for none or for a value that is not finite.</summary>
    public static void Number(this Utf8JsonWriter json, string name, double? value)
    {
        if (value is { } v && double.IsFinite(v)) json.WriteNumber(name, Round(v));
        else json.WriteNull(name);
    }

    /// <summary>A text or null.</summary>
    public static void Text(this Utf8JsonWriter json, string name, string? value)
    {
        if (value is null) json.WriteNull(name);
        else json.WriteString(name, value);
    }

    /// <summary>A list.</summary>
    public static void Array<T>(this Utf8JsonWriter json, string name, IEnumerable<T> items, Action<Utf8JsonWriter, T> write)
    {
        json.WriteStartArray(name);
        foreach (var item in items) write(json, item);
        json.WriteEndArray();
    }

    /// <summary>An effect as an object with the leading scope, the other one beside it, and the reason when there is one; null for no effect.</summary>
    public static void Effect(this Utf8JsonWriter json, string name, Effect? effect, EstimateScope scope)
    {
        json.WritePropertyName(name);
        if (effect is null)
        {
            json.WriteNullValue();
            return;
        }
        json.WriteStartObject();
        json.Scopes(effect, scope);
        json.Text("reason", effect.Reason);
        json.WriteEndObject();
    }

    /// <summary>The members of an effect: the leading scope, and the other one in 'other_scope'.</summary>
    public static void Scopes(this Utf8JsonWriter json, Effect effect, EstimateScope scope)
    {
        json.Scope(effect, scope);
        json.WriteStartObject("other_scope");
        json.Scope(effect, Names.Other(scope));
        json.WriteEndObject();
    }

    /// <summary>The members of one estimate.</summary>
    public static void Estimate(this Utf8JsonWriter json, Estimate? estimate)
    {
        json.Number("estimate", estimate?.Value);
        json.Number("low", estimate?.Low);
        json.Number("high", estimate?.High);
        json.Number("standard_uncertainty", estimate?.StandardUncertainty);
        json.Number("df", estimate?.DegreesOfFreedom);
        json.Array("budget", estimate?.Budget ?? [], (w, b) =>
        {
            w.WriteStartObject();
            w.WriteString("source", b.Source);
            w.Number("standard_uncertainty", b.StandardUncertainty);
            w.WriteEndObject();
        });
    }

    private static void Scope(this Utf8JsonWriter json, Effect effect, EstimateScope scope)
    {
        json.Estimate(effect.In(scope));
        json.WriteString("scope", Names.Scope(scope));
    }

    private static double Round(double value)
    {
        var rounded = Math.Round(value, 6);
        return rounded == 0 ? 0 : rounded;
    }
}
