using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Summary;

/// <summary>Which bands of which condition can be trusted, and why not.</summary>
/// <param name="table">The readings with what the own noise did.</param>
/// <param name="document">The trial.</param>
/// <param name="lossy">Whether a take comes from a file that a lossy codec made.</param>
internal sealed class BandTrust(ReadingTable table, TrialDocument document, bool lossy)
{
    private readonly double? _lowest = document.Channels.Where(c => !c.Outside).Max(c => c.LowestValidHertz);

    /// <summary>Judges the loss of a condition in a band.</summary>
    /// <returns>Whether it is valid; the reason, or what was corrected; whether it is a lower bound only.</returns>
    public (bool Valid, string? Reason, bool LowerBoundOnly) Loss(string condition, Band band)
    {
        if (lossy) return (false, "a lossy file lowers or removes weak bands", false);
        if (band.UpperEdge.Hertz <= _lowest) return (false, "below the lowest frequency stated for the microphone", false);
        var open = table.NoiseEffects.GetValueOrDefault((TrialDocument.OpenEar, band)).Effect;
        if (open == OwnNoiseEffect.Reached) return (false, "the microphone's own noise covers the open ear's level", false);
        return table.NoiseEffects.GetValueOrDefault((condition, band)).Effect switch
        {
            OwnNoiseEffect.Reached => (false, "the microphone's own noise was reached: the loss is at least this", true),
            OwnNoiseEffect.Corrected => (true, "own noise taken off", false),
            _ => (true, null, false),
        };
    }

    /// <summary>Judges the level of a condition, or of the open ear, in a band.</summary>
    public (bool Valid, string? Reason) Level(string condition, Band band)
    {
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
