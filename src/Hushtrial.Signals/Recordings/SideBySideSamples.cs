namespace Hushtrial.Signals.Recordings;

/// <summary>Channels that lie in files of their own, as one recording: as long as the shortest of them.</summary>
internal sealed class SideBySideSamples(IReadOnlyList<SampleSource> files) : SampleSource
{
    private readonly (SampleSource File, int Channel)[] _channels = [.. files.SelectMany(f => Enumerable.Range(0, f.Channels).Select(c => (f, c)))];

    public override int SampleRate => files[0].SampleRate;

    public override int Channels => _channels.Length;

    public override long Frames { get; } = files.Min(f => f.Frames);

    public override void Read(int channel, long firstFrame, Span<double> destination)
    {
        if (channel < 0 || channel >= _channels.Length)
            throw new ArgumentOutOfRangeException(nameof(channel), channel, $"The recording has channels 0 to {_channels.Length - 1}.");
        if (firstFrame < 0 || firstFrame > Frames - destination.Length)
            throw new ArgumentOutOfRangeException(nameof(firstFrame), firstFrame, $"Frames {firstFrame} to {firstFrame + destination.Length} are asked; the recording has {Frames}.");
        _channels[channel].File.Read(_channels[channel].Channel, firstFrame, destination);
    }

    internal override (StoredSamples Samples, int Channel)? Stored(int channel) => _channels[channel].File.Stored(_channels[channel].Channel);
}
