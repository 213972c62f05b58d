using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Results;

/// <summary>Difference of two losses in one band and one scope, first minus second, dB.</summary>
/// <param name="Value">Posterior mean.</param>
/// <param name="Low">Lower 95 % limit, this band on its own.</param>
/// <param name="High">Upper 95 % limit, this band on its own.</param>
/// <param name="SimultaneousLow">Lower limit that holds at 95 % for all bands of the pair at once.</param>
/// <param name="SimultaneousHigh">Upper limit that holds at 95 % for all bands of the pair at once.</param>
public sealed record BandContrast(double Value, double Low, double High, double SimultaneousLow, double SimultaneousHigh);

/// <summary>Difference of two conditions in one band.</summary>
/// <param name="Band">The band.</param>
/// <param name="AsWorn">In the donnings made; null when it cannot be said.</param>
/// <param name="General">Over donnings and flights; null when it cannot be said.</param>
/// <param name="Valid">False when the band is not trusted in one of the two, or only a bound is known there.</param>
public sealed record BandDifference(Band Band, BandContrast? AsWorn, BandContrast? General, bool Valid)
{
    /// <summary>The difference in one scope.</summary>
    public BandContrast? In(EstimateScope scope) => scope == EstimateScope.AsWorn ? AsWorn : General;
}

/// <summary>What alone two conditions of one device differ in.</summary>
public enum OnlyDifference
{
    /// <summary>What is worn with it: the first without, the second with.</summary>
    WornWith,

    /// <summary>The mode, in the same donnings.</summary>
    Mode,
}
