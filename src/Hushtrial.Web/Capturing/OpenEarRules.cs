using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Leading;
using Hushtrial.Trials.Planning;

namespace Hushtrial.Web.Capturing;

/// <summary>What a trial says of the dose of its open ear: level, rule set and share, as kept by its plan.</summary>
internal static class OpenEarRules
{
    /// <summary>What the bare ear has had.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="measured">A-weighted level at the open ear as measured now, dB; null when it was not, or is not calibrated: the louder of <paramref name="before"/> and the stated one counts.</param>
    /// <param name="before">The same of earlier takes; null without any.</param>
    /// <param name="bare">Time without protection.</param>
    public static OpenEarSoFar Of(TrialDocument document, double? measured, double? before, TimeSpan bare)
    {
        var level = measured ?? new[] { before, KeptOrder.Number(document, "open_level_a") }.Max();
        var rules = (KeptOrder.Told(document, "open_rules") ?? document.Exposure.FirstOrDefault(e => e.Key == "rules").Value)?.Split(',', ' ')[0];
        return new(RuleSets.Find(rules ?? "") ?? RuleSets.Find("niosh")!, level is { } l ? Level.FromDecibels(Math.Clamp(l, 0, 200)) : null, bare,
            KeptOrder.Number(document, "open_share_percent") ?? OpenEarDose.UsualAllowedPercent);
    }
}
