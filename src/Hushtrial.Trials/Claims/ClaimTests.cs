using Hushtrial.Hearing.Claims;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;
using static System.FormattableString;

namespace Hushtrial.Trials.Claims;

/// <summary>Tests claims such as 'at least 20 dB', 'up to 30 dB', '15 dB of active reduction at 125 Hz' on the conditions they speak of.</summary>
internal sealed class ClaimTests(TrialDocument document, TrialEffects effects, IReadOnlyList<ConditionResult> conditions, OpenNoise noise)
{
    // Common practice for cups, no source: above about 1 kHz electronics cannot act.
    private static readonly Frequency _activeUpTo = Frequency.FromHertz(1000);
    private static readonly LevelDifference _allowance = ClaimOutcome.UsualAllowance;

    /// <summary>The claims of one device on every condition they speak of.</summary>
    public IEnumerable<ClaimResult> Of(Device device)
    {
        foreach (var claim in device.Published?.Claims ?? [])
        {
            var active = claim.Part == "active";
            var tested = conditions.Where(c => !c.Predicted && c.Device.Id == device.Id && (claim.Condition is null ? !active || c.Condition.Mode != "passive" : c.Condition.Id == claim.Condition)).ToList();
            foreach (var condition in tested)
            {
                var result = active ? OfActivePart(claim, condition) : Test(claim, condition, null);
                yield return claim.Condition is null && tested.Count > 1
                    ? result with { Remarks = [.. result.Remarks, "The claim does not say for which of the device’s conditions it holds; each is tested."] } : result;
            }
        }
    }

    private ClaimResult OfActivePart(PublishedClaim claim, ConditionResult on)
    {
        var off = conditions.FirstOrDefault(c => !c.Predicted && c.Device.Id == on.Device.Id && c.Condition.Mode == "passive" && c.Condition.WornWith.ToHashSet(StringComparer.Ordinal).SetEquals(on.Condition.WornWith));
        if (on.Condition.Mode == "passive" || off is null)
            return Untested(claim, on, "it needs the same device with its electronics on and off, worn alike, in one trial.");
        return Test(claim, on, off);
    }

    private ClaimResult Test(PublishedClaim claim, ConditionResult on, ConditionResult? off)
    {
        if (off is null && document.Quantity != MeasuredQuantity.InsertionLoss)
            return Untested(claim, on, document.Quantity == MeasuredQuantity.LevelDifference
                ? "the claim speaks of a reduction at the ear, and this trial measured level differences between two microphones: the two are not comparable. An insertion loss needs the open ear."
                : "the claim speaks of the whole reduction, and this trial measured the active part alone: the two are not comparable.");
        // The fits of the active part have the donning's seal taken away.
        var paired = off is not null && effects.ActiveParts is { } active && active.A.Conditions.Contains(on.Condition.Id) ? active : effects;
        var quantity = new TestedQuantity(paired, on, document.Quantity == MeasuredQuantity.ActivePart ? null : off);
        var claimed = LevelDifference.FromDecibels(claim.Value);
        Band? band = claim.Hertz is { } hertz ? TestedQuantity.BandThatHolds(effects, hertz) : null;
        if (claim.Hertz is { } f && band is null) return Untested(claim, on, Invariant($"no band that holds {f:0.#} Hz was measured."));
        var result = claim.Kind switch
        {
            "up-to" => UpTo(claim, on, quantity, band, claimed),
            "mean" => One(claim, on, quantity, band, PublishedFigureKind.Mean, m => ClaimCheck.Mean(m, claimed, _allowance)),
            _ => One(claim, on, quantity, band, PublishedFigureKind.AtLeast, m => ClaimCheck.AtLeast(m, claimed, _allowance)),
        };
        return result with { Translation = claim.Hertz is { } at ? [.. Translation(claimed, at, off)] : [], Remarks = [.. result.Remarks, .. Remarks(quantity, claim, off)] };
    }

    private ClaimResult One(PublishedClaim claim, ConditionResult on, TestedQuantity quantity, Band? band, PublishedFigureKind kind, Func<MeasuredLoss, ClaimOutcome> check)
    {
        var bound = band is { } b0 && quantity.IsBound(b0);
        if (band is { } b1 && !bound && !quantity.IsTrusted(b1)) return Untested(claim, on, Invariant($"in the band at {b1}: {quantity.WhyNot(b1)}."));
        var point = band is { } b2 && claim.Hertz is { } f ? quantity.Point(b2, f) : null;
        if (point?.Source == PointSource.NotMeasured) return Untested(claim, on, point.Words!) with { Band = band, Point = point.Source, AtHertz = point.AtHertz };
        var effect = point?.Effect ?? quantity.EffectA;
        var measured = point is null ? quantity.A : point.Loss;
        if (measured is null) return Untested(claim, on, (effect.Reason ?? "the readings cannot say") + ".");
        var outcome = check(measured);
        if (bound && !(kind == PublishedFigureKind.AtLeast && outcome.Verdict == ClaimVerdict.Supported))
            return Untested(claim, on, Invariant($"in the band at {band} the microphone’s own noise was reached: the loss is at least {measured.Mean.Decibels:0.0} dB.")) with { Band = band };
        return Result(claim, on, kind, band, effect, outcome) with { Point = point?.Source, AtHertz = point?.AtHertz, Remarks = point?.Words is { } words ? [words] : [] };
    }

