using static Hushtrial.Signals.Recordings.ByteSourceReading;

namespace Hushtrial.Signals.Recordings;

/// <summary>The chunks of WAVE that tell of the recording without being needed to read it: broadcast extension, cue points, their labels.</summary>
internal sealed class WaveTexts
{
    private const int MostMarkers = 10_000, MostBytes = 1 << 20;

    private readonly Dictionary<uint, long> _cues = [];
    private readonly Dictionary<uint, string> _labels = [];

    public RecordingOrigin? Origin { get; private set; }

    public IReadOnlyList<Marker> Markers() => _cues.Count == 0 ? [] :
        [.. _cues.Select(c => new Marker(c.Value, _labels.GetValueOrDefault(c.Key, ""))).OrderBy(m => m.Frame).ThenBy(m => m.Label, StringComparer.Ordinal)];

    public void Take(string id, IByteSource bytes, long start, long size)
    {
        switch (id)
        {
            case "bext" when size >= 346:
                var bext = bytes.Bytes(start, size, 346);
                // EBU Tech 3285: description 256, originator 32, reference 32, date 10, time 8, time reference low and high 4 each.
                var reference = U64(bext, 338);
                Origin = new RecordingOrigin(Latin(bext.AsSpan(0, 256)), Latin(bext.AsSpan(256, 32)), Latin(bext.AsSpan(320, 10)), Latin(bext.AsSpan(330, 8)),
                    reference > long.MaxValue ? 0 : (long)reference);
                break;
            case "cue ":
                var cue = bytes.Bytes(start, size, MostBytes);
                for (var at = 4; at + 24 <= cue.Length && _cues.Count < MostMarkers; at += 24) _cues[U32(cue, at)] = U32(cue, at + 20);
                break;
            case "LIST":
                Labels(bytes.Bytes(start, size, MostBytes));
                break;
        }
    }

    private void Labels(ReadOnlySpan<byte> list)
    {
        if (!list.StartsWith("adtl"u8)) return;
        var at = 4L;
        while (at + 12 <= list.Length && _labels.Count < MostMarkers)
        {
            var item = list[(int)at..];
            long size = U32(item, 4);
            if (size < 4 || at + 8 + size > list.Length) return;
            if (item.StartsWith("labl"u8)) _labels[U32(item, 8)] = Latin(item[12..(int)(8 + size)]);
            at += 8 + size + (size & 1);
        }
    }
}
