using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Web.Work;

/// <summary>What a trial has read at its own open ear.</summary>
internal static class OwnOpenEar
{
    /// <summary>The loudest of its open-ear takes that are used, with the highest peak of all of them; null without one, and where nothing is calibrated.</summary>
    public static GroundNoise? Of(TrialResults? results)
    {
        if (results is not { Mode: TrialMode.Absolute }) return null;
        var loudest = results.Takes.Where(t => t.Used && t.Entry.Condition == TrialDocument.OpenEar && t.Bands.Count > 0).MaxBy(t => t.LevelA ?? double.NegativeInfinity);
        return loudest is null ? null : new(loudest.Entry.Id, true, Spectrum.Of(loudest.Bands.Select(b => KeyValuePair.Create(b.Key, Level.FromDecibels(b.Value)))),
            results.Peaks?.Conditions.FirstOrDefault(c => c.Condition == TrialDocument.OpenEar)?.Highest);
    }

    /// <summary>A-weighted level of the loudest of them, dB.</summary>
    public static double? LevelA(TrialResults? results) => results is not { Mode: TrialMode.Absolute } ? null
        : results.Takes.Where(t => t.Used && t.Entry.Condition == TrialDocument.OpenEar).Max(t => t.LevelA);
}
