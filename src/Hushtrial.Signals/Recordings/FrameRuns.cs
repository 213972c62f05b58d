namespace Hushtrial.Signals.Recordings;

/// <summary>Frames of one channel in order: read many at a time, decoded in portions of any size to where they are wanted.</summary>
internal sealed class FrameRuns
{
    // The second cache holds what is read, and what is made of it.
    private const int MostFrames = 16_384;

    private readonly SampleSource _samples;
    private readonly int _channel;
    private readonly double[] _numbers = [];
    private readonly (StoredSamples Samples, int Channel)? _stored;
    private readonly byte[] _bytes = [];
    private readonly int _frames = MostFrames;
    private int _next;

    /// <param name="samples">The recording.</param>
    /// <param name="channel">Channel, from 0.</param>
    internal FrameRuns(SampleSource samples, int channel)
    {
        (_samples, _channel, _stored) = (samples, channel, samples.Stored(channel));
        if (_stored is { Samples.Layout.FrameBytes: var size })
        {
            _frames = Math.Clamp(StoredSamples.ReadBytes / size, 1, MostFrames);
            _bytes = new byte[SampleDecoding.Before + (_frames * size) + SampleDecoding.Behind];
        }
        else _numbers = new double[_frames];
    }

    /// <summary>Reads the next frames.</summary>
    /// <param name="first">The first of them.</param>
    /// <param name="most">At most so many.</param>
    /// <returns>How many were read: all of them are to be decoded before the next call.</returns>
    internal int Read(long first, long most)
    {
        var count = (int)Math.Min(most, _frames);
        _next = 0;
        if (_stored is { Samples: var stored }) stored.ReadStored(first, _bytes.AsSpan(SampleDecoding.Before, count * stored.Layout.FrameBytes));
        else _samples.Read(_channel, first, _numbers.AsSpan(0, count));
        return count;
    }

    /// <summary>Decodes the next of the frames that were read.</summary>
    internal void Decode(Span<double> destination)
    {
        if (_stored is { } stored)
        {
            var layout = stored.Samples.Layout;
            var first = SampleDecoding.Before + (_next * layout.FrameBytes) + (stored.Channel * layout.Encoding.Bytes);
            SampleDecoding.Decode(_bytes, first, layout.FrameBytes, layout.Encoding, destination);
        }
        else _numbers.AsSpan(_next, destination.Length).CopyTo(destination);
        _next += destination.Length;
    }
}
