using System.Runtime.CompilerServices;

namespace Hushtrial.Signals.Levels;

/// <summary>Second-order sections on vectors. The new state takes the place of the older one: with two frames in a round of a loop nothing has to be moved.</summary>
internal static class Sections<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    /// <summary>Two poles: w = x + p₁·w₋₁ + p₂·w₋₂.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal static TVector Poles(ref TVector older, TVector newer, TVector p1, TVector p2, TVector x) =>
        older = TOps.MultiplyAdd(p1, newer, TOps.MultiplyAdd(p2, older, x));
}
