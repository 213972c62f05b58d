using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>One contrast of an estimated table.</summary>
/// <param name="Name">'IL_' and a condition, or two conditions joined by a minus sign.</param>
/// <param name="Estimate">Mean, 95 % limits, standard uncertainty and budget.</param>
/// <param name="Low90">Lower 90 % limit, dB.</param>
/// <param name="High90">Upper 90 % limit, dB.</param>
/// <param name="Pair">The verdict, for a pair.</param>
/// <param name="Remark">What the evidence rests on, where it needs saying.</param>
public sealed record ContrastEstimate(string Name, Estimate Estimate, double Low90, double High90, PairVerdict? Pair, string? Remark);

/// <summary>All contrasts of one quantity in one scope.</summary>
/// <param name="Scope">The scope.</param>
/// <param name="Contrasts">Losses, then pairs.</param>
/// <param name="Unsaid">Contrasts that the readings say nothing about, with the reason.</param>
/// <param name="Components">Posterior mean of every standard deviation, dB.</param>
/// <param name="Critical95">Critical value of simultaneous 95 % intervals; null without pairs.</param>
/// <param name="Critical90">Critical value of simultaneous 90 % intervals; null without pairs.</param>
public sealed record ScopeEstimate(EstimateScope Scope, IReadOnlyList<ContrastEstimate> Contrasts, IReadOnlyList<KeyValuePair<string, string>> Unsaid,
    IReadOnlyList<KeyValuePair<string, double>> Components, double? Critical95, double? Critical90);

/// <summary>One contrast of the prior-free check, with its pair's simultaneous interval where it is a pair.</summary>
public sealed record CheckEstimate(string Name, PriorFreeContrast Contrast, PriorFreePair? Pair);

/// <summary>One model of the prior-free check.</summary>
/// <param name="Model">The model.</param>
/// <param name="Components">Estimated standard deviations, dB.</param>
/// <param name="Criterion">−2 × restricted log likelihood.</param>
/// <param name="Contrasts">Losses, then pairs.</param>
public sealed record CheckTable(PriorFreeModel Model, IReadOnlyList<KeyValuePair<string, double>> Components, double Criterion, IReadOnlyList<CheckEstimate> Contrasts);

/// <summary>One quantity of a table: both scopes and the prior-free check beside them.</summary>
/// <param name="Quantity">The quantity.</param>
/// <param name="General">Over donnings and flights.</param>
/// <param name="AsWorn">In the donnings made.</param>
/// <param name="Checks">Prior-free models; empty where they say too little.</param>
/// <param name="MoreFits">Further donnings of each that would settle a pair at the margin, by the pair's name.</param>
public sealed record QuantityEstimate(string Quantity, ScopeEstimate? General, ScopeEstimate? AsWorn, IReadOnlyList<CheckTable> Checks, IReadOnlyList<KeyValuePair<string, int>> MoreFits);

/// <summary>The estimator on a table of readings, without recordings and without a trial document.</summary>
/// <param name="Quantities">Every quantity, in the order of the table.</param>
/// <param name="Problems">Outlying readings.</param>
public sealed record TableEstimate(IReadOnlyList<QuantityEstimate> Quantities, IReadOnlyList<Problem> Problems)
{
    /// <summary>Estimates everything in a table.</summary>
    /// <param name="table">The table.</param>
    /// <param name="traits">What is known of its conditions.</param>
    /// <param name="settings">The settings.</param>
    /// <param name="name">Name of the file for problems.</param>
    public static TableEstimate Of(ReadingsCsv table, IReadOnlyList<ConditionTraits> traits, EstimatorSettings settings, string name)
    {
        var fits = Estimator.FitAll(table.Readings, traits, table.Quantities, settings);
        var problems = table.Quantities.SelectMany(q => OutlyingReadings.Find(table.Readings, traits, fits[q])).Select(o => Problem(o, table, traits, settings, fits[o.Quantity], name));
        return new([.. table.Quantities.Select(q => Of(fits[q], table, traits, settings))], [.. problems]);
    }

