using Hushtrial.Signals.Recordings;

namespace Hushtrial.Web.Recordings;

/// <summary>A stretch of a recording to listen to: 16 bit, one channel, and always at the same safe level, whatever the level was in the noise.</summary>
internal static class Listening
{
    /// <summary>Longest stretch, s.</summary>
    public const double MostSeconds = 120;

    /// <summary>Root mean square of what is played, dB re full scale (mean square 1), and the highest its peaks may come. Common practice, no source.</summary>
    private const double PlayedLevel = -26, HighestPeak = -6;

    private const double FadeSeconds = 0.03;
    private const int BlockFrames = 1 << 14;

    /// <summary>A WAVE file of the stretch.</summary>
    /// <param name="samples">The recording.</param>
    /// <param name="channel">Channel, from 0.</param>
    /// <param name="from">Start, s.</param>
    /// <param name="to">End, s.</param>
    /// <param name="cancellation">Ends it early.</param>
    public static MemoryStream Wave(SampleSource samples, int channel, double from, double to, CancellationToken cancellation)
    {
        var first = Math.Clamp((long)Math.Round(from * samples.SampleRate), 0, samples.Frames - 1);
        var frames = Math.Clamp((long)Math.Round(to * samples.SampleRate), first + 1, samples.Frames) - first;
        var (sum, squares, peak, room) = (0.0, 0.0, 0.0, new double[BlockFrames]);
        Blocks((_, x) => { sum += x; squares += x * x; });
        var mean = sum / frames;
        Blocks((_, x) => peak = Math.Max(peak, Math.Abs(x - mean)));
        var variance = Math.Max(0, (squares / frames) - (mean * mean));
        var gain = variance > 0 ? Math.Min(Math.Pow(10, PlayedLevel / 20) / Math.Sqrt(variance), Math.Pow(10, HighestPeak / 20) / peak) : 0;

        var file = new MemoryStream();
        using (var writer = new WaveWriter(file, samples.SampleRate, 1, WaveSampleFormat.Integer16))
        {
            var fade = Math.Max(1, Math.Min(frames / 2, FadeSeconds * samples.SampleRate));
            for (var at = 0L; at < frames; at += BlockFrames)
            {
                var block = Read(at);
                for (var i = 0; i < block.Length; i++)
                    block[i] = double.IsFinite(block[i]) ? (block[i] - mean) * gain * Math.Min(1, Math.Min(at + i, frames - 1 - at - i) / fade) : 0;
                writer.Write(block);
            }
        }
        file.Position = 0;
        return file;

        void Blocks(Action<long, double> take)
        {
            for (var at = 0L; at < frames; at += BlockFrames)
            {
                var block = Read(at);
                for (var i = 0; i < block.Length; i++)
                    if (double.IsFinite(block[i])) take(at + i, block[i]);
            }
        }

        Span<double> Read(long at)
        {
            cancellation.ThrowIfCancellationRequested();
            var block = room.AsSpan(0, (int)Math.Min(BlockFrames, frames - at));
            samples.Read(channel, first + at, block);
            return block;
        }
    }
}
