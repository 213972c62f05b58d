using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>How a level was tied to pascals, in words: which calibrator or reference meter, when. Nothing without it has hours or dose.</summary>
public sealed record CalibrationStatement
{
    private CalibrationStatement(string words) => Words = words;

    /// <summary>The statement, as printed.</summary>
    public string Words { get; }

    /// <summary>A statement from its words.</summary>
    /// <exception cref="ArgumentException">The words are empty.</exception>
    public static CalibrationStatement Of(string words) => !string.IsNullOrWhiteSpace(words) ? new(words)
        : throw new ArgumentException("Say how the level was calibrated: an uncalibrated level has no hours and no dose.", nameof(words));
}

/// <summary>An A-weighted level that may be judged against limits: absolute, referred to the field without the head, with its interval.</summary>
/// <remarks>Limits are stated for the field without the listener (ISO 11904-1): convert ear-canal levels first. It cannot be built from a
/// relative level, because it asks for the calibration.</remarks>
public sealed record EarLevel
{
    private const double TwoSided = 1.96;

    private EarLevel(Level best, Level low, Level high, Level upper, CalibrationStatement calibration) =>
        (Best, Low, High, Upper, Calibration) = (best, low, high, upper, calibration);

    /// <summary>Best estimate, dB re 20 µPa.</summary>
    public Level Best { get; }

    /// <summary>Lower limit of the 95 % interval.</summary>
    public Level Low { get; }

    /// <summary>Upper limit of the 95 % interval.</summary>
    public Level High { get; }

    /// <summary>One-sided 95 % upper limit: what 'safe' statements rest on.</summary>
    public Level Upper { get; }

    /// <summary>How it was tied to pascals.</summary>
    public CalibrationStatement Calibration { get; }

    /// <summary>Standard uncertainty: the interval's width over 2 · 1.96.</summary>
    public LevelDifference StandardUncertainty => LevelDifference.FromDecibels((High - Low).Decibels / (2 * TwoSided));

    /// <summary>A level with a standard uncertainty; the one-sided limit lies 1.65 of it above (ISO 9612:2009, C.2).</summary>
    /// <exception cref="ArgumentOutOfRangeException">The uncertainty is negative.</exception>
    public static EarLevel Of(Level best, LevelDifference standardUncertainty, CalibrationStatement calibration)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(standardUncertainty.Decibels, nameof(standardUncertainty));
        return new(best, best - (standardUncertainty * TwoSided), best + (standardUncertainty * TwoSided),
            best + (standardUncertainty * Iso9612.CoverageFactor), calibration);
    }

    /// <summary>A level with the quantiles of its own distribution.</summary>
    /// <exception cref="ArgumentException">The limits are not in order.</exception>
    public static EarLevel Between(Level low, Level best, Level upper, Level high, CalibrationStatement calibration) =>
        low.CompareTo(best) <= 0 && best.CompareTo(upper) <= 0 && upper.CompareTo(high) <= 0
            ? new(low: low, best: best, upper: upper, high: high, calibration: calibration)
            : throw new ArgumentException($"Limits out of order: {low.Decibels}, {best.Decibels}, {upper.Decibels}, {high.Decibels} dB.", nameof(low));

    /// <summary>The level behind a device: the loss taken off, both uncertainties combined as independent.</summary>
    public EarLevel Behind(LevelDifference loss, LevelDifference standardUncertainty) => Of(Best - loss,
        LevelDifference.FromDecibels(Math.Sqrt(Math.Pow(StandardUncertainty.Decibels, 2) + Math.Pow(standardUncertainty.Decibels, 2))), Calibration);

    /// <summary>One of the four values.</summary>
    internal double At(LimitKind kind) => (kind switch
    {
        LimitKind.Low => Low,
        LimitKind.Upper => Upper,
        LimitKind.High => High,
        _ => Best,
    }).Decibels;
}

/// <summary>Which value of an interval a sum is made of.</summary>
internal enum LimitKind
{
    Best,
    Low,
    Upper,
    High,
}

/// <summary>A number with its 95 % interval and the one-sided 95 % upper limit.</summary>
/// <param name="Best">Best estimate.</param>
/// <param name="Low">Lower 95 % limit.</param>
/// <param name="High">Upper 95 % limit.</param>
/// <param name="Upper">One-sided 95 % upper limit.</param>
public readonly record struct Bounded<T>(T Best, T Low, T High, T Upper)
{
    internal static Bounded<T> From(Func<LimitKind, T> at) => new(at(LimitKind.Best), at(LimitKind.Low), at(LimitKind.High), at(LimitKind.Upper));
}
