using Hushtrial.Quantities;

namespace Hushtrial.Signals.Levels;

/// <summary>The unweighted level of one band over a span.</summary>
/// <param name="Band">The band.</param>
/// <param name="MeanSquare">Mean square, full scale² (a full-scale sine in the band has 0.5); 0 in a band that is not valid.</param>
/// <param name="Valid">Whether a class 1 filter of this band exists at the recording's sampling rate.</param>
/// <param name="Reason">Why the band is not valid, or null.</param>
public sealed record BandLevel(Band Band, double MeanSquare, bool Valid, string? Reason);