    private ClaimResult UpTo(PublishedClaim claim, ConditionResult on, TestedQuantity quantity, Band? band, LevelDifference claimed)
    {
        var bands = quantity.TrustedBands().Where(b => band is null || b.Band == band).Select(b => band is null ? b : (b.Band, Loss: quantity.At(b.Band, claim.Hertz)!)).ToList();
        if (bands.Count == 0) return Untested(claim, on, "‘up to’ speaks of the best frequency, and no band can be trusted.");
        var outcome = ClaimCheck.UpTo(bands, claimed, _allowance);
        var best = outcome.ReachedAt ?? bands.MaxBy(b => b.Loss.Mean.Decibels).Band;
        var untrusted = band is null ? on.Loss.Bands.Count - bands.Count : 0;
        // The promised band may be one of those that could not be measured.
        if (outcome.Verdict == ClaimVerdict.Contradicted && untrusted > 0)
            outcome = outcome with
            {
                Verdict = ClaimVerdict.Unresolved,
                Sentence = Invariant($"Not resolved: no trusted band reaches the claimed {claimed.Decibels:0.#} dB less {_allowance.Decibels:0.#} dB allowance, but {untrusted} bands could not be measured."),
            };
        return Result(claim, on, PublishedFigureKind.UpTo, best, quantity.EffectIn(best), outcome) with { ReachedAt = outcome.ReachedAt };
    }

    private IEnumerable<ClaimRange> Translation(LevelDifference claimed, double hertz, ConditionResult? off)
    {
        if (document.Quantity != MeasuredQuantity.InsertionLoss || noise.Bands is not { } spectrum || !spectrum.Bands.Any(b => hertz >= b.LowerEdge.Hertz && hertz < b.UpperEdge.Hertz)) yield break;
        var at = Frequency.FromHertz(hertz);
        foreach (var weighting in new[] { FrequencyWeighting.A, FrequencyWeighting.C })
            yield return off is null ? ClaimTranslation.Of(spectrum, claimed, at, weighting)
                : ClaimTranslation.OfActivePart(spectrum, Losses(off), claimed, at, _activeUpTo, weighting);
    }

    private static Dictionary<Band, LevelDifference> Losses(ConditionResult condition) => condition.Loss.Bands.Where(b => b.Effect.General is not null && (b.Valid || b.LowerBoundOnly))
        .ToDictionary(b => b.Band, b => LevelDifference.FromDecibels(b.Effect.General!.Value));

    private IEnumerable<string> Remarks(TestedQuantity quantity, PublishedClaim claim, ConditionResult? off)
    {
        // A figure at one frequency leaves open what the whole noise loses: that was measured as well.
        if ((claim.Hertz is not null || claim.Kind == "up-to") && quantity.EffectA.In(document.Scope) is { } a)
            yield return Invariant($"A-weighted, over the whole noise, {(off is null ? "the loss" : "what the electronics add")} was measured as {a.Value:0.0} dB (95 %: {a.Low:0.0} to {a.High:0.0} dB).");
        if (!quantity.SameDonning) yield return "On and off were never measured in one donning, so the seal’s scatter does not cancel.";
    }

    private static ClaimResult Result(PublishedClaim claim, ConditionResult on, PublishedFigureKind kind, Band? band, Effect effect, ClaimOutcome outcome) =>
        new(on.Condition.Id, on.Name, on.Device, kind, WordsOf(claim), claim.Value, band, claim.Part == "active", effect, null, outcome.Verdict, outcome.Probability, outcome.Sentence)
        {
            Allowance = _allowance.Decibels,
            Comparability = Comparability.Of(claim.Part == "active" ? PublishedKind.ActivePart : claim.Hertz is not null || kind == PublishedFigureKind.UpTo ? PublishedKind.OneFrequency : PublishedKind.MicrophoneOctaves),
        };

    private static ClaimResult Untested(PublishedClaim claim, ConditionResult on, string why) => new(on.Condition.Id, on.Name, on.Device,
        claim.Kind switch { "up-to" => PublishedFigureKind.UpTo, "mean" => PublishedFigureKind.Mean, _ => PublishedFigureKind.AtLeast },
        WordsOf(claim), claim.Value, null, claim.Part == "active", null, null, ClaimVerdict.Unresolved, null, "Not tested: " + why) { Allowance = _allowance.Decibels };

    /// <summary>The claim as published, or put into words.</summary>
    private static string WordsOf(PublishedClaim claim) => claim.Words ?? (claim.Kind switch { "up-to" => "up to ", "mean" => "", _ => "at least " })
        + Invariant($"{claim.Value:0.#} dB") + (claim.Part == "active" ? " by the electronics" : "") + (claim.Hertz is { } f ? Invariant($" at {f:0.#} Hz") : "")
        + (claim.Kind == "mean" ? " on average" : "");
}
