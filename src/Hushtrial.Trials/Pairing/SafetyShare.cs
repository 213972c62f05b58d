using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Pairing;

/// <summary>One gain between a main and a safety track, and how far the mean reading of every condition, or of the open ear, moves with it.</summary>
/// <param name="StandardUncertainty">Of the gain, dB.</param>
/// <param name="Shares">dB per dB by condition; a condition that no safety track was needed for is absent.</param>
public sealed record SafetyShare(double StandardUncertainty, IReadOnlyDictionary<string, double> Shares)
{
    /// <summary>The gains behind the readings of a trial: one for each channel of each recording in which it was measured, one for each channel where it is only stated.</summary>
    /// <remarks>The gain is the same in every take that shares it: where open and covered takes were all read from the safety track it cancels in a loss, where only
    /// the loud open ear was it does not. A reading is the mean of its ears; with an outside channel its level is taken off.</remarks>
    /// <param name="takes">The takes as measured.</param>
    /// <param name="design">The trial's design.</param>
    public static IReadOnlyList<SafetyShare> Of(IReadOnlyList<TakeLevels> takes, TrialDesign design)
    {
        var used = takes.Where(t => t.Used).ToList();
        var count = used.CountBy(t => t.Entry.Condition, StringComparer.Ordinal).ToDictionary(c => c.Key, c => c.Value, StringComparer.Ordinal);
        double Weight(TakeLevels take, string channel) => take.Ears.Any(e => e.Channel == channel) ? 1.0 / take.Ears.Count : design == TrialDesign.OutsideChannel ? -1 : 0;
        return [.. used.SelectMany(t => t.Safety.Select(s => (Take: t, Read: s))).GroupBy(s => (s.Read.Recording, s.Read.Channel)).Select(gain => new SafetyShare(gain.First().Read.StandardUncertainty,
            gain.GroupBy(g => g.Take.Entry.Condition, StringComparer.Ordinal).ToDictionary(c => c.Key, c => c.Sum(g => Weight(g.Take, g.Read.Channel)) / count[c.Key], StringComparer.Ordinal)))];
    }
}
