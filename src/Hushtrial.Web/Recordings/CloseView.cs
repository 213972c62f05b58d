using System.Buffers.Binary;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Web.Recordings;

/// <summary>A short stretch of a recording seen from near: levels in steps of 10 or 20 ms, and the extremes of the samples themselves.</summary>
internal static class CloseView
{
    /// <summary>Longest stretch, s.</summary>
    public const double MostSeconds = 60;

    /// <summary>Most columns of extremes.</summary>
    public const int MostColumns = 4096;

    /// <summary>Levels of a stretch, in the bytes of <see cref="HistoryRows"/>.</summary>
    /// <param name="samples">The recording.</param>
    /// <param name="channel">Channel, from 0.</param>
    /// <param name="from">Start, s; moved down to a whole step.</param>
    /// <param name="to">End, s.</param>
    /// <param name="stepSeconds">0.01 to 0.1.</param>
    /// <param name="cancellation">Ends the measurement.</param>
    /// <exception cref="InvalidDataException">The stretch holds samples that are not numbers.</exception>
    public static byte[] Levels(SampleSource samples, int channel, double from, double to, double stepSeconds, CancellationToken cancellation)
    {
        var start = Math.Max(0, Math.Floor((from / stepSeconds) + 1e-9)) * stepSeconds;
        var (first, end) = Frames(samples, start, to);
        var history = LevelAnalysis.Measure(samples, channel, first, end - first, new LevelSettings { History = true, Octaves = false, StepSeconds = stepSeconds }, null, cancellation).History!;
        var bytes = new byte[HistoryRows.HeadBytes + (history.Count * HistoryRows.RowBytes)];
        HistoryRows.WriteHead(bytes, stepSeconds, start, history.Count, history.LastStepSeconds);
        HistoryRows.Write(bytes.AsSpan(HistoryRows.HeadBytes), history);
        return bytes;
    }

    /// <summary>Smallest and largest sample of each of so many equal parts of a stretch, share of full scale, as pairs of single-precision numbers, little-endian.</summary>
    /// <remarks>With fewer frames than columns, neighbouring columns repeat a frame: nothing is invented between samples.</remarks>
    public static byte[] Extremes(SampleSource samples, int channel, double from, double to, int columns, CancellationToken cancellation)
    {
        var (first, end) = Frames(samples, from, to);
        var bytes = new byte[columns * 8];
        var room = new double[1 << 15];
        for (var column = 0; column < columns; column++)
        {
            cancellation.ThrowIfCancellationRequested();
            var (a, b) = (Frame(column), Math.Max(Frame(column + 1), Frame(column) + 1));
            var (low, high) = (double.PositiveInfinity, double.NegativeInfinity);
            for (var at = a; at < b; at += room.Length)
            {
                var part = room.AsSpan(0, (int)Math.Min(room.Length, b - at));
                samples.Read(channel, at, part);
                foreach (var x in part)
                {
                    if (x < low) low = x;
                    if (x > high) high = x;
                }
            }
            // Only samples that are no numbers leave the bounds as they were.
            if (low > high) (low, high) = (0, 0);
            BinaryPrimitives.WriteSingleLittleEndian(bytes.AsSpan(8 * column), (float)low);
            BinaryPrimitives.WriteSingleLittleEndian(bytes.AsSpan((8 * column) + 4), (float)high);
        }
        return bytes;

        long Frame(int column) => Math.Min(end - 1, first + (long)((double)(end - first) * column / columns));
    }

    private static (long First, long End) Frames(SampleSource samples, double from, double to)
    {
        var first = Math.Clamp((long)Math.Round(from * samples.SampleRate), 0, samples.Frames - 1);
        return (first, Math.Clamp((long)Math.Round(to * samples.SampleRate), first + 1, samples.Frames));
    }
}
