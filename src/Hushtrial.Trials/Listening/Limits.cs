using Hushtrial.Quantities;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Listening;

/// <summary>Spectra at the estimate and at their limits, and what several independent causes do to a result.</summary>
internal static class Limits
{
    /// <summary>Half the width of a 95 % interval in standard uncertainties.</summary>
    public const double TwoSided = 1.96;

    /// <summary>A spectrum from one of the three values of every band.</summary>
    public static Spectrum Spectrum(IEnumerable<KeyValuePair<Band, NoiseBand>> bands, Func<Interval, double> of, double moved = 0) =>
        Quantities.Spectrum.Of(bands.Select(b => KeyValuePair.Create(b.Key, Level.FromDecibels(of(b.Value.Level) + moved))));

    /// <summary>An interval around a result from what each independent cause does to it at its own two limits: the squares of the departures add on each side.</summary>
    public static Interval Around(double value, params (double One, double Other)[] causes)
    {
        double down = 0, up = 0;
        foreach (var (one, other) in causes)
        {
            down += Math.Pow(Math.Max(0, value - Math.Min(one, other)), 2);
            up += Math.Pow(Math.Max(0, Math.Max(one, other) - value), 2);
        }
        return new(value, value - Math.Sqrt(down), value + Math.Sqrt(up));
    }
}
