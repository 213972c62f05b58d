using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hushtrial.Signals.Levels;

/// <summary>The number of lanes that serves this processor best.</summary>
internal static class VectorWidth
{
    /// <summary>Eight, four or two.</summary>
    /// <remarks>On processors that run wide vectors at a lower clock the runtime does not call 512 bits accelerated, for the sake of programs
    /// that use them now and then. These loops do nothing else, and take 0.6 of the time with them there.</remarks>
    internal static int Lanes { get; } = Vector512.IsHardwareAccelerated || Avx512F.IsSupported ? 8 : Vector256.IsHardwareAccelerated ? 4 : 2;
}
