using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Interference that is no sound: the frame rhythm of a phone's transmitter (216.7 Hz and harmonics) and mains hum (50 or 60 Hz and harmonics).</summary>
/// <remarks>A harmonic counts when the line nearest to its exact frequency stands 8 dB above the median of the lines 8 to 24 Hz away and above its
/// neighbours. Buzz: 5 of the first 6 harmonics, none of which an engine has by chance. Hum: at least 4 of the first 10, two odd ones among
/// them, and more than at a rhythm 3 % off, because engines have harmonics too. The phone's rhythm: 8 time slots of 15/26 ms, 3GPP TS 45.002,
/// 4.3.1 (from memory). Thresholds: common practice, no source; set on synthetic takes.</remarks>
internal static class CombCheck
{
    private const double PhoneRhythm = 26_000 / 120.0;
    private const double LeastExcess = 8;

    public static IEnumerable<Problem> Check(ChannelTake take)
    {
        if (take.Signal.LowDensity is not { } density || take.Levels.A is not { } level) yield break;
        var resolution = take.Signal.LowResolution;
        var buzz = Comb(density, resolution, PhoneRhythm, 6);
        if (buzz.Count >= 5)
            yield return take.Finding("TAK-021", Severity.Warning, Invariant($"{buzz.Count} harmonics of 216.7 Hz, the rhythm of a phone's transmitter"), "sound only",
                "Switch phones to flight mode and keep them away from cables; leave the take out if the effect named matters.", Effect(buzz, PhoneRhythm, take, level));
        foreach (var mains in new[] { 50.0, 60.0 })
        {
            var hum = Comb(density, resolution, mains, 10);
            if (hum.Count < 4 || hum.Count(h => h.Number % 2 == 1) < 2) continue;
            if (Math.Max(Comb(density, resolution, mains * 1.03, 10).Count, Comb(density, resolution, mains * 0.97, 10).Count) >= hum.Count - 1) continue;
            yield return take.Finding("TAK-022", Severity.Warning, Invariant($"{hum.Count} harmonics of exactly {mains:0} Hz: mains hum or an alternator's whine"), "sound only",
                "Run the recorder from its battery and keep cables apart from chargers. If an engine turns at exactly this rhythm, nothing is wrong.", Effect(hum, mains, take, level));
            break;
        }
    }

    /// <summary>The harmonics that stand out, with the mean square of each, full scale².</summary>
    internal static IReadOnlyList<(int Number, double MeanSquare)> Comb(IReadOnlyList<double> density, double resolution, double fundamental, int harmonics)
    {
        var found = new List<(int, double)>();
        for (var k = 1; k <= harmonics; k++)
        {
            var at = k * fundamental / resolution;
            var line = (int)Math.Round(at);
            if (line + 34 >= density.Count || line < 12) continue;
            var around = new List<double>();
            for (var i = 11; i <= 33; i++)
            {
                around.Add(density[line + i]);
                if (line - i >= 1) around.Add(density[line - i]);
            }
            var floor = Robust.Median(around);
            // The window spreads a tone over three lines; the middle of their energy says where it is.
            var (sum, moment) = (0.0, 0.0);
            for (var i = line - 2; i <= line + 2; i++) (sum, moment) = (sum + Math.Max(0, density[i] - floor), moment + (i * Math.Max(0, density[i] - floor)));
            var largest = Math.Max(density[line], Math.Max(density[line - 1], density[line + 1]));
            if (floor <= 0 || Robust.Decibels(largest / floor) < LeastExcess || largest < density[line - 3] * 2 || largest < density[line + 3] * 2) continue;
            if (sum > 0 && Math.Abs((moment / sum) - at) < 0.5) found.Add((k, sum * resolution));
        }
        return found;
    }

    private static double Effect(IReadOnlyList<(int Number, double MeanSquare)> comb, double rhythm, ChannelTake take, double level)
    {
        var weighted = comb.Sum(c => c.MeanSquare * Math.Pow(10, Weightings.At(FrequencyWeighting.A, Frequency.FromHertz(Math.Max(20, c.Number * rhythm))).Decibels / 10));
        var share = Math.Min(0.99, weighted / Math.Pow(10, (level - take.Signal.FullScale) / 10));
        return -10 * Math.Log10(1 - share);
    }
}
