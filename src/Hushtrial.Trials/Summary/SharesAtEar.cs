using Hushtrial.Hearing.Cabins;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using static System.FormattableString;

namespace Hushtrial.Trials.Summary;

/// <summary>Which bands carry what is left at the ear, in the trial's mean noise. Only shapes count, so it holds in relative mode as well.</summary>
internal static class SharesAtEar
{
    /// <summary>The open ear first, then the measured conditions; those with too few bands to speak of a whole level are left out.</summary>
    public static IReadOnlyList<EnergyShareResult> Of(TrialDocument document, IReadOnlyList<ConditionResult> conditions, IReadOnlyDictionary<Band, double> open)
    {
        var fraction = open.Keys.Any(b => b.Fraction == BandFraction.ThirdOctave) ? BandFraction.ThirdOctave : BandFraction.Octave;
        var bands = open.Where(b => b.Key.Fraction == fraction).ToDictionary(b => b.Key, b => b.Value);
        var results = new List<EnergyShareResult>();
        if (Shares(TrialDocument.OpenEar, "Open ear", bands) is { } bare) results.Add(bare);
        foreach (var c in conditions.Where(c => !c.Predicted))
        {
            var left = c.Loss.Bands.Where(b => bands.ContainsKey(b.Band) && (b.Valid || b.LowerBoundOnly) && b.Effect.In(document.Scope) is not null)
                .ToDictionary(b => b.Band, b => bands[b.Band] - b.Effect.In(document.Scope)!.Value);
            if (Shares(c.Condition.Id, c.Name, left) is { } shares) results.Add(shares);
        }
        return results;
    }

    private static EnergyShareResult? Shares(string id, string name, Dictionary<Band, double> levels)
    {
        if (levels.Count == 0 || levels.Keys.Min().NominalHertz > 80 || levels.Keys.Max().NominalHertz < 4000 || levels.Count < (levels.Keys.First().Fraction == BandFraction.ThirdOctave ? 18 : 7)) return null;
        var spectrum = Spectrum.Of(levels.Select(l => KeyValuePair.Create(l.Key, Level.FromDecibels(l.Value))));
        var byBand = EnergyShares.Of(spectrum, FrequencyWeighting.A);
        var octaves = EnergyShares.ByOctave(byBand);
        var leading = octaves.MaxBy(o => o.Value);
        var gain = leading.Value < 1 ? -10 * Math.Log10(1 - leading.Value) : double.PositiveInfinity;
        var (low, high) = Range(octaves);
        var sentence = Invariant($"{name}: {100 * leading.Value:0} % of the A-weighted energy {(id == TrialDocument.OpenEar ? "" : "left ")}lies in the octave at {leading.Key}")
            + (low == high ? "" : Invariant($", nine tenths between {low} and {high}")) + Invariant($"; without that octave it would be {Math.Min(gain, 40):0.0} dB(A) quieter.");
        return new(id, name, byBand, octaves, leading.Key, Math.Min(gain, 40), sentence);
    }

    // The narrowest run of octaves that holds nine tenths.
    private static (Band Low, Band High) Range(IReadOnlyDictionary<Band, double> octaves)
    {
        var bands = octaves.Keys.Order().ToList();
        var best = (Low: bands[0], High: bands[^1], Count: int.MaxValue);
        for (var i = 0; i < bands.Count; i++)
        {
            var sum = 0.0;
            for (var j = i; j < bands.Count; j++)
            {
                sum += octaves[bands[j]];
                if (sum < 0.9) continue;
                if (j - i < best.Count) best = (bands[i], bands[j], j - i);
                break;
            }
        }
        return (best.Low, best.High);
    }
}
