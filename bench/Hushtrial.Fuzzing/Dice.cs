namespace Hushtrial.Fuzzing;

/// <summary>Random numbers that are the same on every machine and in every version, so that a seed repeats a run: splitmix64.</summary>
internal sealed class Dice(ulong seed)
{
    private ulong _state = seed;

    public ulong Next()
    {
        var z = _state += 0x9E37_79B9_7F4A_7C15;
        z = (z ^ (z >> 30)) * 0xBF58_476D_1CE4_E5B9;
        z = (z ^ (z >> 27)) * 0x94D0_49BB_1331_11EB;
        return z ^ (z >> 31);
    }

    /// <summary>From 0 to below <paramref name="end"/>; 0 when there is nothing to choose from.</summary>
    public int Below(int end) => end <= 1 ? 0 : (int)(Next() % (ulong)end);

    public bool OneIn(int n) => Below(n) == 0;

    public T Of<T>(IReadOnlyList<T> choices) => choices[Below(choices.Count)];
}
