using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Screening;

/// <summary>Checks of one channel in one take. A finding never deletes data: the user decides, and the result is shown.</summary>
/// <remarks>Thresholds are common practice, no source; they were set on synthetic faults.</remarks>
public static class SignalChecks
{
    private const double NearFullScale = 0.9995;
    private const int FewestClipped = 12;
    private const double ClippedShare = 2e-5;
    private const double DropoutSeconds = 0.002;
    private const double UnsteadyRange = 6;

    /// <summary>Runs every check on one channel of one take.</summary>
    public static IEnumerable<Problem> Check(TakeEntry take, RecordingEntry recording, ChannelEntry channel, SampleSource samples, long first, long count, ChannelLevels levels)
    {
        var (clipped, longestClipped, longestZero, zeroAt) = Scan(samples, channel.Number - 1, first, count);
        string Where(double? second = null) => second is { } s
            ? string.Create(CultureInfo.InvariantCulture, $"{recording.File}, take {take.Id}, channel {channel.Id}, {s:0.000} s")
            : $"{recording.File}, take {take.Id}, channel {channel.Id}";
        if (clipped >= FewestClipped && (longestClipped >= 2 || clipped > ClippedShare * count))
            yield return new("TAK-010", Severity.Warning, Where(), string.Create(CultureInfo.InvariantCulture, $"{clipped} samples at full scale, up to {longestClipped} in a row"),
                "no sample at full scale", "The take reads too low. Record with less gain; exclude the take if the level matters.");
        if (longestZero >= DropoutSeconds * samples.SampleRate)
            yield return new("TAK-011", Severity.Warning, Where(zeroAt / (double)samples.SampleRate),
                string.Create(CultureInfo.InvariantCulture, $"{1000.0 * longestZero / samples.SampleRate:0} ms of exact zeros"), "sound without holes",
                "The recorder lost samples here. Move the take's span past the hole or exclude it.");
        if (levels.HalfSeconds?.A is { Count: > 0 } half && half.Max() - half.Min() > UnsteadyRange)
            yield return new("TAK-012", Severity.Warning, Where(), string.Create(CultureInfo.InvariantCulture, $"half-second levels from {half.Min():0.0} to {half.Max():0.0} dB(A)"),
                "a steady take, within 6 dB", "Listen for speech, a squelch burst, a knock or a power change; shorten or exclude the take if it holds one.");
        if (levels.A is null)
            yield return new("TAK-013", Severity.Error, Where(), "digital silence", "sound", "Name the channel that carries the microphone.");
    }

    private static (long Clipped, int LongestClipped, long LongestZero, long ZeroAt) Scan(SampleSource samples, int channel, long first, long count)
    {
        var buffer = new double[65_536];
        long clipped = 0, zeros = 0, longestZero = 0, zeroAt = 0;
        var run = 0;
        var longestRun = 0;
        for (long done = 0; done < count;)
        {
            var block = buffer.AsSpan(0, (int)Math.Min(buffer.Length, count - done));
            samples.Read(channel, first + done, block);
            for (var i = 0; i < block.Length; i++)
            {
                if (Math.Abs(block[i]) >= NearFullScale) { clipped++; longestRun = Math.Max(longestRun, ++run); }
                else run = 0;
                if (block[i] == 0)
                {
                    zeros++;
                    if (zeros > longestZero) (longestZero, zeroAt) = (zeros, first + done + i - zeros + 1);
                }
                else zeros = 0;
            }
            done += block.Length;
        }
        return (clipped, longestRun, longestZero, zeroAt);
    }
}
