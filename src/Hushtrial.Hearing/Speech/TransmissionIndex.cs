namespace Hushtrial.Hearing.Speech;

/// <summary>The speech transmission index from band modulation transfer indices.</summary>
/// <remarks>Source: IEC 60268-16:2011, A.5.6; the male weights are from memory, proved by the example of Annex M.</remarks>
public static class TransmissionIndex
{
    private static readonly double[] _alpha = [0.085, 0.127, 0.230, 0.233, 0.309, 0.224, 0.173];
    private static readonly double[] _beta = [0.085, 0.078, 0.065, 0.011, 0.047, 0.095];

    /// <summary>The index for a male talker.</summary>
    /// <param name="modulationTransferIndices">MTI of the octaves 125 Hz to 8 kHz, each 0…1.</param>
    /// <exception cref="ArgumentException">Not seven values, or one outside 0…1.</exception>
    public static double Of(IReadOnlyList<double> modulationTransferIndices)
    {
        var mti = modulationTransferIndices;
        if (mti.Count != 7) throw new ArgumentException($"Seven octaves are needed, not {mti.Count}.", nameof(modulationTransferIndices));
        if (mti.Any(m => m is not (>= 0 and <= 1))) throw new ArgumentException("A modulation transfer index lies in 0…1.", nameof(modulationTransferIndices));
        var sum = mti.Select((m, k) => _alpha[k] * m).Sum() - _beta.Select((b, k) => b * Math.Sqrt(mti[k] * mti[k + 1])).Sum();
        return Math.Clamp(sum, 0, 1);
    }

    /// <summary>The transmission index of a signal-to-noise ratio: (SNR + 15)/30, limited to 0…1.</summary>
    public static double OfSignalToNoise(Quantities.LevelDifference signalToNoise) => Math.Clamp((signalToNoise.Decibels + 15) / 30, 0, 1);

    /// <summary>The common intelligibility scale: 1 + lg(STI); null for an index of 0.</summary>
    public static double? CommonScale(double sti) => sti > 0 ? 1 + Math.Log10(sti) : null;
}
