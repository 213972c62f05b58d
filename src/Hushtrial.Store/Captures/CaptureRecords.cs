namespace Hushtrial.Store.Captures;

/// <summary>What a capture is made with, as the capturing page found it.</summary>
/// <param name="SampleRate">Rate that the samples come at, Hz, 8000 to 192 000.</param>
/// <param name="Channels">Channels, 1 to 4.</param>
/// <param name="Device">Name of the input, for people.</param>
/// <param name="Settings">What the browser said of the input after it was opened: processing on or off, rates, channels.</param>
public sealed record CaptureSource(int SampleRate, int Channels, string Device, IReadOnlyDictionary<string, string> Settings);

/// <summary>A stretch of a capture in which every channel is exactly zero although sound came before: samples that never arrived and were filled up.</summary>
/// <param name="Frame">Where it begins.</param>
/// <param name="Frames">How long it is.</param>
public sealed record CaptureGap(long Frame, long Frames);

/// <summary>Something noted while it was captured: a take, an event.</summary>
/// <param name="Kind">'take', 'event', 'again' or whatever the page calls it; 1 to 20 letters.</param>
/// <param name="From">First frame.</param>
/// <param name="To">One past the last frame; null for a moment.</param>
/// <param name="Condition">Condition of the trial that was worn; null when none is meant.</param>
/// <param name="Fit">Fit that it belongs to.</param>
/// <param name="Words">Remark; "" for none.</param>
public sealed record CaptureMark(string Kind, long From, long? To, string? Condition, string? Fit, string Words);

/// <summary>How far a capture is.</summary>
/// <param name="Id">Its identity.</param>
/// <param name="Trial">The trial that it belongs to.</param>
/// <param name="Name">File name that the recording will have.</param>
/// <param name="Source">What it is made with.</param>
/// <param name="FirstFrameAt">Local time of the first frame, as this machine's clock had it; null before it came.</param>
/// <param name="Frames">Frames that are kept.</param>
public sealed record CaptureState(Guid Id, Guid Trial, string Name, CaptureSource Source, DateTimeOffset? FirstFrameAt, long Frames)
{
    /// <summary>Its length, s.</summary>
    public double Seconds => (double)Frames / Source.SampleRate;

    /// <summary>Stretches of inserted zeros, in order; at most 1000.</summary>
    public IReadOnlyList<CaptureGap> Gaps { get; init; } = [];

    /// <summary>What was noted, in order.</summary>
    public IReadOnlyList<CaptureMark> Marks { get; init; } = [];
}

/// <summary>What became of frames or of a mark that were sent.</summary>
public enum CaptureAnswer
{
    /// <summary>They are kept; those that were kept before are not kept twice.</summary>
    Kept,

    /// <summary>Frames before them are missing: send from where the capture stands.</summary>
    TooFar,

    /// <summary>They differ from what is kept at their place, or hold something that is no sample.</summary>
    Wrong,

    /// <summary>The disk takes no more. Nothing new is kept; the same may be sent again when there is room.</summary>
    NotWritten,

    /// <summary>There is no such capture; it may be finished.</summary>
    Unknown,

    /// <summary>Another process has the capture open.</summary>
    Elsewhere,
}

/// <summary>Hears frames that are kept for the first time. It is called while the capture is held: it must neither ask the shelf nor wait for anybody who does.</summary>
/// <param name="from">Place of the first one.</param>
/// <param name="interleaved">32-bit floating point, little-endian, one value per channel and frame.</param>
public delegate void FreshFrames(long from, ReadOnlySpan<byte> interleaved);
