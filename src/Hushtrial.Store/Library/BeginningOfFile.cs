using Hushtrial.Signals.Recordings;

namespace Hushtrial.Store.Library;

/// <summary>The first bytes of a file, enough to tell its kind.</summary>
internal static class BeginningOfFile
{
    /// <summary>As many as are looked at.</summary>
    private const int MostBytes = 512;

    public static BufferedBytes Of(Stream stream)
    {
        var start = new byte[MostBytes];
        return new(start.AsMemory(0, stream.ReadAtLeast(start, start.Length, throwOnEndOfStream: false)));
    }
}
