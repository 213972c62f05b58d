using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>Beats of two engines or propellers: a level that swings regularly must be averaged over ten swings.</summary>
/// <remarks>A sine is fitted to the 125 ms levels, A-weighted and in the loudest bands from 50 to 315 Hz, at 0.1 to 2 Hz. It is a beat when it
/// explains more than 60 % of the variance after a straight line, with at least 1.5 dB up and down. Ten cycles: common practice, no source
/// (ISO 5129 asks for a procedure; 16 s hold four cycles of 0.25 Hz).</remarks>
internal static class BeatCheck
{
    private const double LeastExplained = 0.6;
    private const double LeastAmplitude = 1.5;
    private const double Cycles = 10;
    private const double MostHertz = 2;

    public static IEnumerable<Problem> Check(ChannelTake take)
    {
        var loudest = BandRange.Between(50, 315).Where(take.Levels.Bands.ContainsKey).OrderByDescending(b => take.Levels.Bands[b]).Take(3).ToList();
        var series = loudest.Select(b => (Name: Invariant($"the {b.NominalHertz} Hz band"), Levels: take.Steps([b])))
            .Prepend((Name: "the A-weighted level", Levels: [.. take.Signal.History.MeanSquareA.Select(m => (double)m)]));
        var found = series.Where(s => s.Levels is not null).Select(s => (s.Name, Beat: Strongest([.. s.Levels!.Select(Robust.Decibels)], take.Signal.History.StepSeconds)))
            .Where(b => IsBeat(b.Beat)).ToList();
        if (found.Count == 0) yield break;
        var (name, beat) = found.MaxBy(f => f.Beat.Amplitude);
        var needed = Cycles / beat.Hertz;
        if (take.Seconds >= 0.95 * needed) yield break;
        yield return take.Finding("TAK-017", Severity.Warning, Invariant($"{name} beats at {beat.Hertz:0.00} Hz by ±{beat.Amplitude:0.0} dB in a take of {take.Seconds:0.#} s"),
            Invariant($"at least {needed:0} s, ten beats"), "Take longer readings, or join takes of the same fit; what is left of a beat after averaging is the effect named.",
            beat.Amplitude / (Math.PI * beat.Hertz * take.Seconds));
    }

    /// <summary>Length that holds ten swings, s; null where the levels do not beat.</summary>
    /// <inheritdoc cref="Strongest"/>
    internal static double? SecondsNeeded(double[] levels, double step) => Strongest(levels, step) is var beat && IsBeat(beat) ? Cycles / beat.Hertz : null;

    private static bool IsBeat((double Hertz, double Amplitude, double Explained) beat) => beat.Explained > LeastExplained && beat.Amplitude > LeastAmplitude;

    /// <summary>The sine that explains most of a series of levels after a straight line.</summary>
    /// <param name="levels">dB.</param>
    /// <param name="step">Time between them, s.</param>
    internal static (double Hertz, double Amplitude, double Explained) Strongest(double[] levels, double step)
    {
        var n = levels.Length;
        if (n < 16) return default;
        var (middle, mean) = ((n - 1) / 2.0, levels.Average());
        var spread = n * ((n * (double)n) - 1) / 12;
        var slope = levels.Index().Sum(l => (l.Index - middle) * (l.Item - mean)) / spread;
        var rest = levels.Select((l, i) => l - mean - (slope * (i - middle))).ToArray();
        var variance = rest.Sum(r => r * r);
        if (variance <= 0) return default;
        var best = (Hertz: 0.0, Amplitude: 0.0, Explained: 0.0);
        var seconds = n * step;
        for (var f = Math.Max(0.1, 1.5 / seconds); f <= MostHertz; f += 0.2 / seconds)
        {
            var (sc, ss, cc, cs, s2) = (0.0, 0.0, 0.0, 0.0, 0.0);
            for (var i = 0; i < n; i++)
            {
                var (sin, cos) = Math.SinCos(2 * Math.PI * f * i * step);
                (sc, ss) = (sc + (rest[i] * cos), ss + (rest[i] * sin));
                (cc, cs, s2) = (cc + (cos * cos), cs + (cos * sin), s2 + (sin * sin));
            }
            var det = (cc * s2) - (cs * cs);
            var (a, b) = (((sc * s2) - (ss * cs)) / det, ((ss * cc) - (sc * cs)) / det);
            var explained = ((a * sc) + (b * ss)) / variance;
            if (explained > best.Explained) best = (f, Math.Sqrt((a * a) + (b * b)), explained);
        }
        return best;
    }
}
