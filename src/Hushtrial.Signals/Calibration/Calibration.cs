using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Signals.Calibration;

/// <summary>What turns one channel's samples into sound pressure: the level of full scale, with how well it is known and from what.</summary>
/// <remarks>
/// <see cref="FullScale"/> is the level, dB re 20 µPa, of a signal whose mean square is 1, that is 0 dB re full scale. A sine that just
/// reaches full scale has a mean square of 1/2 and reads 3.01 dB less. A level re full scale becomes a sound pressure level by adding it.
/// The uncertainty is common to everything read on the channel with the same gain, so that it cancels in a difference.
/// </remarks>
public sealed record Calibration
{
    /// <summary>Above this the readings between two calibrations are discarded.</summary>
    /// <remarks>ISO 9612, field calibration: more than 0.5 dB between before and after.</remarks>
    private const double MostDrift = 0.5;

    /// <summary>Credible levels of full scale, dB: from a very sensitive microphone into a high gain to a blast microphone. Common practice, no source.</summary>
    private const double LeastFullScale = 70, MostFullScale = 190;

    private Calibration()
    {
    }

    /// <summary>Nothing is known: levels stay re full scale.</summary>
    public static Calibration None { get; } = new() { Words = "not calibrated: levels are re full scale" };

    /// <summary>Level of 0 dB re full scale (mean square 1), dB re 20 µPa; null when not known.</summary>
    public Level? FullScale { get; private init; }

    /// <summary>Standard uncertainty of <see cref="FullScale"/>, dB, not negative.</summary>
    public LevelDifference StandardUncertainty { get; private init; }

    /// <summary><see cref="FullScale"/> after minus before; null when there were not both. Negative when the chain became more sensitive.</summary>
    public LevelDifference? Drift { get; private init; }

    /// <summary>One sentence for the report: from what the level of full scale is known.</summary>
    public required string Words { get; init; }

    /// <summary>What is wrong with it. With an error, absolute levels are not to be used; differences on the channel may still stand.</summary>
    public IReadOnlyList<Problem> Problems { get; private init; } = [];

    /// <summary>Whether the level of full scale is known and no problem is an error.</summary>
    public bool IsUsable => FullScale is not null && Problems.All(p => p.Severity != Severity.Error);

    /// <summary>The sound pressure level of a level re full scale (mean square 1 = 0 dB).</summary>
    /// <exception cref="InvalidOperationException">Nothing is known of this channel.</exception>
    public Level At(Level reFullScale) => FullScale is { } fullScale ? Level.FromDecibels(fullScale.Decibels + reFullScale.Decibels)
        : throw new InvalidOperationException("A channel without calibration has no sound pressure levels.");

    /// <summary>A stated level of full scale, for example from a data sheet or an earlier calibration.</summary>
    /// <param name="fullScale">Level of 0 dB re full scale (mean square 1).</param>
    /// <param name="standardUncertainty">dB, above 0.</param>
    /// <param name="where">Place in the trial document, for problems.</param>
    public static Calibration Stated(Level fullScale, LevelDifference standardUncertainty, string where) =>
        Known(fullScale, standardUncertainty, Invariant($"stated: 0 dB re full scale is {fullScale.Decibels:F2} dB"), where, []);

    /// <summary>A calibration as it was made from sound that is not there any more.</summary>
    /// <param name="fullScale">Level of 0 dB re full scale (mean square 1); null when none was found.</param>
    /// <param name="standardUncertainty">dB, not negative.</param>
    /// <param name="words">How it was made.</param>
    /// <param name="problems">What was wrong with it.</param>
    public static Calibration Kept(Level? fullScale, LevelDifference standardUncertainty, string words, IReadOnlyList<Problem> problems) =>
        new() { FullScale = fullScale, StandardUncertainty = standardUncertainty, Words = words, Problems = problems };

    /// <summary>From a span of steady noise read on a reference meter at the same place and time.</summary>
    /// <param name="meter">The meter's equivalent level, dB re 20 µPa.</param>
    /// <param name="weighting">Weighting of the meter's reading; <paramref name="reFullScale"/> must have the same.</param>
    /// <param name="reFullScale">Level of the recorded span with that weighting, re full scale; null for digital silence.</param>
    /// <param name="standardUncertainty">Of the comparison, dB, above 0; 0.5 to 1 dB is usual.</param>
    /// <param name="where">Place in the trial document or file and span, for problems.</param>
    public static Calibration BesideMeter(Level meter, FrequencyWeighting weighting, Level? reFullScale, LevelDifference standardUncertainty, string where)
    {
        if (reFullScale is not { } recorded)
            return Failed(CalibrationProblems.Silence(where), "beside a reference meter, but the span is silent");
        var fullScale = meter - LevelDifference.FromDecibels(recorded.Decibels);
        return Known(fullScale, standardUncertainty,
            Invariant($"beside a reference meter: {meter.Decibels:F1} dB({weighting}) read while the recording had {recorded.Decibels:0.00;−0.00} dB re full scale"), where, []);
    }

    /// <summary>One calibration before and one after the readings: their arithmetic mean in dB, with the drift as part of the uncertainty.</summary>
    /// <remarks>The gain during a reading lies anywhere between the two: a rectangular distribution as wide as the drift, standard
    /// uncertainty |drift|/√12 (JCGM 100, 4.3.7). The larger of the two uncertainties is kept, not reduced by averaging, because it
    /// mostly comes from the same calibrator.</remarks>
    public static Calibration BeforeAndAfter(Calibration before, Calibration after, string where)
    {
        List<Problem> problems = [.. before.Problems, .. after.Problems];
        if (before.FullScale is not { } first || after.FullScale is not { } second)
        {
            var one = before.FullScale is null ? after : before;
            return one with { Problems = problems, Words = one.FullScale is null ? one.Words : one.Words + " (the other of the two calibrations failed)" };
        }
        var drift = second - first;
        if (Math.Abs(drift.Decibels) > MostDrift) problems.Add(CalibrationProblems.Drifted(where, drift.Decibels, MostDrift));
        var own = Math.Max(before.StandardUncertainty.Decibels, after.StandardUncertainty.Decibels);
        return new Calibration
        {
            FullScale = first + (drift * 0.5),
            StandardUncertainty = LevelDifference.FromDecibels(Math.Sqrt((own * own) + (drift.Decibels * drift.Decibels / 12))),
            Drift = drift,
            Words = Invariant($"before: {before.Words}; after: {after.Words}; drift {drift.Decibels:+0.00;−0.00;0.00} dB"),
            Problems = problems,
        };
    }

    /// <summary>A level of full scale with the checks that hold for every source.</summary>
    internal static Calibration Known(Level fullScale, LevelDifference standardUncertainty, string words, string where, IReadOnlyList<Problem> problems)
    {
        List<Problem> all = [.. problems];
        if (standardUncertainty.Decibels <= 0) all.Add(CalibrationProblems.NoUncertainty(where, standardUncertainty.Decibels));
        if (fullScale.Decibels is < LeastFullScale or > MostFullScale)
            all.Add(CalibrationProblems.Incredible(where, fullScale.Decibels, LeastFullScale, MostFullScale));
        return new Calibration
        {
            FullScale = fullScale,
            StandardUncertainty = LevelDifference.FromDecibels(Math.Max(0, standardUncertainty.Decibels)),
            Words = words,
            Problems = all,
        };
    }

    /// <summary>A calibration that was tried and gave nothing.</summary>
    internal static Calibration Failed(Problem problem, string words) => new() { Words = words, Problems = [problem] };
}
