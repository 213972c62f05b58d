using Hushtrial.Hearing.Claims;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Claims;

/// <summary>The measured quantity that a published figure speaks of: the loss of a condition, or what its electronics add in the same donning.</summary>
/// <param name="effects">The fits of the trial.</param>
/// <param name="on">The condition.</param>
/// <param name="off">For the active part: the same device with its electronics off; null for the whole loss.</param>
internal sealed class TestedQuantity(TrialEffects effects, ConditionResult on, ConditionResult? off)
{
    // The donning effect, common to both modes of one donning, cancels in on − off.
    private readonly LevelContrast _contrast = off is null || effects.Settings.Of.Quantity == MeasuredQuantity.ActivePart
        ? LevelContrast.Loss(on.Condition.Id) : LevelContrast.Difference(on.Condition.Id, off.Condition.Id);

    // An A-weighted figure is published for the field: where levels can be referred to it, that is what is held against it.
    private QuantityFit Weighted => effects.FieldA ?? effects.A;

    /// <summary>Whether both modes were ever measured in one donning, so that on minus off is free of the seal; true for the whole loss.</summary>
    public bool SameDonning => off is null || on.FitsDetail.Any(f => off.FitsDetail.Any(o => (o.Fit, o.Run, o.Wearer) == (f.Fit, f.Run, f.Wearer)));

    /// <summary>The A-weighted quantity in both scopes.</summary>
    public Effect EffectA => Weighted.Of(_contrast);

    /// <summary>The quantity in one band, both scopes.</summary>
    public Effect EffectIn(Band band) => effects.Of(band).Of(_contrast);

    /// <summary>Posterior of the A-weighted quantity in the general scope; null when the readings cannot say.</summary>
    public MeasuredLoss? A => Posterior(Weighted);

    /// <summary>Posterior in one band in the general scope, with what the band leaves open at the claimed frequency; null when the readings cannot say.</summary>
    /// <remarks>Where the loss changes by 1 dB or more over the band, the band's energy may sit anywhere in it: the slope times the distance to the claimed
    /// frequency, over a band of a third of an octave, is added. Own rule, after <see cref="PointOfClaim"/>.</remarks>
    public MeasuredLoss? At(Band band, double? hertz)
    {
        if (Posterior(effects.Of(band)) is not { } loss || hertz is not { } f) return Posterior(effects.Of(band));
        var width = 1.0 / (int)band.Fraction;
        var slope = Slope(band) / width;
        if (PointOfClaim.Choose(new(Frequency.FromHertz(f), band.ExactMidband, null, LevelDifference.Zero, LevelDifference.FromDecibels(slope))).Source == PointSource.Band) return loss;
        var distance = Math.Log2(f / band.ExactMidband.Hertz);
        return loss.Widened(LevelDifference.FromDecibels(Math.Abs(slope) * Math.Sqrt((distance * distance) + (width * width / 12))));
    }

    /// <summary>The trusted bands with their posteriors.</summary>
    public IReadOnlyList<(Band Band, MeasuredLoss Loss)> TrustedBands() =>
        [.. on.Loss.Bands.Where(b => IsTrusted(b.Band)).Select(b => (b.Band, Loss: Posterior(effects.Of(b.Band)))).Where(b => b.Loss is not null).Select(b => (b.Band, b.Loss!))];

    /// <summary>Whether a band can be trusted in every condition that enters.</summary>
    public bool IsTrusted(Band band) => Of(on, band) is { Valid: true } && (off is null || Of(off, band) is { Valid: true });

    /// <summary>Whether only a lower bound of the loss is known in a band.</summary>
    public bool IsBound(Band band) => off is null && Of(on, band) is { LowerBoundOnly: true };

    /// <summary>Why a band cannot be trusted, in words.</summary>
    public string WhyNot(Band band) => (Of(on, band) is { Valid: false } b ? b.Reason : off is not null ? Of(off, band)?.Reason : null) ?? "the readings cannot say";

    private static BandEffect? Of(ConditionResult condition, Band band) => condition.Loss.Bands.FirstOrDefault(b => b.Band == band);

    // Change of the quantity over one band, from its neighbours.
    private double Slope(Band band)
    {
        double? Mean(int step) => effects.Bands.Select(b => (Band?)b).FirstOrDefault(b => b!.Value.Fraction == band.Fraction && b.Value.Index == band.Index + step) is { } b
            ? Posterior(effects.Of(b))?.Mean.Decibels : null;
        double? below = Mean(-1), here = Mean(0), above = Mean(1);
        return below is { } l && above is { } h ? (h - l) / 2 : (above - here) ?? (here - below) ?? 0;
    }

    private MeasuredLoss? Posterior(QuantityFit fit) => fit.General?.Along(_contrast) is { } p
        ? MeasuredLoss.Of(LevelDifference.FromDecibels(p.Mean), LevelDifference.FromDecibels(p.Sd), p.Quantile, p.Cdf) : null;

    /// <summary>The band of the trial that holds a frequency, the narrowest one; null when none does.</summary>
    public static Band? BandThatHolds(TrialEffects effects, double hertz) => effects.Bands.Where(b => hertz >= b.LowerEdge.Hertz && hertz < b.UpperEdge.Hertz)
        .OrderByDescending(b => (int)b.Fraction).Select(b => (Band?)b).FirstOrDefault();
}
