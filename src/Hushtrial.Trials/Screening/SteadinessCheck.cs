using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>A take is one steady state: half-second A-levels within 6 dB, and no trend of more than 5 dB over the take.</summary>
/// <remarks>Limits: method, section 6.</remarks>
internal static class SteadinessCheck
{
    private const double MostRange = 6;
    private const double MostTrend = 5;

    public static IEnumerable<Problem> Check(ChannelTake take)
    {
        // Speech is left in on purpose there.
        if (take.Take.CommsOn) yield break;
        if (take.Levels.HalfSeconds?.A is not { Count: > 0 } half || take.Levels.A is not { } level) yield break;
        var range = half.Max() - half.Min();
        var trend = Trend(half) * half.Count;
        if (range <= MostRange && Math.Abs(trend) <= MostTrend) yield break;
        yield return take.Finding("TAK-012", Severity.Warning, range > MostRange ? Invariant($"half-second levels from {half.Min():0.0} to {half.Max():0.0} dB(A)") : Invariant($"a trend of {trend:+0.0;−0.0} dB over the take"),
            "a steady take, within 6 dB and without a trend above 5 dB", "Listen for speech, a squelch burst, a knock or a power change; shorten or leave out the take if it holds one.",
            level - Robust.Median(half));
    }

    private static double Trend(IReadOnlyList<double> values)
    {
        var middle = (values.Count - 1) / 2.0;
        var spread = values.Index().Sum(v => (v.Index - middle) * (v.Index - middle));
        return spread > 0 ? values.Index().Sum(v => (v.Index - middle) * v.Item) / spread : 0;
    }
}
