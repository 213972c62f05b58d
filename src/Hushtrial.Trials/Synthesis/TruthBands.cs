using Hushtrial.Quantities;

namespace Hushtrial.Trials.Synthesis;

/// <summary>Levels, or losses, of a stated sound: A, C and the 31 one-third octaves, dB.</summary>
internal sealed record TruthBands(double A, double C, IReadOnlyDictionary<Band, double> Bands)
{
    /// <summary>Levels of a cabin behind a loss.</summary>
    public static TruthBands Of(CabinNoise cabin, Func<double, double> loss) => new(
        TruthIntegration.Level(cabin, loss, FrequencyWeighting.A),
        TruthIntegration.Level(cabin, loss, FrequencyWeighting.C),
        TruthIntegration.ThirdOctaves(cabin, loss));

    /// <summary>The arithmetic mean of the losses behind several putting-ons, as the method averages them.</summary>
    public static TruthBands MeanLoss(CabinNoise cabin, TruthBands open, IReadOnlyList<Func<double, double>> losses)
    {
        var each = losses.Select(loss => Of(cabin, loss)).ToList();
        return new(open.A - each.Average(e => e.A), open.C - each.Average(e => e.C),
            Band.ThirdOctaves.ToDictionary(b => b, b => open.Bands[b] - each.Average(e => e.Bands[b])));
    }
}
