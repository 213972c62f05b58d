using System.Runtime.CompilerServices;

namespace Hushtrial.Signals;

/// <summary>How the loops over samples are compiled.</summary>
internal static class Compilation
{
    /// <summary>Optimised at the first call. A program that is compiled ahead has them optimised already, and methods marked for the first call would be left out of that.</summary>
    internal const MethodImplOptions OfLoops =
#if COMPILED_AHEAD
        0;
#else
        MethodImplOptions.AggressiveOptimization;
#endif
}
