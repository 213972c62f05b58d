using Hushtrial.Signals.Recordings;

namespace Hushtrial.Trials.Alignment;

/// <summary>Sharp onsets of a recording, such as claps: the sample at which a sudden sound begins.</summary>
public static class Claps
{
    /// <summary>More onsets than this are no claps but a noisy cabin; chance would match them.</summary>
    public const int Most = 100;

    /// <summary>A clap stands this far above what was there before, as a ratio of the squares of first differences (20 dB).</summary>
    private const double Above = 100;

    private const double BlockSeconds = 0.002;
    private const double QuietSeconds = 0.1;

    /// <summary>First differences at this share of the clap's largest one are its beginning.</summary>
    private const double Begins = 0.3;

    /// <summary>Finds the strongest onsets, streaming.</summary>
    /// <param name="samples">The recording.</param>
    /// <param name="channel">Channel, from 0.</param>
    /// <param name="cancellation">Stops the search.</param>
    /// <returns>Times in order, s from the first sample.</returns>
    public static IReadOnlyList<double> Of(SampleSource samples, int channel, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(samples);
        var block = Math.Max(8, (int)(samples.SampleRate * BlockSeconds));
        var quiet = (int)Math.Round(QuietSeconds / BlockSeconds);
        var buffer = new double[(block * 512) + 1];
        var found = new List<(double Time, double Strength)>();
        var background = double.NaN;
        var wait = 0;
        for (long at = 0; at + block + 1 <= samples.Frames; at += buffer.Length - 1)
        {
            cancellation.ThrowIfCancellationRequested();
            var count = (int)Math.Min(buffer.Length, samples.Frames - at);
            samples.Read(channel, at, buffer.AsSpan(0, count));
            for (var start = 0; start + block < count; start += block)
            {
                var energy = 0.0;
                for (var i = start + 1; i <= start + block; i++) energy += (buffer[i] - buffer[i - 1]) * (buffer[i] - buffer[i - 1]);
                if (double.IsNaN(background)) background = energy;
                if (wait > 0) wait--;
                else if (energy > Above * background && energy > 0 && background > 0)
                {
                    found.Add((((double)at + Beginning(buffer, Math.Max(0, start - block), Math.Min(count, start + (3 * block)))) / samples.SampleRate, energy / background));
                    wait = quiet;
                }
                // A clap must not raise what the next one is held against.
                background += (Math.Min(energy, 4 * background) - background) / quiet;
                if (!(background > 0)) background = energy;
            }
        }
        return [.. found.OrderByDescending(f => f.Strength).Take(Most).Select(f => f.Time).Order()];
    }

    private static int Beginning(double[] buffer, int start, int end)
    {
        var largest = 0.0;
        for (var i = start + 1; i < end; i++) largest = Math.Max(largest, Math.Abs(buffer[i] - buffer[i - 1]));
        for (var i = start + 1; i < end; i++)
            if (Math.Abs(buffer[i] - buffer[i - 1]) >= Begins * largest) return i;
        return start;
    }
}
