using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Claims;

/// <summary>Every published figure of a trial's devices, held against what was measured (method, section 4).</summary>
public static class TrialClaims
{
    /// <summary>The outcomes, device by device: claims first, then octave data and labelled numbers.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="effects">Its fits; claims are judged by the posterior of the general scope.</param>
    /// <param name="conditions">The conditions as measured, with the trust in their bands.</param>
    /// <param name="noise">The noise at the open ear; only its shape counts.</param>
    public static IReadOnlyList<ClaimResult> Of(TrialDocument document, TrialEffects effects, IReadOnlyList<ConditionResult> conditions, OpenNoise noise)
    {
        var claims = new ClaimTests(document, effects, conditions, noise);
        var figures = new ManyWearersFigures(effects, conditions, noise);
        return [.. document.Devices.SelectMany(d => claims.Of(d).Concat(document.Quantity == MeasuredQuantity.InsertionLoss ? figures.Of(d) : []))];
    }
}
