using Hushtrial.Quantities;

namespace Hushtrial.Hearing.EarTransfer;

/// <summary>The three A-weighted numbers that are all called 'noise reduction', side by side so that nobody mixes them.</summary>
/// <param name="RawInsertionLossA">Open minus covered at the ear microphone, A-weighted there: flatters.</param>
/// <param name="FieldRelatedReductionA">The same with both levels brought back to the field: what exposure falls by.</param>
/// <param name="LevelDifferenceA">Cabin microphone minus covered ear microphone at the same moment.</param>
public sealed record EarQuantities(LevelDifference RawInsertionLossA, LevelDifference FieldRelatedReductionA, LevelDifference LevelDifferenceA)
{
    /// <summary>The three numbers from spectra of the same noise.</summary>
    /// <param name="cabin">Field without the listener.</param>
    /// <param name="openEar">At the ear microphone, ear open.</param>
    /// <param name="coveredEar">At the ear microphone, device worn.</param>
    /// <param name="transfer">Transfer function of the open ear at that microphone.</param>
    public static EarQuantities Of(Spectrum cabin, Spectrum openEar, Spectrum coveredEar, EarTransferFunction transfer)
    {
        const FrequencyWeighting a = FrequencyWeighting.A;
        return new(openEar.Total(a) - coveredEar.Total(a),
            transfer.FieldRelated(openEar).Levels.Total(a) - transfer.FieldRelated(coveredEar).Levels.Total(a),
            cabin.Total(a) - coveredEar.Total(a));
    }
}
