using Hushtrial.Quantities;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>The pairs band by band, and in words what alone two conditions of one device differ in.</summary>
internal static class BandComparisons
{
    /// <summary>Adds to every pair its bands, the sentence about them, and the sentence of a pair that differs in one thing alone.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="effects">Its fits.</param>
    /// <param name="conditions">What was found of every condition: which bands are trusted.</param>
    /// <param name="pairs">The pairs.</param>
    public static IReadOnlyList<PairResult> Of(TrialDocument document, TrialEffects effects, IReadOnlyList<ConditionResult> conditions, IReadOnlyList<PairResult> pairs)
    {
        var found = conditions.ToDictionary(c => c.Condition.Id, StringComparer.Ordinal);
        return [.. pairs.Select(p => found.TryGetValue(p.First, out var first) && found.TryGetValue(p.Second, out var second) ? With(p, first, second, document, effects) : p)];
    }

    /// <summary>How far simultaneous limits lie out, as a normal deviate: Φ⁻¹((1 + 0.95^(1/B)) / 2), whatever the correlation of the bands (method, section 3).</summary>
    /// <param name="bands">Number of bands, at least 1.</param>
    public static double SimultaneousDeviate(int bands) => Gaussian.Quantile((1 + Math.Pow(0.95, 1.0 / bands)) / 2);

    private static PairResult With(PairResult pair, ConditionResult first, ConditionResult second, TrialDocument document, TrialEffects effects)
    {
        bool Trusted(Band b) => first.Loss.Bands.Concat(second.Loss.Bands).Where(x => x.Band == b).All(x => x.Valid && !x.LowerBoundOnly);
        var trusted = effects.Bands.Where(Trusted).ToHashSet();
        var outer = Gaussian.UpperTail(SimultaneousDeviate(Math.Max(1, trusted.Count)));
        BandContrast? Contrast(Band b, EstimateScope scope)
        {
            if (scope == EstimateScope.General && Switched(pair, b, effects, outer) is { } switched) return switched;
            if (effects.Of(b).In(scope)?.Along(LevelContrast.Difference(pair.First, pair.Second)) is not { } posterior) return null;
            return new(posterior.Mean, posterior.Quantile(0.025), posterior.Quantile(0.975), posterior.Quantile(outer), posterior.Quantile(1 - outer));
        }
        List<BandDifference> bands = [.. effects.Bands.Select(b => new BandDifference(b, Contrast(b, EstimateScope.AsWorn), Contrast(b, EstimateScope.General), trusted.Contains(b)))];
        var only = OneThing.Of(first.Condition, second.Condition);
        return pair with
        {
            Bands = bands,
            BandSentence = BandRanges.Sentence(first.Name, second.Name, bands, document.Scope, document.Quantity),
            Only = only,
            OnlySentence = only is { } o ? OneThing.Sentence(o, first, second, pair.In(document.Scope), bands, document.Scope, document.Quantity) : null,
        };
    }

    /// <summary>Off against on in one donning, by the model of the active part, which scatters from donning to donning; null for every other pair. The model of all
    /// conditions takes it for the same in every donning: two sentences about one thing must not rest on two models.</summary>
    private static BandContrast? Switched(PairResult pair, Band band, TrialEffects effects, double outer)
    {
        if (effects.ActiveParts is not { } active || ReferenceEquals(active, effects)) return null;
        var partners = active.Settings.Of.Partners;
        var firstIsOn = partners.GetValueOrDefault(pair.First) == pair.Second;
        if (!firstIsOn && partners.GetValueOrDefault(pair.Second) != pair.First) return null;
        if (active.Fits.GetValueOrDefault(QuantityName.Of(band))?.General?.Along(LevelContrast.Loss(firstIsOn ? pair.First : pair.Second)) is not { } part) return null;
        double Quantile(double p) => firstIsOn ? part.Quantile(p) : -part.Quantile(1 - p);
        return new(firstIsOn ? part.Mean : -part.Mean, Quantile(0.025), Quantile(0.975), Quantile(outer), Quantile(1 - outer));
    }
}
