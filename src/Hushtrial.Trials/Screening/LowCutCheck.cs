using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>A low-cut filter or a small capsule's roll-off, and the lowest band that is left to trust.</summary>
/// <remarks>With an outside microphone: the open ear falls behind it towards low frequencies by more than 3 dB against 160 to 315 Hz, where both hear the
/// same field. With one channel: the open ear's bands, without their tones, fall by more than 8 dB per octave from the lowest band up over an octave and a third at
/// least; cabins are flat or rise there. In a difference on one channel a linear filter cancels; levels, C-weighting and dose do not.
/// Common practice, no source; set on synthetic takes.</remarks>
internal static class LowCutCheck
{
    private const double MostBehind = 3;
    private const double SlopePerBand = 8 / 3.0;
    private const int LeastBands = 4;
    private static readonly IReadOnlyList<Band> _bands = BandRange.Between(20, 250);
    private static readonly IReadOnlyList<Band> _reference = BandRange.Between(160, 315);

    public static IEnumerable<Finding> Check(ComparedTakes trial)
    {
        var open = trial.Takes.Where(t => t.Entry.Condition == TrialDocument.OpenEar && t.Entry.Excluded is null).ToList();
        if (open.Count == 0) yield break;
        for (var ear = 0; ear < trial.Ears; ear++)
        {
            var channel = trial.Document.Channels.FirstOrDefault(c => c.Id == open[0].Ears[ear].Channel);
            var levels = _bands.Concat(_reference).Distinct().Where(b => open.All(o => o.Ears[ear].Bands.ContainsKey(b))).ToDictionary(b => b, b => Robust.Median(open.Select(o => o.Ears[ear].Bands[b])));
            var paired = open.Where(o => o.Outside is not null).ToList();
            var (lowest, by) = paired.Count > 0 ? AgainstOutside(paired, ear) : Alone(Broadband(open, ear));
            if (lowest is not { } valid || channel?.LowestValidHertz >= valid.LowerEdge.Hertz) continue;
            yield return new(new("TAK-023", Severity.Warning, $"channel {open[0].Ears[ear].Channel}, open-ear takes", by, "a flat response down to 20 Hz, or a lowest valid frequency that is stated",
                Invariant($"Switch the low-cut filter off, or state the microphone's lowest valid frequency; the lowest band to trust is {valid.NominalHertz} Hz. Differences on one channel stand, levels and C-weighted figures do not."),
                Missing(levels, valid)), [.. open.Select(o => o.Entry.Id)]);
        }
    }

    private static (Band? Lowest, string By) AgainstOutside(List<TakeLevels> open, int ear)
    {
        double? Difference(Band band) => open.All(o => o.Ears[ear].Bands.ContainsKey(band) && o.Outside!.Bands.ContainsKey(band)) ? Robust.Median(open.Select(o => o.Ears[ear].Bands[band] - o.Outside!.Bands[band])) : null;
        var reference = _reference.Select(Difference).OfType<double>().ToList();
        if (reference.Count == 0) return (null, "");
        var level = reference.Average();
        var behind = _bands.TakeWhile(b => Difference(b) - level < -MostBehind).ToList();
        return behind.Count < 2 ? (null, "") : (Band.ThirdOctave(behind[^1].Index + 1),
            Invariant($"the ear's channel falls behind the one outside by {level - Difference(behind[0]):0} dB at {behind[0].NominalHertz} Hz and more than 3 dB up to {behind[^1].NominalHertz} Hz"));
    }

    private static (Band? Lowest, string By) Alone(Dictionary<Band, double> levels)
    {
        var bands = _bands.TakeWhile(levels.ContainsKey).ToList();
        // The longest fall from the lowest band on whose mean slope is steep and of which no step is flat.
        var count = 0;
        for (var i = 1; i < bands.Count && levels[bands[i]] - levels[bands[i - 1]] > SlopePerBand / 2; i++)
            if (levels[bands[i]] - levels[bands[0]] >= SlopePerBand * i) count = i;
        return count < LeastBands ? (null, "") : (bands[count], Invariant($"levels that fall by {3 * (levels[bands[count]] - levels[bands[0]]) / count:0} dB per octave below {bands[count].NominalHertz} Hz"));
    }

    /// <summary>Levels of the bands without their tones: the median of the lines in each, dB re an arbitrary level.</summary>
    private static Dictionary<Band, double> Broadband(List<TakeLevels> open, int ear)
    {
        var signals = open.Select(o => o.Ears[ear].Signal).OfType<ChannelSignal>().Where(s => s.LowDensity is not null).ToList();
        if (signals.Count == 0) return [];
        return _bands.ToDictionary(b => b, b => (10 * Math.Log10(b.UpperEdge.Hertz - b.LowerEdge.Hertz)) + Robust.Median(signals.Select(s => Robust.Decibels(Robust.Median(
            Enumerable.Range((int)Math.Ceiling(b.LowerEdge.Hertz / s.LowResolution), (int)((b.UpperEdge.Hertz - b.LowerEdge.Hertz) / s.LowResolution)).Select(k => s.LowDensity![k]))))));
    }

    /// <summary>What the C-weighted level lacks if the bands below the valid one were as loud as it, dB, negative.</summary>
    private static double? Missing(Dictionary<Band, double> levels, Band valid)
    {
        if (!levels.TryGetValue(valid, out var at)) return null;
        double Energy(Band band, double level) => Math.Pow(10, (level + Weightings.At(FrequencyWeighting.C, band.ExactMidband).Decibels) / 10);
        var read = levels.Sum(l => Energy(l.Key, l.Value));
        return -10 * Math.Log10(levels.Sum(l => Energy(l.Key, l.Key.CompareTo(valid) < 0 ? Math.Max(at, l.Value) : l.Value)) / read);
    }
}
