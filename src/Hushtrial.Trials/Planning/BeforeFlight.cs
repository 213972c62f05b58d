using Hushtrial.Quantities;
using Hushtrial.Signals.Calibration;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Planning;

/// <summary>What the recorder can hold, beside what the cabin will ask of it.</summary>
/// <param name="HighestSine">Level of a sine that just reaches full scale, dB re 20 µPa.</param>
/// <param name="HighestPeak">Highest peak, dB re 20 µPa.</param>
/// <param name="ExpectedPeak">Highest peak to expect in the cabin, dB re 20 µPa.</param>
public sealed record Ceiling(double HighestSine, double HighestPeak, double ExpectedPeak)
{
    /// <summary>Room above the highest peak to expect, dB; negative: it will clip.</summary>
    public double Headroom => HighestPeak - ExpectedPeak;
}

/// <summary>The microphone's own noise in one band beside the cabin's.</summary>
/// <param name="Band">The band.</param>
/// <param name="OwnNoise">dB re 20 µPa.</param>
/// <param name="MostLoss">The largest loss that can be measured there: with more, the own noise is reached; null when even the open ear's level is.</param>
public sealed record FloorBand(Band Band, double OwnNoise, double? MostLoss);

/// <summary>Two tones that are 20 dB apart, as recorded.</summary>
/// <param name="Difference">Level of the higher minus level of the lower one, dB; null when a tone could not be read.</param>
/// <param name="Problems">What was wrong with them.</param>
public sealed record TwoTones(double? Difference, IReadOnlyList<Problem> Problems)
{
    /// <summary>What the two tones differ by, dB: calibrators with two levels have 94 and 114 dB.</summary>
    public const double Stated = 20;

    /// <summary>How far the reading may be off, dB: more and something moves the gain. Common practice, no source; calibrators hold each level within 0.2 to 0.4 dB.</summary>
    public const double Tolerance = 0.5;

    /// <summary>Whether it was shown that nothing moves the gain between the two levels; null when it cannot be said.</summary>
    public bool? Steady => Difference is { } d ? Math.Abs(d - Stated) <= Tolerance : null;
}

/// <summary>What can be checked on the ground before anybody flies.</summary>
public static class BeforeFlight
{
    /// <summary>Peaks of a cabin above its unweighted level: random noise reaches 12 to 13 dB within minutes, blades and bumps more. Common practice, no source.</summary>
    public const double PeaksAboveLevel = 15;

    /// <summary>Room above the highest peak that was read, dB: the same that takes are asked for. Common practice, no source.</summary>
    public const double RoomAboveRead = 3;

    /// <summary>Where the own noise lies this much below a level it costs 1 dB and can be taken off; above that the level is at most what is read. The rule of own noise asks for 3 dB; twice that leaves room for the scatter of takes.</summary>
    private const double LeastGap = 6;

    /// <summary>The ceiling of a calibrated channel.</summary>
    /// <param name="fullScale">Level of 0 dB re full scale (mean square 1).</param>
    /// <param name="cabin">The cabin to expect, unweighted, dB re 20 µPa.</param>
    public static Ceiling CeilingOf(Level fullScale, Spectrum cabin)
    {
        ArgumentNullException.ThrowIfNull(cabin);
        // A sample at full scale has the square of 1: the peak level is that of full scale itself, a sine lies 3.01 dB lower.
        return new(fullScale.Decibels - (10 * Math.Log10(2)), fullScale.Decibels, cabin.Total(FrequencyWeighting.Z).Decibels + PeaksAboveLevel);
    }

    /// <summary>The ceiling of a calibrated channel beside a cabin whose peaks were read.</summary>
    /// <param name="fullScale">Level of 0 dB re full scale (mean square 1).</param>
    /// <param name="read">Highest peak read, dB(C). Longer flights bring higher ones: <see cref="RoomAboveRead"/> more is to be expected.</param>
    public static Ceiling CeilingOf(Level fullScale, double read) => new(fullScale.Decibels - (10 * Math.Log10(2)), fullScale.Decibels, read + RoomAboveRead);

    /// <summary>How much loss the own noise lets be measured, band by band.</summary>
    /// <param name="ownNoise">Own noise, one-third octaves, dB re 20 µPa.</param>
    /// <param name="cabin">The cabin to expect, octaves or one-third octaves; an octave is spread evenly over its three thirds.</param>
    public static IReadOnlyList<FloorBand> FloorOf(ChannelLevels ownNoise, Spectrum cabin)
    {
        ArgumentNullException.ThrowIfNull(ownNoise);
        ArgumentNullException.ThrowIfNull(cabin);
        var expected = cabin.Entries.SelectMany(l => l.Key.Thirds.Select(t => (Band: t, Level: l.Value.Decibels - (l.Key.Fraction == BandFraction.Octave ? 10 * Math.Log10(3) : 0)))).ToDictionary(l => l.Band, l => l.Level);
        return [.. ownNoise.Bands.Where(b => expected.ContainsKey(b.Key)).OrderBy(b => b.Key).Select(b => new FloorBand(b.Key, b.Value, expected[b.Key] - b.Value - LeastGap is > 0 and var most ? most : null))];
    }

    /// <summary>Reads two tones of one frequency.</summary>
    /// <param name="lower">Holds the lower tone.</param>
    /// <param name="higher">Holds the higher tone.</param>
    /// <param name="channel">Channel, from 0.</param>
    /// <param name="frequency">Frequency of both.</param>
    /// <param name="leaveOut">Seconds at both ends that are not read: hands are there.</param>
    public static TwoTones TwoTonesOf(Recording lower, Recording higher, int channel, Frequency frequency, double leaveOut)
    {
        ArgumentNullException.ThrowIfNull(lower);
        ArgumentNullException.ThrowIfNull(higher);
        // Both as if they had the same level: what differs is the tones.
        Calibration Read(Recording recording) => CalibratorTone.Measure(recording, channel, new(leaveOut, recording.Duration.TotalSeconds - leaveOut), new ToneCalibrator(Level.FromDecibels(94), frequency, LevelDifference.FromDecibels(0.3)));
        var (low, high) = (Read(lower), Read(higher));
        IReadOnlyList<Problem> problems = [.. low.Problems, .. high.Problems];
        return new(low.FullScale is { } a && high.FullScale is { } b ? a.Decibels - b.Decibels : null, problems);
    }
}
