using Hushtrial.Quantities;

namespace Hushtrial.Trials.Finding;

/// <summary>Tells a calibrator's tone and quiet from the noise of a trial.</summary>
internal static class SpanSounds
{
    private const double ToneExcess = 12, ToneSpread = 0.5, ToneSeconds = 3;
    private const double QuietLow = 30, QuietAll = 20, DigitalSilence = -150;

    // Calibrators give 250 Hz or 1 kHz; the bands around them catch one that is a little off.
    private const double LeastHertz = 200, MostHertz = 1300;

    /// <summary>The band that stands far above all others together and does not move; null when there is none.</summary>
    public static Band? ToneBand(LevelTrace trace, int first, int end)
    {
        if ((end - first) * trace.StepSeconds < ToneSeconds) return null;
        var energies = Enumerable.Range(0, trace.Bands.Count).Select(b => Mean(trace.Third(b), first, end)).ToArray();
        var best = Enumerable.Range(0, energies.Length).Where(b => trace.Bands[b].NominalHertz is >= LeastHertz and <= MostHertz).OrderByDescending(b => energies[b]).FirstOrDefault(-1);
        if (best < 0 || energies[best] <= 0) return null;
        // The two neighbours are left out: a band filter passes some 20 dB less of the tone to each.
        var others = energies.Where((_, b) => Math.Abs(b - best) > 1).Sum();
        if (10 * Math.Log10(energies[best] / Math.Max(others, 1e-30)) < ToneExcess) return null;
        var levels = Enumerable.Range(first, end - first).Select(t => 10 * Math.Log10(Math.Max(trace.Third(best)[t], 1e-30f))).Order().ToArray();
        return levels[(int)(0.95 * (levels.Length - 1))] - levels[(int)(0.05 * (levels.Length - 1))] <= ToneSpread ? trace.Bands[best] : null;
    }

    /// <summary>Whether levels by group lie as far below the open ear as no device reaches: in every group, and most at low frequencies, where devices do least.</summary>
    public static bool IsQuiet(double[] core, double[] open) => core.Any(c => c > DigitalSilence)
        && Enumerable.Range(0, 3).All(g => core[g] < open[g] - QuietLow) && Enumerable.Range(0, core.Length).All(g => core[g] < open[g] - QuietAll);

    private static double Mean(IReadOnlyList<float> values, int first, int end)
    {
        var sum = 0.0;
        for (var t = first; t < end; t++) sum += values[t];
        return sum / (end - first);
    }
}
