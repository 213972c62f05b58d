using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Levels;

/// <summary>What one pass over the samples of a span tells beside the levels, for checks: shape per channel, low-frequency spectra of all.</summary>
/// <param name="Shapes">By place among the channels asked for.</param>
/// <param name="Low">Low-frequency spectra of the same channels; null when the span is shorter than 1.4 s.</param>
public sealed record SpanSignals(IReadOnlyList<SampleShape> Shapes, LowSpectra? Low);

/// <summary>The one pass over the samples that the checks need and the level analysis does not make.</summary>
public static class SignalPass
{
    private const int BlocksAtOnce = 64;

    /// <summary>Looks at several channels over one span. Memory does not grow with the span beyond 8 bytes per 10 ms and channel.</summary>
    /// <param name="samples">The recording.</param>
    /// <param name="channels">Channels, from 0; at least one.</param>
    /// <param name="firstFrame">First frame of the span.</param>
    /// <param name="frameCount">Frames of the span, at least 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">No channel, or the span is not in the recording.</exception>
    public static SpanSignals Measure(SampleSource samples, IReadOnlyList<int> channels, long firstFrame, long frameCount)
    {
        ArgumentNullException.ThrowIfNull(samples);
        if (channels.Count == 0) throw new ArgumentOutOfRangeException(nameof(channels), 0, "At least one channel is looked at.");
        Check(samples, firstFrame, frameCount);
        var decimator = new Decimator(samples.SampleRate);
        var shapes = channels.Select(_ => new SampleShapeTally(samples.SampleRate, firstFrame)).ToArray();
        var low = new LowSpectraTally(decimator.Rate, channels.Count);
        var size = shapes[0].Block * BlocksAtOnce;
        // The end of the frames read before stands in front of the new ones: the low-pass reaches back.
        var buffers = channels.Select(_ => new double[decimator.Length + size]).ToArray();
        var values = new double[channels.Count];
        var (kept, done) = (0, 0L);
        while (done < frameCount)
        {
            var count = (int)Math.Min(size, frameCount - done);
            for (var c = 0; c < channels.Count; c++)
            {
                var fresh = buffers[c].AsSpan(kept, count);
                samples.Read(channels[c], firstFrame + done, fresh);
                for (var at = 0; at < count; at += shapes[c].Block) shapes[c].Add(fresh.Slice(at, Math.Min(shapes[c].Block, count - at)));
            }
            var from = 0;
            for (; from + decimator.Length <= kept + count; from += decimator.Factor)
            {
                for (var c = 0; c < channels.Count; c++) values[c] = decimator.At(buffers[c].AsSpan(from));
                low.Add(values);
            }
            kept = kept + count - from;
            foreach (var buffer in buffers) buffer.AsSpan(from, kept).CopyTo(buffer);
            done += count;
        }
        return new([.. shapes.Select(s => s.Finish())], low.Finish());
    }

    /// <summary>The shape of one channel alone: a tenth of the time of <see cref="Measure"/>, which filters and transforms as well.</summary>
    /// <param name="samples">The recording.</param>
    /// <param name="channel">Channel, from 0.</param>
    /// <param name="firstFrame">First frame of the span.</param>
    /// <param name="frameCount">Frames of the span, at least 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">The span is not in the recording.</exception>
    public static SampleShape Shape(SampleSource samples, int channel, long firstFrame, long frameCount)
    {
        ArgumentNullException.ThrowIfNull(samples);
        Check(samples, firstFrame, frameCount);
        var shape = new SampleShapeTally(samples.SampleRate, firstFrame);
        var buffer = new double[shape.Block * BlocksAtOnce];
        for (var done = 0L; done < frameCount; done += buffer.Length)
        {
            var fresh = buffer.AsSpan(0, (int)Math.Min(buffer.Length, frameCount - done));
            samples.Read(channel, firstFrame + done, fresh);
            for (var at = 0; at < fresh.Length; at += shape.Block) shape.Add(fresh.Slice(at, Math.Min(shape.Block, fresh.Length - at)));
        }
        return shape.Finish();
    }

    private static void Check(SampleSource samples, long firstFrame, long frameCount)
    {
        if (firstFrame < 0 || frameCount < 1 || frameCount > samples.Frames - firstFrame)
            throw new ArgumentOutOfRangeException(nameof(frameCount), frameCount, $"The recording has {samples.Frames - firstFrame} frames from there.");
    }
}
