namespace Hushtrial.Signals.Recordings;

/// <summary>Decides how much of a file is samples, from what the header promises and what is there.</summary>
internal sealed class DataExtent(long fileLength, long start, ulong promised, SampleLayout format, RecordingProblems problems)
{
    /// <summary>The header holds a placeholder instead of a length.</summary>
    public bool Unknown { get; init; }

    /// <summary>The header holds the length less a multiple of 4 GiB.</summary>
    public bool Wrapped { get; init; }

    /// <summary>Bytes to which the container pads chunks; some writers count the padding as data.</summary>
    public int Padding { get; init; } = 1;

    /// <summary>The layout with place and length; null when there is no whole frame.</summary>
    /// <param name="at">Byte to name in problems: where the header states the length.</param>
    public SampleLayout? Resolve(long at)
    {
        var available = Math.Max(0, fileLength - start);
        var broken = false;
        var present = (long)Math.Min(promised, (ulong)available);
        if (Unknown)
        {
            present = available;
            if (present >= format.FrameBytes) problems.LengthUnknown(at, present, format);
        }
        else if (Wrapped)
        {
            present = available - ((available - (long)promised) % (1L << 32));
            problems.LengthWrapped(at, promised, present, format);
        }
        else if (promised > (ulong)available && available >= format.FrameBytes)
        {
            broken = true;
            // A hundredfold claim above 4 GiB is no broken copy: the header is damaged.
            if (promised > 1UL << 32 && promised / 100 > (ulong)available) problems.LengthAbsurd(at, promised, available, format);
            else problems.Truncated(at, (long)promised, available, format);
        }
        var frames = present / format.FrameBytes;
        if (frames == 0)
        {
            problems.NoFrames(at);
            return null;
        }
        // Where the end is missing anyway, half a frame is no news.
        if (!broken && present % format.FrameBytes is var left && left >= Padding) problems.HalfFrame(start + (frames * format.FrameBytes), left, format.FrameBytes);
        return format with { DataOffset = start, Frames = frames };
    }
}
