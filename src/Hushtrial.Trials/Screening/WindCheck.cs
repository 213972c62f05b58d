using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Wind on a microphone: low frequencies that the other takes of the condition do not have, or that ear and outside do not share.</summary>
/// <remarks>One channel (method): median excess at 25 to 50 Hz above 4 dB and 4 dB above that at 125 to 315 Hz, where a leak would show too; or the take is there
/// 1.5 dB louder than the open ear, which no leak makes. Two
/// channels: mean coherence of 20 to 100 Hz below 0.3 where the other takes of the condition have more than 0.5.</remarks>
internal static class WindCheck
{
    private const double LeastExcess = 4;
    private const double LeastLouder = 1.5;
    private const double LeastCoherence = 0.3;
    private const double UsualCoherence = 0.5;
    private static readonly IReadOnlyList<Band> _low = BandRange.Between(25, 50);
    private static readonly IReadOnlyList<Band> _middle = BandRange.Between(125, 315);

    public static IEnumerable<Finding> Check(ComparedTakes trial)
    {
        foreach (var take in trial.Takes)
            for (var ear = 0; ear < trial.Ears; ear++)
            {
                var excess = trial.Excess(take, ear);
                double? Median(IReadOnlyList<Band> bands) => excess is not null && bands.All(excess.ContainsKey) ? Robust.Median(bands.Select(b => excess[b])) : null;
                var (low, middle) = (Median(_low), Median(_middle));
                var louder = take.Entry.Condition == Document.TrialDocument.OpenEar ? null : -trial.Loss(take, ear, _low);
                if (low > LeastExcess && (low - middle > LeastExcess || louder > LeastLouder))
                    yield return trial.Finding(take, ear, "TAK-024", Severity.Warning, Invariant($"{low:0.0;−0.0} dB more at 25 to 50 Hz than in the other takes of its condition, {middle:0.0;−0.0} dB at 125 to 315 Hz"),
                        "the same low frequencies as in the other takes", "Wind on the microphone, or a rumble only this take has. Shield the microphone; leave the take out if the low bands matter.", EffectA(take, ear, excess!));
                else if (take.Coherence.ElementAtOrDefault(ear) is { } coherence && coherence < LeastCoherence
                    && trial.Others(take).Select(o => o.Coherence.ElementAtOrDefault(ear)).OfType<double>().ToList() is { Count: > 0 } usual && Robust.Median(usual) > UsualCoherence)
                    yield return trial.Finding(take, ear, "TAK-024", Severity.Warning, Invariant($"ear and outside share little below 100 Hz (coherence {coherence:0.00}; {Robust.Median(usual):0.00} in the other takes)"),
                        "a coherence above 0.3", "Wind on one of the two microphones. Shield it; leave the take out if the low bands matter.", excess is null ? null : EffectA(take, ear, excess));
            }
    }

    /// <summary>What the excess below 100 Hz adds to the A-weighted level, dB.</summary>
    private static double? EffectA(TakeLevels take, int ear, IReadOnlyDictionary<Band, double> excess)
    {
        double Energy(Band band, double change) => Math.Pow(10, (take.Ears[ear].Bands[band] + Weightings.At(FrequencyWeighting.A, band.ExactMidband).Decibels + change) / 10);
        var all = take.Ears[ear].Bands.Keys.Sum(b => Energy(b, 0));
        var without = take.Ears[ear].Bands.Keys.Sum(b => Energy(b, b.NominalHertz <= 100 ? -Math.Max(0, excess.GetValueOrDefault(b)) : 0));
        return all > 0 && without > 0 ? 10 * Math.Log10(all / without) : null;
    }
}
