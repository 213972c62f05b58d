using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Summary;

/// <summary>Which bands of which condition can be trusted, and why not.</summary>
/// <param name="table">The readings with what the own noise did.</param>
/// <param name="document">The trial.</param>
/// <param name="lossy">Whether a take comes from a file that a lossy codec made.</param>
/// <param name="automatic">Whether automatic gain or a limiter was found in a take that is used.</param>
/// <param name="moved">Tones that moved between takes.</param>
internal sealed class BandTrust(ReadingTable table, TrialDocument document, bool lossy, bool automatic, MovedTones moved)
{
    private readonly double? _lowest = document.Channels.Where(c => !c.Outside).Max(c => c.LowestValidHertz);

    /// <summary>Judges the loss, or the active part, of a condition in a band by what fits say of it.</summary>
    /// <param name="fits">The fits.</param>
    /// <param name="condition">The condition.</param>
    /// <param name="partner">For an active part beside a trial of another quantity: the condition with the electronics off.</param>
    /// <param name="band">The band.</param>
    /// <returns>Whether it is valid; the reason, or what was corrected; whether it is a lower bound only.</returns>
    public (bool Valid, string? Reason, bool LowerBoundOnly) Loss(TrialEffects fits, string condition, string? partner, Band band)
    {
        var judged = partner is null ? Loss(condition, band) : ActivePart(condition, partner, band);
        var off = partner ?? (document.Quantity == MeasuredQuantity.ActivePart ? ActivePartners.Of(document)[condition] : null);
        return judged.Valid && moved.WhyNot(fits, condition, off, band) is { } why ? (false, why, false) : judged;
    }

    /// <summary>Judges the loss of a condition in a band.</summary>
    /// <returns>Whether it is valid; the reason, or what was corrected; whether it is a lower bound only.</returns>
    private (bool Valid, string? Reason, bool LowerBoundOnly) Loss(string condition, Band band)
    {
        if (automatic) return (false, "automatic gain or a limiter was at work", false);
        if (lossy) return (false, "a lossy file lowers or removes weak bands", false);
        if (band.UpperEdge.Hertz <= _lowest) return (false, "below the lowest frequency stated for the microphone", false);
        if (document.Quantity == MeasuredQuantity.ActivePart) return ActivePart(condition, ActivePartners.Of(document)[condition], band);
        // The reference of a level difference is the outside microphone.
        var open = document.Quantity == MeasuredQuantity.LevelDifference ? OwnNoiseEffect.None : table.NoiseEffects.GetValueOrDefault((TrialDocument.OpenEar, band)).Effect;
        if (open == OwnNoiseEffect.Reached) return (false, "the microphone's own noise covers the open ear's level", false);
        return table.NoiseEffects.GetValueOrDefault((condition, band)).Effect switch
        {
            OwnNoiseEffect.Reached => (false, "the microphone's own noise was reached: the loss is at least this", true),
            OwnNoiseEffect.Corrected => (true, "own noise taken off", false),
            _ => (true, null, false),
        };
    }

    /// <summary>Judges the active part of a condition in a band.</summary>
    /// <param name="on">The condition with the electronics on.</param>
    /// <param name="off">The one with them off.</param>
    /// <param name="band">The band.</param>
    private (bool Valid, string? Reason, bool LowerBoundOnly) ActivePart(string on, string off, Band band)
    {
        var (valid, reason) = Level(off, band);
        if (!valid) return (false, table.NoiseEffects.GetValueOrDefault((off, band)).Effect == OwnNoiseEffect.Reached ? "the microphone's own noise was reached with the electronics off" : reason, false);
        var level = Level(on, band);
        return level.Valid ? (true, level.Reason ?? reason, false) : (false, "the microphone's own noise was reached: the active part is at least this", true);
    }

    /// <summary>The same with whether the level is at most what is given, because the own noise was reached.</summary>
    public (bool Valid, string? Reason, bool AtMost) OfLevel(string condition, Band band)
    {
        var (valid, reason) = Level(condition, band);
        var bounded = !valid && !lossy && !(band.UpperEdge.Hertz <= _lowest);
        return (valid, reason, bounded);
    }

    /// <summary>Judges the level of a condition, or of the open ear, in a band.</summary>
    public (bool Valid, string? Reason) Level(string condition, Band band)
    {
        if (automatic) return (false, "automatic gain or a limiter was at work");
        if (lossy) return (false, "a lossy file lowers or removes weak bands");
        if (band.UpperEdge.Hertz <= _lowest) return (false, "below the lowest frequency stated for the microphone");
        return table.NoiseEffects.GetValueOrDefault((condition, band)).Effect switch
        {
            OwnNoiseEffect.Reached => (false, "the microphone's own noise was reached: the level is at most this"),
            OwnNoiseEffect.Corrected => (true, "own noise taken off"),
            _ => (true, null),
        };
    }
}
