using System.Diagnostics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using Hushtrial.Signals.Levels;

namespace Hushtrial.Benchmarks;

/// <summary>How fast this processor could do the standard job at the full rate if its multiply-add units were never idle.</summary>
/// <remarks>
/// Machines differ by a factor of three; a share of the machine's own limit can be carried from one to another. The multiply-adds of a sample, with every
/// band at the full rate and nothing else counted: 31 bands of three sections with two each and one for the energy, 217; A, C and Z (13) with their
/// squares and sums (6) and six time weightings, 25; a spectrum of 8192 points with half overlap, two segments in one complex transform,
/// 2.5·lg₂ 8192 each way, 33.
/// </remarks>
internal static class MachineLimit
{
    /// <summary>Multiply-adds per sample of the standard job at the full rate.</summary>
    internal const int MultiplyAddsPerSample = 217 + 25 + 33;

    private const int Rounds = 4_000_000;
    private const int Chains = 12;

    /// <summary>Times real time at a sampling rate on one processor, by the best of several runs.</summary>
    internal static double TimesRealTime(int rate) => PerSecond() / ((double)MultiplyAddsPerSample * rate);

    private static double PerSecond()
    {
        var best = 0.0;
        for (var i = 0; i < 7; i++)
        {
            using var process = Process.GetCurrentProcess();
            var before = process.TotalProcessorTime;
            var lanes = VectorWidth.Lanes switch { 8 => Chain<EightLanes, Vector512<double>>(), 4 => Chain<FourLanes, Vector256<double>>(), _ => Chain<TwoLanes, Vector128<double>>() };
            process.Refresh();
            best = Math.Max(best, (double)Rounds * Chains * lanes / (process.TotalProcessorTime - before).TotalSeconds);
        }
        return best;
    }

    // Twelve chains hide the latency of four cycles on two units.
    [MethodImpl(MethodImplOptions.AggressiveOptimization | MethodImplOptions.NoInlining)]
    private static int Chain<TOps, TVector>()
        where TOps : struct, ILanes<TVector>
        where TVector : unmanaged
    {
        TVector x = TOps.Spread(0.999999), y = TOps.Spread(1e-9);
        TVector a = y, b = y, c = y, d = y, e = y, f = y, g = y, h = y, i = y, j = y, k = y, l = y;
        for (var n = 0; n < Rounds; n++)
        {
            a = TOps.MultiplyAdd(a, x, y);
            b = TOps.MultiplyAdd(b, x, y);
            c = TOps.MultiplyAdd(c, x, y);
            d = TOps.MultiplyAdd(d, x, y);
            e = TOps.MultiplyAdd(e, x, y);
            f = TOps.MultiplyAdd(f, x, y);
            g = TOps.MultiplyAdd(g, x, y);
            h = TOps.MultiplyAdd(h, x, y);
            i = TOps.MultiplyAdd(i, x, y);
            j = TOps.MultiplyAdd(j, x, y);
            k = TOps.MultiplyAdd(k, x, y);
            l = TOps.MultiplyAdd(l, x, y);
        }
        var sum = TOps.Add(TOps.Add(TOps.Add(a, b), TOps.Add(c, d)), TOps.Add(TOps.Add(e, f), TOps.Add(g, h)));
        sum = TOps.Add(sum, TOps.Add(TOps.Add(i, j), TOps.Add(k, l)));
        return double.IsNaN(Unsafe.As<TVector, double>(ref sum)) ? throw new InvalidOperationException("The chains went wrong.") : TOps.Count;
    }
}
