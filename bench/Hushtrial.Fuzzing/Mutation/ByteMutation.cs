using System.Buffers.Binary;

namespace Hushtrial.Fuzzing.Mutation;

/// <summary>Changes that know nothing of what the bytes mean.</summary>
internal static class ByteMutation
{
    private static readonly long[] _telling = [0, 1, -1, 2, 3, 4, 7, 8, 15, 16, 24, 32, 64, 100, 127, 128, 255, 256, 4096, 32767, 32768, 65535, 65536, 1 << 20, int.MaxValue, int.MinValue, uint.MaxValue, 0x7FFF_F000, long.MaxValue, long.MinValue];

    public static byte[] Mutate(byte[] input, byte[] other, Dice dice)
    {
        var bytes = input.ToList();
        for (var n = 1 << dice.Below(4); n > 0; n--) Step(bytes, other, dice);
        return [.. bytes];
    }

    /// <summary>One change.</summary>
    public static void Step(List<byte> bytes, byte[] other, Dice dice)
    {
        // Most of what a header says stands in front.
        var at = dice.Below(dice.OneIn(2) ? Math.Min(bytes.Count, 128) : bytes.Count);
        switch (dice.Below(9))
        {
            case 0 when bytes.Count > 0: bytes[at] ^= (byte)(1 << dice.Below(8)); break;
            case 1 when bytes.Count > 0: bytes[at] = (byte)dice.Below(256); break;
            case 2: Number(bytes, at, dice.Of(_telling), dice); break;
            case 3 when bytes.Count > 0: bytes.RemoveRange(at, Math.Min(1 + dice.Below(24), bytes.Count - at)); break;
            case 4: bytes.InsertRange(at, Enumerable.Range(0, 1 + dice.Below(12)).Select(_ => (byte)dice.Below(256)).ToArray()); break;
            case 5 when bytes.Count > 0: bytes.InsertRange(at, bytes.GetRange(at, Math.Min(1 + dice.Below(64), bytes.Count - at))); break;
            case 6 when other.Length > 0:
                var from = dice.Below(other.Length);
                bytes.InsertRange(at, other[from..Math.Min(other.Length, from + 1 + dice.Below(64))]);
                break;
            case 7 when other.Length > 0:
                var start = dice.Below(other.Length);
                for (var i = 0; i < 1 + dice.Below(32) && at + i < bytes.Count && start + i < other.Length; i++) bytes[at + i] = other[start + i];
                break;
            case 8 when bytes.Count > 0 && dice.OneIn(4): bytes.RemoveRange(at, bytes.Count - at); break;
            default: break;
        }
    }

    /// <summary>Writes a number of 1, 2, 4 or 8 bytes over what is there, in either order of bytes.</summary>
    public static void Number(List<byte> bytes, int at, long value, Dice dice)
    {
        Span<byte> word = stackalloc byte[8];
        BinaryPrimitives.WriteInt64LittleEndian(word, value);
        var width = 1 << dice.Below(4);
        if (dice.OneIn(2)) word[..width].Reverse();
        for (var i = 0; i < width && at + i < bytes.Count; i++) bytes[at + i] = word[i];
    }
}
