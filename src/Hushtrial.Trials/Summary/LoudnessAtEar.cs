using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Summary;

/// <summary>Loudness under every measured condition beside the open ear. Levels are referred to the field where they can be, as the calculation expects; else they
/// are those at the ear microphone, and what the ear itself adds is in both and largely cancels in the ratio.</summary>
internal static class LoudnessAtEar
{
    public static IReadOnlyList<ConditionLoudness> Of(TrialDocument document, IReadOnlyList<ConditionResult> conditions, SpectrumEffect? open, LevelKind kind = LevelKind.AsRead) =>
        // The level that counts takes the place of the one as read.
        [.. conditions.Where(c => !c.Predicted).Select(c => kind == LevelKind.FieldRelated ? c with { EarLevel = c.FieldLevel } : c).Select(c => WhyNot(c, open, document.Scope) is { } why
            ? new ConditionLoudness(c.Condition.Id, c.Name, null, why) : new ConditionLoudness(c.Condition.Id, c.Name, Compare(c, open!, document.Scope), null))];

    private static LoudnessComparison Compare(ConditionResult condition, SpectrumEffect open, EstimateScope scope)
    {
        var halfWidth = condition.Loss.Bands.Where(b => StationaryLoudness.Bands.Contains(b.Band) && b.Effect.In(scope) is not null)
            .ToDictionary(b => b.Band, b => LevelDifference.FromDecibels((b.Effect.In(scope)!.High - b.Effect.In(scope)!.Low) / 2));
        return LoudnessComparison.Between(Levels(open, scope), Levels(condition.EarLevel!, scope), halfWidth, SoundField.Diffuse);
    }

    private static Spectrum Levels(SpectrumEffect effect, EstimateScope scope) =>
        Spectrum.Of(StationaryLoudness.Bands.Select(b => KeyValuePair.Create(b, Level.FromDecibels(effect.Bands.First(e => e.Band == b).Effect.In(scope)!.Value))));

    private static string? WhyNot(ConditionResult condition, SpectrumEffect? open, EstimateScope scope)
    {
        if (open is null) return "the open ear was not measured";
        if (condition.EarLevel is not { } level) return "its level at the ear is not known";
        foreach (var (effect, where) in new[] { (open, "at the open ear"), (level, "under it") })
        {
            var missing = StationaryLoudness.Bands.Where(b => effect.Bands.All(e => e.Band != b)).ToList();
            if (missing.Count == StationaryLoudness.Bands.Count) return "no one-third-octave bands were measured, and the calculation needs those from 25 Hz to 12.5 kHz";
            var untrusted = effect.Bands.Where(e => StationaryLoudness.Bands.Contains(e.Band) && (!e.Valid || e.Effect.In(scope) is null)).Select(e => e.Band).Concat(missing).Order().ToList();
            if (untrusted.Count > 0) return $"{where} {(untrusted.Count == 1 ? "the band" : "the bands")} at {string.Join(", ", untrusted)} {(untrusted.Count == 1 ? "is" : "are")} missing or not trusted, and the calculation needs 25 Hz to 12.5 kHz";
        }

        return null;
    }
}
