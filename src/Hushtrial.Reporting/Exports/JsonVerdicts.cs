using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>What goes beyond the verdict of a pair: its bands, and what would change the verdicts.</summary>
internal static class JsonVerdicts
{
    /// <summary>The bands of a pair with the sentence about them, and what alone its conditions differ in.</summary>
    public static void PairBands(this Utf8JsonWriter json, PairResult pair, EstimateScope scope)
    {
        json.Text("only_difference", pair.Only switch { OnlyDifference.WornWith => "worn_with", OnlyDifference.Mode => "mode", _ => null });
        json.Text("only_sentence", pair.OnlySentence);
        json.Text("bands_sentence", pair.BandSentence);
        json.Array("bands", pair.Bands.OrderBy(b => b.Band), (w, b) =>
        {
            w.WriteStartObject();
            w.WriteNumber("midband_hz", b.Band.NominalHertz);
            w.WriteBoolean("octave", b.Band.Fraction == BandFraction.Octave);
            Contrast(w, b.In(scope), scope);
            w.WriteBoolean("valid", b.Valid);
            w.WriteStartObject("other_scope");
            Contrast(w, b.In(Names.Other(scope)), Names.Other(scope));
            w.WriteEndObject();
            w.WriteEndObject();
        });
    }

    /// <summary>The answers under changed sets of readings.</summary>
    public static void Robustness(this Utf8JsonWriter json, RobustnessResult robustness)
    {
        json.WriteStartObject("what_would_change");
        json.WriteString("sentence", robustness.Sentence);
        json.Array("without_fit", robustness.WithoutDonning, (w, a) => Answer(w, "fit", a));
        json.Array("with_excluded_take", robustness.WithExcluded, (w, a) => Answer(w, "take", a));
        json.Array("without_flagged_take", robustness.WithoutFlagged, (w, a) => Answer(w, "take", a));
        json.Array("without_all_flagged", robustness.WithoutAllFlagged is { } all ? new[] { all } : [], (w, a) => Answer(w, "takes", a));
        json.Array("noise_only", robustness.NoiseOnly is { } noise ? new[] { noise } : [], (w, a) => Answer(w, "takes", a));
        json.Array("without_greyed_bands", robustness.WithoutGreyed, (w, a) => Answer(w, "bands", a));
        json.WriteEndObject();
    }

    private static void Contrast(Utf8JsonWriter json, BandContrast? contrast, EstimateScope scope)
    {
        json.Number("estimate", contrast?.Value);
        json.Number("low", contrast?.Low);
        json.Number("high", contrast?.High);
        json.Number("simultaneous_low", contrast?.SimultaneousLow);
        json.Number("simultaneous_high", contrast?.SimultaneousHigh);
        json.WriteString("scope", Names.Scope(scope));
    }

    private static void Answer(Utf8JsonWriter json, string what, ChangedAnswer answer)
    {
        json.WriteStartObject();
        json.WriteString(what, answer.Changed);
        if (answer.Why is { } why) json.WriteString("reason", why);
        json.WriteString("sentence", answer.Sentence);
        json.Array("losses", answer.Losses, (w, l) =>
        {
            w.WriteStartObject();
            w.WriteString("condition", l.Condition);
            w.Number("loss_a", l.Value);
            w.Number("changed", l.Changed);
            w.WriteEndObject();
        });
        json.Array("verdicts", answer.Verdicts, (w, v) =>
        {
            w.WriteStartObject();
            w.WriteString("first", v.First);
            w.WriteString("second", v.Second);
            w.WriteString("verdict", Names.Verdict(v.From));
            w.Text("changed", v.To is { } to ? Names.Verdict(to) : null);
            w.Number("low95", v.Low);
            w.Number("high95", v.High);
            w.WriteEndObject();
        });
        json.WriteEndObject();
    }
}
