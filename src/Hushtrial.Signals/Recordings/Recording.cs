using Hushtrial.Quantities;

namespace Hushtrial.Signals.Recordings;

/// <summary>What to think of a recording whose header promises more than the file holds.</summary>
public enum Truncation
{
    /// <summary>An error: a take may have lost its end without anybody noticing.</summary>
    IsError,

    /// <summary>A warning: the person has seen it and wants what is there.</summary>
    IsAllowed,
}

/// <summary>One recording: what its header says, what is wrong with it, and its samples, streamed. Nothing grows with its length.</summary>
/// <remarks>Immutable and safe to use from several threads. Owns its bytes: dispose it.</remarks>
public sealed class Recording : IDisposable
{
    private readonly IByteSource _bytes;
    private readonly IReadOnlyList<Recording> _files = [];

    private Recording(IByteSource bytes, string name, ContainerFormat container, ParsedHeader header, bool lossy, IReadOnlyList<Problem> problems)
    {
        _bytes = bytes;
        Name = name;
        Container = container;
        Lossy = lossy;
        Problems = problems;
        Origin = header.Origin;
        Markers = header.Markers;
        Layout = header.Layout;
        Samples = header.Layout is { } layout ? new StoredSamples(bytes, layout) : null;
    }

    private Recording(IByteSource bytes, string name, IReadOnlyList<Recording> files, ParsedHeader header, IReadOnlyList<Problem> problems)
        : this(bytes, name, files[0].Container, header, files.Any(f => f.Lossy), problems) => _files = files;

    /// <summary>Name for people, as given to <see cref="Open(IByteSource, string, Truncation)"/>; not a path to be opened.</summary>
    public string Name { get; }

    /// <summary>The kind of file; for a decoded recording the kind it was decoded from.</summary>
    public ContainerFormat Container { get; }

    /// <summary>How samples are stored, in the first file where there are several; null when the recording cannot be read.</summary>
    public SampleEncoding? Encoding => Samples is null ? null : Layout?.Encoding ?? _files[0].Encoding;

    /// <summary>Sampling rate, Hz; 0 when the recording cannot be read.</summary>
    public int SampleRate => Samples?.SampleRate ?? 0;

    /// <summary>Number of channels; 0 when the recording cannot be read.</summary>
    public int Channels => Samples?.Channels ?? 0;

    /// <summary>Whole frames that can be read; 0 when the recording cannot be read.</summary>
    public long Frames => Samples?.Frames ?? 0;

    /// <summary>Playing time of <see cref="Frames"/>; zero when the recording cannot be read.</summary>
    public TimeSpan Duration => Samples is { } s ? TimeSpan.FromSeconds((double)s.Frames / s.SampleRate) : TimeSpan.Zero;

    /// <summary>Whether a lossy codec was between the microphone and these samples. Such a file serves for timing and broadband levels only.</summary>
    public bool Lossy { get; }

    /// <summary>What is wrong with the header, the length and the coding, in the order it was met. Bad sample values are found by <see cref="SampleScan"/>.</summary>
    public IReadOnlyList<Problem> Problems { get; }

    /// <summary>The samples; null when an error makes them unreadable. With a truncated file they are the readable part, and <see cref="Problems"/> holds the error.</summary>
    public SampleSource? Samples { get; private init; }

    /// <summary>What the broadcast extension says of the origin; null when the file has none.</summary>
    public RecordingOrigin? Origin { get; }

    /// <summary>Frames from the recorder's local midnight to the first frame (broadcast extension); null when not stated.</summary>
    public long? SamplesSinceMidnight => Origin?.SamplesSinceMidnight;

    /// <summary>Cue points of the file, in order of place; at most 10 000.</summary>
    public IReadOnlyList<Marker> Markers { get; }

    /// <summary>Whether the samples can be read and no problem is an error.</summary>
    public bool IsUsable => Samples is not null && Problems.All(p => p.Severity != Severity.Error);

    /// <summary>Where the samples lie; null when the recording cannot be read, or its channels lie in files of their own.</summary>
    internal SampleLayout? Layout { get; }

    /// <summary>The bytes that <see cref="Layout"/> speaks of.</summary>
    internal IByteSource Bytes => _bytes;

    /// <summary>Reads the header of a recording; takes over the bytes, also when the recording turns out to be unreadable.</summary>
    /// <param name="bytes">The file. Only a few kilobytes are read here.</param>
    /// <param name="name">Name for people, used in every problem.</param>
    /// <param name="truncation">Whether a recording that ends before its promised length is an error or a warning.</param>
    public static Recording Open(IByteSource bytes, string name, Truncation truncation = Truncation.IsError)
    {
        var problems = new List<Problem>();
        var container = FileSignature.Of(bytes);
        var header = ParsedHeader.Read(bytes, container, new RecordingProblems(name, truncation, problems));
        return new Recording(bytes, name, container, header, lossy: false, problems);
    }

    /// <summary>Reads a WAVE file that a decoder made from another kind of file.</summary>
    /// <param name="decoded">The decoder's output; taken over.</param>
    /// <param name="name">Name for people: of the original.</param>
    /// <param name="original">The kind of file it was decoded from.</param>
    /// <param name="codec">The codec's name, for people.</param>
    /// <param name="lossy">Whether that codec is lossy.</param>
    /// <param name="damage">What the decoder met.</param>
    public static Recording OpenDecoded(IByteSource decoded, string name, ContainerFormat original, string codec, bool lossy, params IReadOnlyList<Problem> damage)
    {
        List<Problem> problems = [.. damage];
        var report = new RecordingProblems(name, Truncation.IsError, problems);
        var header = ParsedHeader.Read(decoded, FileSignature.Of(decoded), report);
        if (lossy && header.Layout is not null) report.LossyCodec(codec);
        return new Recording(decoded, name, original, header, lossy, problems);
    }

    /// <summary>A recording that could not even be opened or decoded: the name and the reasons.</summary>
    public static Recording Unreadable(string name, ContainerFormat container, params IReadOnlyList<Problem> problems) =>
        new(NoBytes.Instance, name, container, ParsedHeader.Nothing, lossy: false, problems);

    /// <summary>Files that belong together as one recording; without bytes or layout it has no samples.</summary>
    internal static Recording Together(IReadOnlyList<Recording> files, string name, IReadOnlyList<Problem> problems, JoinedBytes? bytes, SampleLayout? layout)
    {
        var offset = 0L;
        var markers = new List<Marker>();
        foreach (var file in files)
        {
            var at = offset;
            markers.AddRange(file.Markers.Select(m => m with { Frame = m.Frame + at }));
            offset += file.Frames;
        }
        return new(bytes ?? (IByteSource)NoBytes.Instance, name, files, new ParsedHeader(layout, files[0].Origin, markers), problems);
    }

    /// <summary>Files whose channels lie side by side; without samples it cannot be read.</summary>
    internal static Recording Together(IReadOnlyList<Recording> files, string name, IReadOnlyList<Problem> problems, SampleSource? samples) =>
        new(NoBytes.Instance, name, files, new ParsedHeader(null, files[0].Origin, files[0].Markers), problems) { Samples = samples };

    /// <summary>Closes the bytes.</summary>
    public void Dispose()
    {
        _bytes.Dispose();
        foreach (var file in _files) file.Dispose();
    }

    private sealed class NoBytes : IByteSource
    {
        public static readonly NoBytes Instance = new();

        public long Length => 0;

        public int Read(long offset, Span<byte> destination) => 0;

        public void Dispose()
        {
        }
    }
}