    private static QuantityEstimate Of(QuantityFit fit, ReadingsCsv table, IReadOnlyList<ConditionTraits> traits, EstimatorSettings settings)
    {
        var pairs = PairFamily.AllPairs(fit.Conditions);
        var checks = new[] { PriorFreeModel.Episode, PriorFreeModel.Donning }
            .Select(m => PriorFreeFit.Fit(table.Readings, traits, fit.Quantity, m, settings)).OfType<PriorFreeFit>().Select(f => Check(f, fit.Conditions, pairs, settings));
        var general = Scope(fit, EstimateScope.General, pairs);
        var more = new List<KeyValuePair<string, int>>();
        foreach (var (first, second) in pairs)
            if (MoreFits.For(fit, first, second, general?.Contrasts.FirstOrDefault(c => c.Name == PairName(first, second))?.Pair, pairs.Count) is { } n) more.Add(new(PairName(first, second), n));
        return new(fit.Quantity, general, Scope(fit, EstimateScope.AsWorn, pairs), [.. checks], more);
    }

    private static ScopeEstimate? Scope(QuantityFit fit, EstimateScope scope, IReadOnlyList<(string First, string Second)> pairs)
    {
        if (fit.In(scope) is not { } scopeFit) return null;
        var family = PairFamily.Compare(scopeFit, pairs, fit.Settings);
        var contrasts = new List<ContrastEstimate>();
        var unsaid = new List<KeyValuePair<string, string>>();
        foreach (var condition in fit.Conditions) Add(LossName(condition), LevelContrast.Loss(condition), null);
        for (var j = 0; j < pairs.Count; j++) Add(PairName(pairs[j].First, pairs[j].Second), LevelContrast.Difference(pairs[j].First, pairs[j].Second), family?.Pairs[j]);
        return new(scope, contrasts, unsaid, scopeFit.Components, family?.Critical95, family?.Critical90);

        void Add(string name, LevelContrast contrast, PairVerdict? pair)
        {
            if (scopeFit.Along(contrast) is { } posterior)
                contrasts.Add(new(name, scopeFit.Estimate(contrast)!, posterior.Quantile(0.05), posterior.Quantile(0.95), pair, scope == EstimateScope.General ? fit.Remark(contrast) : null));
            else unsaid.Add(new(name, fit.WhyNot(contrast)));
        }
    }

    private static CheckTable Check(PriorFreeFit fit, IReadOnlyList<string> conditions, IReadOnlyList<(string First, string Second)> pairs, EstimatorSettings settings)
    {
        var contrasts = new List<CheckEstimate>();
        foreach (var condition in conditions)
            if (fit.Along(LevelContrast.Loss(condition)) is { } loss) contrasts.Add(new(LossName(condition), loss, null));
        foreach (var (first, second) in pairs)
            if (PriorFreePair.Of(fit, first, second, settings.MarginDecibels) is { } pair) contrasts.Add(new(PairName(first, second), pair.Contrast, pair));
        return new(fit.Model, fit.Components, fit.Criterion, contrasts);
    }

    private static Problem Problem(OutlyingReading outlier, ReadingsCsv table, IReadOnlyList<ConditionTraits> traits, EstimatorSettings settings, QuantityFit fit, string name)
    {
        var reading = table.Readings[outlier.Position];
        var without = Estimator.Fit([.. table.Readings.Where((_, i) => i != outlier.Position)], traits, outlier.Quantity, settings);
        var condition = reading.Condition == TrialDocument.OpenEar ? fit.Conditions[0] : reading.Condition;
        NormalMixture? with = fit.General?.Along(LevelContrast.Loss(condition)), other = without.General?.Along(LevelContrast.Loss(condition));
        var change = with is not null && other is not null ? with.Mean - other.Mean : (double?)null;
        return new("EST-018", Severity.Warning, string.Create(CultureInfo.InvariantCulture, $"{name}, line {table.Lines[outlier.Position]}"),
            string.Create(CultureInfo.InvariantCulture, $"{outlier.Quantity} of {reading.Condition} lies {outlier.DeviationDecibels:+0.0;−0.0} dB from what all other readings predict ({Math.Abs(outlier.Score):0.0} standard deviations)"),
            "within 3.5 standard deviations", "Check the note or the recording. The reading is used; the effect named is what it does to the loss of " + condition + ".", change);
    }

    private static string LossName(string condition) => "IL_" + condition;

    private static string PairName(string first, string second) => first + "-" + second;
}
