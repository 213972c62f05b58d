using System.Runtime.InteropServices;
using SharpFuzz.Common;

namespace Hushtrial.Fuzzing;

/// <summary>Which branches an execution took, and how often: a count for every pair of neighbouring branches, kept in classes 1, 2, 3, 4–7, 8–15, 16–31, 32–127, more.</summary>
/// <remarks>Instrumented code writes into it. Where nothing is instrumented the map stays empty, and nothing ever looks new.</remarks>
internal sealed unsafe class EdgeMap
{
    private const int Size = 65_536;

    private static readonly byte[] _classes = [.. Enumerable.Range(0, 256).Select(n => (byte)(n switch { 0 => 0, 1 => 1, 2 => 2, 3 => 4, < 8 => 8, < 16 => 16, < 32 => 32, < 128 => 64, _ => 128 }))];

    private readonly byte* _map = (byte*)NativeMemory.AllocZeroed(Size);
    private readonly byte[] _seen = new byte[Size];

    private EdgeMap() => Trace.SharedMem = _map;

    /// <summary>The only one: instrumented code knows no other. It lives as long as the process.</summary>
    public static EdgeMap Instance { get; } = new();

    /// <summary>Pairs of branches met so far.</summary>
    public int Edges { get; private set; }

    public void Clear()
    {
        NativeMemory.Clear(_map, Size);
        Trace.PrevLocation = 0;
    }

    /// <summary>Whether the last execution took a pair of branches for the first time, or in a new class of counts.</summary>
    public bool TakeNews()
    {
        var news = false;
        var words = new ReadOnlySpan<ulong>(_map, Size / 8);
        for (var w = 0; w < words.Length; w++)
        {
            if (words[w] == 0) continue;
            for (var i = w * 8; i < (w * 8) + 8; i++)
            {
                var kind = _classes[_map[i]];
                if ((kind & ~_seen[i]) == 0) continue;
                if (_seen[i] == 0) Edges++;
                _seen[i] |= kind;
                news = true;
            }
        }
        return news;
    }
}
