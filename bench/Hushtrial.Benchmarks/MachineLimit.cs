using System.Diagnostics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

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
            var lanes = Avx512F.IsSupported ? Wide() : Vector256.IsHardwareAccelerated && Fma.IsSupported ? Middle() : throw new PlatformNotSupportedException("The limit is measured with fused multiply-adds of 256 or 512 bits.");
            process.Refresh();
            best = Math.Max(best, (double)Rounds * Chains * lanes / (process.TotalProcessorTime - before).TotalSeconds);
        }
        return best;
    }

    // Twelve chains hide the latency of four cycles on two units.
    [MethodImpl(MethodImplOptions.AggressiveOptimization | MethodImplOptions.NoInlining)]
    private static int Wide()
    {
        Vector512<double> x = Vector512.Create(0.999999), y = Vector512.Create(1e-9);
        Vector512<double> a = y, b = y, c = y, d = y, e = y, f = y, g = y, h = y, i = y, j = y, k = y, l = y;
        for (var n = 0; n < Rounds; n++)
        {
            a = Avx512F.FusedMultiplyAdd(a, x, y);
            b = Avx512F.FusedMultiplyAdd(b, x, y);
            c = Avx512F.FusedMultiplyAdd(c, x, y);
            d = Avx512F.FusedMultiplyAdd(d, x, y);
            e = Avx512F.FusedMultiplyAdd(e, x, y);
            f = Avx512F.FusedMultiplyAdd(f, x, y);
            g = Avx512F.FusedMultiplyAdd(g, x, y);
            h = Avx512F.FusedMultiplyAdd(h, x, y);
            i = Avx512F.FusedMultiplyAdd(i, x, y);
            j = Avx512F.FusedMultiplyAdd(j, x, y);
            k = Avx512F.FusedMultiplyAdd(k, x, y);
            l = Avx512F.FusedMultiplyAdd(l, x, y);
        }
        return Used(Vector512.Sum(a + b + c + d + e + f + g + h + i + j + k + l)) * 8;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization | MethodImplOptions.NoInlining)]
    private static int Middle()
    {
        Vector256<double> x = Vector256.Create(0.999999), y = Vector256.Create(1e-9);
        Vector256<double> a = y, b = y, c = y, d = y, e = y, f = y, g = y, h = y, i = y, j = y, k = y, l = y;
        for (var n = 0; n < Rounds; n++)
        {
            a = Fma.MultiplyAdd(a, x, y);
            b = Fma.MultiplyAdd(b, x, y);
            c = Fma.MultiplyAdd(c, x, y);
            d = Fma.MultiplyAdd(d, x, y);
            e = Fma.MultiplyAdd(e, x, y);
            f = Fma.MultiplyAdd(f, x, y);
            g = Fma.MultiplyAdd(g, x, y);
            h = Fma.MultiplyAdd(h, x, y);
            i = Fma.MultiplyAdd(i, x, y);
            j = Fma.MultiplyAdd(j, x, y);
            k = Fma.MultiplyAdd(k, x, y);
            l = Fma.MultiplyAdd(l, x, y);
        }
        return Used(Vector256.Sum(a + b + c + d + e + f + g + h + i + j + k + l)) * 4;
    }

    private static int Used(double sum) => double.IsNaN(sum) ? throw new InvalidOperationException("The chains went wrong.") : 1;
}
