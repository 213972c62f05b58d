using System.Numerics;

namespace Hushtrial.Statistics.Distributions;

/// <summary>Random numbers whose sequence depends on the seed alone, on every machine and in every version.</summary>
/// <remarks>Source: xoshiro256** 1.0, Blackman and Vigna 2018 (public domain), its state filled by SplitMix64 as its authors advise.
/// Normal draws by Marsaglia's polar method. Not for secrets. One generator serves one thread.</remarks>
public sealed class SeededGenerator
{
    private ulong _s0;
    private ulong _s1;
    private ulong _s2;
    private ulong _s3;
    private double _spare;
    private bool _hasSpare;

    /// <summary>A generator for this seed.</summary>
    /// <param name="seed">Any number; equal seeds give equal sequences.</param>
    public SeededGenerator(ulong seed)
    {
        _s0 = SplitMix(ref seed);
        _s1 = SplitMix(ref seed);
        _s2 = SplitMix(ref seed);
        _s3 = SplitMix(ref seed);
    }

    /// <summary>The next 64 random bits.</summary>
    public ulong NextBits()
    {
        var result = BitOperations.RotateLeft(_s1 * 5, 7) * 9;
        var t = _s1 << 17;
        _s2 ^= _s0;
        _s3 ^= _s1;
        _s1 ^= _s2;
        _s0 ^= _s3;
        _s2 ^= t;
        _s3 = BitOperations.RotateLeft(_s3, 45);
        return result;
    }

    /// <summary>Uniform in [0, 1), 53 random bits.</summary>
    public double NextUniform() => (NextBits() >> 11) * (1.0 / (1UL << 53));

    /// <summary>Uniform whole number in [0, <paramref name="bound"/>).</summary>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="bound"/> is below 1.</exception>
    public int NextIndex(int bound)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(bound, 1);
        return (int)(((UInt128)NextBits() * (ulong)bound) >> 64);
    }

    /// <summary>Standard normal.</summary>
    public double NextNormal()
    {
        if (_hasSpare)
        {
            _hasSpare = false;
            return _spare;
        }
        double u, v, s;
        do
        {
            u = 2 * NextUniform() - 1;
            v = 2 * NextUniform() - 1;
            s = u * u + v * v;
        }
        while (s is >= 1 or 0);
        var factor = Math.Sqrt(-2 * Math.Log(s) / s);
        _spare = v * factor;
        _hasSpare = true;
        return u * factor;
    }

    private static ulong SplitMix(ref ulong state)
    {
        state += 0x9E3779B97F4A7C15UL;
        var z = state;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
        return z ^ (z >> 31);
    }
}
