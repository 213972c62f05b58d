namespace Hushtrial.Signals.Recordings;

/// <summary>Samples of all channels at any place, full scale = ±1 (floating-point files may exceed it). Safe to read from several threads at once.</summary>
public abstract class SampleSource
{
    /// <summary>Sampling rate, Hz.</summary>
    public abstract int SampleRate { get; }

    /// <summary>Number of channels, from 1.</summary>
    public abstract int Channels { get; }

    /// <summary>Number of frames (one sample of every channel).</summary>
    public abstract long Frames { get; }

    /// <summary>Decodes frames of one channel.</summary>
    /// <param name="channel">Channel, from 0.</param>
    /// <param name="firstFrame">First frame; frames outside 0…<see cref="Frames"/> are an error of the caller.</param>
    /// <param name="destination">Receives one double per frame.</param>
    /// <exception cref="ArgumentOutOfRangeException">The channel or the frames do not exist.</exception>
    public abstract void Read(int channel, long firstFrame, Span<double> destination);

    /// <summary>The bytes behind a channel, and its place among theirs; null where samples are not simply stored.</summary>
    internal virtual (StoredSamples Samples, int Channel)? Stored(int channel) => null;
}
