using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Effects;

/// <summary>A combination of levels at the ear: what a result is made of.</summary>
/// <param name="Weights">Weight by condition, or 'open'. Weights that sum to 0 make a difference, to 1 a level.</param>
public sealed record LevelContrast(IReadOnlyDictionary<string, double> Weights)
{
    /// <summary>The trial's quantity of a condition: reference minus covered. The reference is the open ear; in a level difference the outside microphone, in an
    /// active part the same donning with the electronics off, both 0 by construction and under the same name.</summary>
    public static LevelContrast Loss(string condition) => Of((TrialDocument.OpenEar, 1), (condition, -1));

    /// <summary>Difference of two insertion losses: positive when the first reduces more.</summary>
    public static LevelContrast Difference(string first, string second) => Of((second, 1), (first, -1));

    /// <summary>Level under a condition, or of the open ear, in the trial's mean noise.</summary>
    public static LevelContrast Level(string condition) => Of((condition, 1));

    /// <summary>Any combination; weights of one state add up.</summary>
    public static LevelContrast Of(params (string Condition, double Weight)[] weights)
    {
        var sum = new Dictionary<string, double>(StringComparer.Ordinal);
        foreach (var (condition, weight) in weights) sum[condition] = sum.GetValueOrDefault(condition) + weight;
        return new(sum);
    }
}
