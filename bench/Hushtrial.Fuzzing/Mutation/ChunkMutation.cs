using System.Text;

namespace Hushtrial.Fuzzing.Mutation;

/// <summary>Changes that know where files made of named chunks keep their lengths: RIFF, RF64, BW64, AIFF, Wave64, FLAC, and the records of ZIP.</summary>
internal static class ChunkMutation
{
    private static readonly byte[][] _names =
    [
        .. new[] { "RIFF", "RF64", "BW64", "FORM", "WAVE", "AIFF", "AIFC", "fmt ", "data", "ds64", "fact", "bext", "cue ", "LIST", "adtl", "labl", "JUNK", "PEAK", "COMM", "SSND", "MARK", "FVER", "NONE", "sowt", "twos",
            "raw ", "in24", "fl32", "fl64", "fLaC", "OggS", "ID3\u0003", "caff", "wvpk", ".snd", "riff", "wave", "PK\u0003\u0004", "PK\u0001\u0002", "PK\u0005\u0006", "PK\u0006\u0006", "PK\u0006\u0007" }.Select(Encoding.Latin1.GetBytes),
        // The tails of Wave64's names.
        [0x66, 0x6D, 0x74, 0x20, 0xF3, 0xAC, 0xD3, 0x11, 0x8C, 0xD1, 0x00, 0xC0, 0x4F, 0x8E, 0xDB, 0x8A], [0x64, 0x61, 0x74, 0x61, 0xF3, 0xAC, 0xD3, 0x11, 0x8C, 0xD1, 0x00, 0xC0, 0x4F, 0x8E, 0xDB, 0x8A],
        // The tail of a sub-format's GUID.
        [0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xAA, 0x00, 0x38, 0x9B, 0x71],
    ];

    /// <summary>First bytes of the names: most places can be left at a glance.</summary>
    private static readonly byte[][][] _byFirst = [.. Enumerable.Range(0, 256).Select(b => _names.Where(n => n[0] == b).ToArray())];

    public static byte[] Mutate(byte[] input, byte[] other, Dice dice)
    {
        var bytes = input.ToList();
        for (var n = 1 + dice.Below(4); n > 0; n--)
            if (dice.OneIn(3)) ByteMutation.Step(bytes, other, dice);
            else Step(bytes, other, dice);
        return [.. bytes];
    }

    private static void Step(List<byte> bytes, byte[] other, Dice dice)
    {
        var places = Places(bytes);
        if (places.Count == 0)
        {
            bytes.InsertRange(0, dice.Of(_names));
            return;
        }
        var (at, length) = dice.Of(places);
        switch (dice.Below(8))
        {
            // A length: near the truth, near a limit, or near what is left of the file.
            case 0: ByteMutation.Number(bytes, at + length, bytes.Count - at - dice.Below(40), dice); break;
            case 1: ByteMutation.Number(bytes, at + length, (1L << dice.Below(64)) + dice.Below(5) - 2, dice); break;
            case 2: ByteMutation.Number(bytes, at + length + dice.Below(44), dice.Below(70_000), dice); break;
            case 3 when at + length < bytes.Count: bytes[at + length + dice.Below(Math.Min(48, bytes.Count - at - length))] = (byte)dice.Below(256); break;
            case 4: Name(bytes, at, dice.Of(_names)); break;
            // A chunk more, from here or from elsewhere; a chunk less.
            case 5:
                var next = Next(places, at, bytes.Count);
                var chunk = bytes.GetRange(at, next - at);
                bytes.InsertRange(dice.Of(places).At, chunk.Take(600));
                break;
            case 6: bytes.RemoveRange(at, Next(places, at, bytes.Count) - at); break;
            default:
                var foreign = other.ToList();
                var theirs = Places(foreign);
                if (theirs.Count == 0) break;
                var from = dice.Of(theirs).At;
                bytes.InsertRange(at, foreign.GetRange(from, Math.Min(600, Next(theirs, from, foreign.Count) - from)));
                break;
        }
    }

    private static void Name(List<byte> bytes, int at, byte[] name)
    {
        for (var i = 0; i < name.Length && at + i < bytes.Count; i++) bytes[at + i] = name[i];
    }

    private static int Next(List<(int At, int Length)> places, int at, int end)
    {
        foreach (var (place, _) in places)
            if (place > at) return place;
        return end;
    }

    /// <summary>Places of known names, in order; a Wave64 name counts whole.</summary>
    private static List<(int At, int Length)> Places(List<byte> bytes)
    {
        var places = new List<(int, int)>();
        for (var at = 0; at + 4 <= bytes.Count && places.Count < 60; at++)
            foreach (var name in _byFirst[bytes[at]])
            {
                if (bytes[at + 1] != name[1] || bytes[at + 2] != name[2] || bytes[at + 3] != name[3]) continue;
                var wide = at + 8 <= bytes.Count && bytes[at + 4] == 0xF3 && bytes[at + 5] == 0xAC;
                places.Add((at, wide ? 16 : 4));
                break;
            }
        return places;
    }
}
