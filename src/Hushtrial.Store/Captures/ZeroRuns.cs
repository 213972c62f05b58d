using System.Runtime.InteropServices;

namespace Hushtrial.Store.Captures;

/// <summary>Finds samples that never arrived: a browser fills them up with zeros, in all channels, and no microphone gives exact zeros for long.</summary>
/// <remarks>Not for several threads. Silence before the first sound is no gap: an input opens with it.</remarks>
internal sealed class ZeroRuns(int channels)
{
    /// <summary>One block of a browser's audio graph: nothing shorter can go missing.</summary>
    internal const int Least = 128;

    private const int MostGaps = 1000;

    private readonly List<CaptureGap> _gaps = [];
    private long _frames;
    private long _zeros;
    private bool _heard;

    /// <summary>Gaps that have ended, and the one that is open if it is long enough.</summary>
    public IReadOnlyList<CaptureGap> Gaps => _heard && _zeros >= Least && _gaps.Count < MostGaps ? [.. _gaps, new(_frames - _zeros, _zeros)] : [.. _gaps];

    /// <summary>Goes on with more frames.</summary>
    /// <param name="interleaved">32-bit samples, one per channel and frame.</param>
    public void Add(ReadOnlySpan<byte> interleaved)
    {
        var frame = 4 * channels;
        for (var at = 0; at < interleaved.Length; at += frame, _frames++)
        {
            // Zero of either sign.
            var silent = true;
            foreach (var sample in MemoryMarshal.Cast<byte, uint>(interleaved.Slice(at, frame))) silent &= (sample & 0x7FFF_FFFF) == 0;
            if (silent)
            {
                _zeros++;
                continue;
            }
            if (_heard && _zeros >= Least && _gaps.Count < MostGaps) _gaps.Add(new(_frames - _zeros, _zeros));
            (_zeros, _heard) = (0, true);
        }
    }
}
