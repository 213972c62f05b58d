using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Cabins;

/// <summary>How far the loss in a band is known.</summary>
public enum BandKnowledge
{
    /// <summary>Measured, and trusted.</summary>
    Known,

    /// <summary>The microphone's own noise was reached: the loss is at least this.</summary>
    AtLeast,

    /// <summary>Not measured, or not trusted.</summary>
    Unknown,
}

/// <summary>The loss of one condition in one band, with its 95 % interval.</summary>
/// <param name="Band">The band.</param>
/// <param name="Value">Estimate; of an unknown band it is not looked at.</param>
/// <param name="Low">Lower 95 % limit.</param>
/// <param name="High">Upper 95 % limit.</param>
/// <param name="Knowledge">How far it is known.</param>
public readonly record struct BandLoss(Band Band, LevelDifference Value, LevelDifference Low, LevelDifference High, BandKnowledge Knowledge = BandKnowledge.Known)
{
    /// <summary>A loss without a stated scatter.</summary>
    public static BandLoss Exact(Band band, LevelDifference value) => new(band, value, value, value);
}
