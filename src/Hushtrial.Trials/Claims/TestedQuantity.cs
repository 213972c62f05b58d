using Hushtrial.Hearing.Claims;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;
using static System.FormattableString;

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

    /// <summary>Posterior in one band in the general scope, with what the band leaves open at the claimed frequency; null when the readings cannot say, or the noise is a tone elsewhere.</summary>
    public MeasuredLoss? At(Band band, double? hertz) => hertz is { } f ? Point(band, f).Loss : Posterior(effects.Of(band));

    /// <summary>The quantity at one frequency (method 4a): the band, the band at its tone, or the noise near the frequency with tones left out.</summary>
    /// <remarks>Where the loss changes by 1 dB or more over the band and no narrow-band look was possible, the band's energy may sit anywhere in it: the slope times the
    /// distance to the claimed frequency, over a band of a third of an octave, is added. Own rule, after <see cref="PointOfClaim"/>.</remarks>
    public ClaimPoint Point(Band band, double hertz)
    {
        var claimed = Frequency.FromHertz(hertz);
        var (posterior, effect) = (Posterior(effects.Of(band)), EffectIn(band));
        var width = 1.0 / (int)band.Fraction;
        var slope = Slope(band) / width;
        var look = band.Fraction == BandFraction.ThirdOctave ? effects.Tones.GetValueOrDefault(hertz) : null;
        var choice = PointOfClaim.Choose(new(claimed, look is null ? band.ExactMidband : Frequency.FromHertz(look.CentroidHertz), look?.ToneHertz is { } t ? Frequency.FromHertz(t) : null,
            LevelDifference.FromDecibels(look?.ToneExcess ?? 0), LevelDifference.FromDecibels(slope)));
        switch (choice.Source)
        {
            case PointSource.Band:
                return new(choice.Source, posterior, effect, hertz, null);
            case PointSource.BandAtTone:
                return new(choice.Source, posterior?.Widened(choice.AddedUncertainty), effect, choice.At.Hertz, Invariant(
                    $"In the open noise the band is a tone at {choice.At.Hertz:0.#} Hz, {look!.ToneExcess:0} dB above the rest of it: the figure holds at that frequency, with {choice.AddedUncertainty.Decibels:0.0} dB added for the distance to {hertz:0.#} Hz."));
            case PointSource.NotMeasured:
                return new(choice.Source, null, effect, choice.At.Hertz, Invariant($"not measured at {hertz:0.#} Hz: the open noise of that band is a tone at {choice.At.Hertz:0.#} Hz, {look!.ToneExcess:0} dB above the rest."));
            default:
                if (effects.Near(hertz) is { } near && Posterior(near) is { } noise)
                    return new(choice.Source, noise, near.Of(_contrast), hertz, Invariant($"Measured in the noise within a twelfth of an octave of {hertz:0.#} Hz, tones left out, because the figure changes by {Math.Abs(slope * width):0.0} dB over the band."));
                var distance = Math.Log2(hertz / band.ExactMidband.Hertz);
                return new(choice.Source, posterior?.Widened(LevelDifference.FromDecibels(Math.Abs(slope) * Math.Sqrt((distance * distance) + (width * width / 12)))), effect, band.ExactMidband.Hertz, null);
        }
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

/// <summary>The tested quantity at one frequency.</summary>
/// <param name="Source">Which measured value speaks for it.</param>
/// <param name="Loss">Its posterior; null when it was not measured there or the readings cannot say.</param>
/// <param name="Effect">The measured value, both scopes.</param>
/// <param name="AtHertz">The frequency it holds at, Hz.</param>
/// <param name="Words">What a reader should know of it; null for the plain band.</param>
internal sealed record ClaimPoint(PointSource Source, MeasuredLoss? Loss, Effect Effect, double AtHertz, string? Words);
