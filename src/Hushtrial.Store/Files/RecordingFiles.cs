using System.Buffers.Binary;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Store.Files;

/// <summary>Opens recordings of any format by the name of their file.</summary>
public static class RecordingFiles
{
    /// <summary>Opens a recording: natively, or through the decoder. Never throws for what the file is; the recording's problems say it.</summary>
    /// <param name="path">The file.</param>
    /// <param name="displayName">Name for people, used in problems.</param>
    /// <param name="truncation">Whether a recording that ends before its promised length is an error or a warning.</param>
    /// <param name="cancellation">Stops a decoder.</param>
    public static Recording Open(string path, string displayName, Truncation truncation = Truncation.IsError, CancellationToken cancellation = default) =>
        Open(path, displayName, truncation, Environment.GetEnvironmentVariable("PATH"), cancellation);

    /// <summary>As above, with the folders in which the decoder may lie.</summary>
    internal static Recording Open(string path, string displayName, Truncation truncation, string? searchPath, CancellationToken cancellation)
    {
        if (FileBytes.Open(path, displayName, out var problem) is not { } bytes) return Recording.Unreadable(displayName, ContainerFormat.Unknown, problem!);
        var format = FileSignature.Of(bytes);
        if (!FileSignature.NeedsDecoder(format)) return Recording.Open(bytes, displayName, truncation);
        var promisedFrames = format == ContainerFormat.Flac ? FlacFrames(bytes) : 0;
        bytes.Dispose();
        return ExternalDecoding.Decode(path, displayName, format, promisedFrames, searchPath, truncation, cancellation);
    }

    /// <summary>Frames that a FLAC file promises: RFC 9639, 8.2, the lower 36 bits of bytes 18 to 25; 0 means unknown there too.</summary>
    private static long FlacFrames(FileBytes bytes)
    {
        Span<byte> field = stackalloc byte[8];
        return bytes.Read(18, field) == 8 ? BinaryPrimitives.ReadInt64BigEndian(field) & 0xF_FFFF_FFFF : 0;
    }
}
