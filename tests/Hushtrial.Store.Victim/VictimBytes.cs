using System.Globalization;

namespace Hushtrial.Store.Victim;

/// <summary>What is uploaded, known again from its name alone.</summary>
public static class VictimBytes
{
    /// <summary>The bytes of 'take-SEED-LENGTH.wav'.</summary>
    public static byte[] Of(string name)
    {
        var parts = name.Split('-', '.');
        var state = uint.Parse(parts[1], CultureInfo.InvariantCulture);
        var bytes = new byte[int.Parse(parts[2], CultureInfo.InvariantCulture)];
        for (var i = 0; i < bytes.Length; i++) bytes[i] = (byte)((state = (1664525 * state) + 1013904223) >> 24);
        "RIFF"u8.CopyTo(bytes);
        "WAVE"u8.CopyTo(bytes.AsSpan(8));
        return bytes;
    }
}
