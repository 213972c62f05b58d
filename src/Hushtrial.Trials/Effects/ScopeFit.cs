using Hushtrial.Statistics.Simultaneous;
using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Effects;

/// <summary>Posterior of one quantity in one scope.</summary>
public sealed class ScopeFit
{
    private readonly Dictionary<string, int> _targets;
    private readonly IReadOnlyList<UncertaintySource> _sources;
    private readonly Lazy<VarianceSplit> _split;
    private readonly Lazy<JointDraws> _draws;
    private readonly NormalDeviates _deviates;
    private readonly int _count;
    private readonly bool _referenceKnown;

    internal ScopeFit(EstimateScope scope, NodePosterior posterior, IReadOnlyList<string> conditions, IReadOnlyList<UncertaintySource> sources, NormalDeviates deviates, int draws, bool referenceKnown = true)
    {
        Scope = scope;
        Posterior = posterior;
        _sources = sources;
        _deviates = deviates;
        _count = draws;
        _referenceKnown = referenceKnown;
        _targets = conditions.Select((c, i) => (c, i)).ToDictionary(p => p.c, p => p.i + 1, StringComparer.Ordinal);
        _split = new(() => VarianceSplit.Of(posterior));
        _draws = new(() => posterior.Draw(deviates, draws));
    }

    /// <summary>The scope.</summary>
    public EstimateScope Scope { get; }

    /// <summary>The posterior on the model's own targets: mean of the flight means, then losses.</summary>
    public NodePosterior Posterior { get; }

    /// <summary>Posterior mean of every standard deviation, dB, by the names of <see cref="Priors"/>.</summary>
    public IReadOnlyList<KeyValuePair<string, double>> Components =>
        [.. Posterior.Design.ScatterNames.Select((name, i) => KeyValuePair.Create(name, Posterior.MeanScale(i)))];

    /// <summary>Whether the readings can say anything about a combination of levels.</summary>
    public bool CanSay(LevelContrast contrast) =>
        (_referenceKnown || contrast.Weights.GetValueOrDefault(TrialDocument.OpenEar) == 0) && contrast.Weights.All(w => w.Value == 0 || w.Key == TrialDocument.OpenEar || _targets.ContainsKey(w.Key)) && Posterior.Design.IsEstimable(OnTargets(contrast));

    /// <summary>Posterior of a combination of levels, with what does not average out; null when the readings cannot say.</summary>
    public NormalMixture? Along(LevelContrast contrast) => CanSay(contrast) ? Posterior.Along(OnTargets(contrast), ExtraVariance(contrast)) : null;

    /// <summary>Estimate with 95 % interval and budget; null when the readings cannot say.</summary>
    public Estimate? Estimate(LevelContrast contrast) => Along(contrast) is { } posterior ? Estimate(contrast, posterior) : null;

    /// <summary>The same where its posterior is at hand already.</summary>
    internal Estimate Estimate(LevelContrast contrast, NormalMixture posterior) =>
        new(posterior.Mean, posterior.Quantile(0.025), posterior.Quantile(0.975), posterior.Sd, null, Budget(contrast, posterior));

    /// <summary>Joint draws of a combination of levels: draw i of two combinations belongs to the same state of the world.</summary>
    /// <exception cref="InvalidOperationException">The readings cannot say: ask <see cref="CanSay"/> first.</exception>
    public double[] Draws(LevelContrast contrast)
    {
        if (!CanSay(contrast)) throw new InvalidOperationException("The readings cannot say anything about this combination of levels.");
        var values = _draws.Value.Along(OnTargets(contrast));
        foreach (var (column, weight) in Known(contrast))
        {
            var deviates = column.Span;
            for (var i = 0; i < values.Length; i++) values[i] += weight * deviates[i];
        }
        return values;
    }

    /// <summary>A combination as a member of a family: the drawn columns it is made of, without forming it.</summary>
    /// <param name="contrast">The combination, which the readings can say.</param>
    /// <param name="posterior">Its posterior.</param>
    internal FamilyMember Member(LevelContrast contrast, NormalMixture posterior)
    {
        var combination = OnTargets(contrast);
        return new([.. Enumerable.Range(0, combination.Length).Where(t => combination[t] != 0).Select(t => (_draws.Value[t], combination[t])), .. Known(contrast)], posterior.Mean, posterior.Sd);
    }

    // The same column of a source for every combination: what moves both levels of a difference alike cancels in every draw.
    private IEnumerable<(ReadOnlyMemory<double> Column, double Weight)> Known(LevelContrast contrast) =>
        _sources.Select((s, i) => (Number: i, Weight: s.ContributionTo(contrast))).Where(s => s.Weight != 0).Select(s => (_deviates.Column(Posterior.Design.Targets + s.Number)[.._count], s.Weight));

    /// <summary>The fit under another median of the assumed donning scatter; null in the as-worn scope, which assumes none.</summary>
    /// <remarks>A quarter of the draws: enough to see whether a verdict turns.</remarks>
    /// <param name="factor">Factor of the median.</param>
    public ScopeFit? WithDonningScatter(double factor)
    {
        var posterior = Posterior;
        var changed = false;
        for (var k = 0; k < Posterior.Design.Components.Count; k++)
        {
            var component = Posterior.Design.Components[k];
            if (!component.Name.StartsWith(Priors.Fit, StringComparison.Ordinal)) continue;
            posterior = posterior.Reweighted(k, component.Prior.Scaled(factor));
            changed = true;
        }
        return changed ? new(Scope, posterior, [.. _targets.OrderBy(t => t.Value).Select(t => t.Key)], _sources, _deviates, Math.Max(1, _count / 4), _referenceKnown) : null;
    }

    /// <summary>Budget by source; the root of its sum of squares is the standard uncertainty.</summary>
    private List<BudgetLine> Budget(LevelContrast contrast, NormalMixture posterior)
    {
        var extra = ExtraVariance(contrast);
        var combination = OnTargets(contrast);
        var parts = _split.Value.Contributions(combination, Math.Max(0, posterior.WithinVariance - extra));
        var names = Posterior.Design.ScatterNames;
        var lines = new List<BudgetLine>();
        for (var k = 0; k < parts.Length; k++) Add(lines, k < names.Count ? BudgetWords.Of(names[k]) : "rounding of readings", parts[k]);
        Add(lines, "not knowing these scatters exactly", Math.Max(0, posterior.Sd * posterior.Sd - posterior.WithinVariance));
        foreach (var named in _sources.GroupBy(s => s.Name, StringComparer.Ordinal)) Add(lines, named.Key, named.Sum(s => Math.Pow(s.ContributionTo(contrast), 2)));
        return lines;
    }

    private static void Add(List<BudgetLine> lines, string name, double variance)
    {
        if (variance > 1e-8) lines.Add(new(name, Math.Sqrt(variance)));       // below 0.0001 dB a line says nothing
    }

    private double ExtraVariance(LevelContrast contrast) => _sources.Sum(s => Math.Pow(s.ContributionTo(contrast), 2));

    // A level under a condition is the mean of the flight means minus the loss.
    private double[] OnTargets(LevelContrast contrast)
    {
        var combination = new double[Posterior.Design.Targets];
        foreach (var (condition, weight) in contrast.Weights)
        {
            combination[0] += weight;
            if (condition != TrialDocument.OpenEar && _targets.TryGetValue(condition, out var target)) combination[target] -= weight;
        }
        if (Math.Abs(combination[0]) < 1e-12) combination[0] = 0;
        return combination;
    }
}
