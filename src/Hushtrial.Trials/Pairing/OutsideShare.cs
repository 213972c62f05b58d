using Hushtrial.Quantities;
using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Trials.Pairing;

/// <summary>The levels of one open-ear take at the ear and outside, by name of quantity, dB.</summary>
/// <param name="Block">Run and wearer: levels are compared inside one block only.</param>
/// <param name="Ear">At the ear.</param>
/// <param name="Outside">Outside, at the same time.</param>
internal sealed record OpenPair(string Block, IReadOnlyDictionary<string, double> Ear, IReadOnlyDictionary<string, double> Outside);

/// <summary>How much of the outside microphone's level is taken off a reading: y = ear − k · outside (method 1.1).</summary>
/// <remarks>k is covariance over variance among the open-ear takes. It is 1 where the outside microphone follows the noise, and falls where it hears wind of its own, whose
/// level would otherwise be put into every reading. It is left at 1 unless it was shown to be below 0.8 (one-sided 95 %) and the outside level scatters enough to matter:
/// few steady takes give a wild k, and with k below 1 a change of the cabin stays in the reading.</remarks>
public static class OutsideShare
{
    /// <summary>A share not shown to lie below this counts as 1 (method 1.1).</summary>
    public const double Whole = 0.8;

    /// <summary>Standard deviation of the outside level among open takes below which a wrong share could do no harm, dB (own rule).</summary>
    public const double Harmless = 0.5;

    private const int LeastFreedom = 3;

    /// <summary>The shares below 1 by name of quantity; an absent one is 1.</summary>
    internal static IReadOnlyDictionary<string, double> Of(IReadOnlyList<OpenPair> open)
    {
        var shares = new Dictionary<string, double>(StringComparer.Ordinal);
        foreach (var quantity in open.SelectMany(o => o.Ear.Keys).Distinct(StringComparer.Ordinal))
            if (Estimate([.. open.Where(o => o.Ear.ContainsKey(quantity) && o.Outside.ContainsKey(quantity)).Select(o => (o.Block, o.Ear[quantity], o.Outside[quantity]))]) is { } k) shares[quantity] = k;
        return shares;
    }

    private static double? Estimate((string Block, double Ear, double Outside)[] takes)
    {
        double xx = 0, xy = 0, yy = 0;
        var blocks = 0;
        foreach (var block in takes.GroupBy(t => t.Block, StringComparer.Ordinal))
        {
            blocks++;
            double x = block.Average(t => t.Outside), y = block.Average(t => t.Ear);
            foreach (var (_, ear, outside) in block) (xx, xy, yy) = (xx + ((outside - x) * (outside - x)), xy + ((outside - x) * (ear - y)), yy + ((ear - y) * (ear - y)));
        }
        var freedom = takes.Length - blocks - 1;
        if (freedom < LeastFreedom || Math.Sqrt(xx / (freedom + 1)) < Harmless) return null;
        var k = xy / xx;
        var error = Math.Sqrt(Math.Max(0, yy - (k * xy)) / freedom / xx);
        return k + (StudentT.Quantile(0.95, freedom) * error) < Whole ? Math.Clamp(k, 0, 1) : null;
    }

    /// <summary>What is said where the outside microphone follows the noise only in part; null where it follows.</summary>
    /// <param name="shares">The shares below 1.</param>
    public static Problem? Finding(IReadOnlyDictionary<string, double> shares)
    {
        if (shares.Count == 0) return null;
        var bands = Band.ThirdOctaves.Concat(Band.Octaves).Where(b => shares.ContainsKey(QuantityName.Of(b))).ToList();
        List<string> where = [.. shares.ContainsKey(QuantityName.A) ? ["A-weighted"] : Array.Empty<string>(), .. shares.ContainsKey(QuantityName.C) ? ["C-weighted"] : Array.Empty<string>(),
            .. bands.Count > 0 ? [bands.Count == 1 ? $"at {bands[0]}" : FormattableString.Invariant($"in {bands.Count} bands between {bands[0]} and {bands[^1]}")] : Array.Empty<string>()];
        return new("PAI-001", Severity.Warning, "outside microphone",
            FormattableString.Invariant($"with the ear open it follows the level at the ear only in part ({string.Join(", ", where)}): share {shares.Values.Min():0.00} to {shares.Values.Max():0.00}, as if it heard wind or a sound of its own"),
            "a share of 1: both microphones follow the same noise",
            "Where the share is below 0.8, only that share of the outside level was taken off, and the wander of the noise that is left was allowed for. Put a windshield on the outside microphone, or move it out of the draught.");
    }
}
