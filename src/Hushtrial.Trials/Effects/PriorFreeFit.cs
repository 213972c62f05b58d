using Hushtrial.Statistics.Distributions;
using Hushtrial.Statistics.Simultaneous;
using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Effects;

/// <summary>Which random effect stands for the donning in the prior-free check.</summary>
public enum PriorFreeModel
{
    /// <summary>Every episode, open or covered, has an effect of its own.</summary>
    Episode,

    /// <summary>Every donning has one; open episodes have none.</summary>
    Donning,
}

/// <summary>One contrast of the prior-free check.</summary>
/// <param name="Estimate">Estimate, dB.</param>
/// <param name="StandardError">Kenward-Roger standard error, dB.</param>
/// <param name="DegreesOfFreedom">Kenward-Roger degrees of freedom.</param>
/// <param name="Low95">Lower 95 % limit, dB.</param>
/// <param name="High95">Upper 95 % limit, dB.</param>
public sealed record PriorFreeContrast(double Estimate, double StandardError, double DegreesOfFreedom, double Low95, double High95);

/// <summary>Cross-check of the primary method that assumes no prior: restricted likelihood with the Kenward-Roger adjustment (method 2.2).</summary>
/// <remarks>General scope. It leaves out the wander term; where conditions were put on again inside a flight it has an occasion effect.</remarks>
public sealed class PriorFreeFit
{
    private readonly KenwardRoger _adjusted;
    private readonly List<string> _conditions;

    private PriorFreeFit(PriorFreeModel model, RestrictedLikelihood fit, IReadOnlyList<string> conditions)
    {
        Model = model;
        Components = [.. fit.Names.Zip(fit.StandardDeviations, KeyValuePair.Create)];
        Criterion = fit.Criterion;
        _adjusted = new KenwardRoger(fit);
        _conditions = [.. conditions];
    }

    /// <summary>Conditions with at least one reading.</summary>
    public IReadOnlyList<string> Conditions => _conditions;

    /// <summary>The random effect used.</summary>
    public PriorFreeModel Model { get; }

    /// <summary>Estimated standard deviations by name, dB.</summary>
    public IReadOnlyList<KeyValuePair<string, double>> Components { get; }

    /// <summary>−2 × restricted log likelihood.</summary>
    public double Criterion { get; }

    /// <summary>Fits one quantity; null where the check says too little: fewer than 3 residual degrees of freedom between donnings.</summary>
    public static PriorFreeFit? Fit(IReadOnlyList<Reading> readings, IReadOnlyList<ConditionTraits> traits, string quantity, PriorFreeModel model, EstimatorSettings settings)
    {
        var table = EpisodeTable.Of(readings, traits, quantity);
        if (table.Episodes.Count == 0 || !IsInformative(table, settings)) return null;
        var design = ScopeDesign.General(table.Episodes, table.Conditions, settings with { OutsideChannel = true });
        var effects = new List<RandomEffect>();
        var active = settings.Quantity == MeasuredQuantity.ActivePart;
        if (active)
            // The donnings have means of their own; what is left to scatter is the active part.
            effects.Add(new("active part of a donning", ScopeDesign.Kernel(table.Episodes, (a, b) => settings.Partners.ContainsKey(a.Condition) && a.Condition == b.Condition && a.Donning == b.Donning ? 1 : 0)));
        else if (ScopeDesign.HasRefits(table.Episodes))
            effects.Add(new("flight:condition", ScopeDesign.Kernel(table.Episodes, (a, b) => !a.IsOpen && a.Block == b.Block && a.Condition == b.Condition ? 1 : 0)));
        if (!active) effects.Add(model == PriorFreeModel.Episode
            ? new("episode", ScopeDesign.Kernel(table.Episodes, (a, b) => a.Number == b.Number ? 1 : 0))
            : new("donning", ScopeDesign.Kernel(table.Episodes, (a, b) => !a.IsOpen && a.Donning == b.Donning ? 1 : 0)));
        // With single readings throughout, the episode's effect is the residual: it needs no term of its own.
        if (!active && model == PriorFreeModel.Episode && table.Episodes.All(e => e.Readings.Count == 1)) effects.RemoveAt(effects.Count - 1);
        var fit = RestrictedLikelihood.Fit(design, table.Respond(readings, quantity, 0), effects);
        return fit is null ? null : new(model, fit, [.. ScopeDesign.Asked(table.Conditions, settings).Select(c => c.Id)]);
    }

    /// <summary>A combination of levels; null when the readings cannot say.</summary>
    public PriorFreeContrast? Along(LevelContrast contrast)
    {
        if (_adjusted.Contrast(OnTargets(contrast)) is not { } adjusted) return null;
        var half = StudentT.Quantile(0.975, adjusted.DegreesOfFreedom) * adjusted.StandardError;
        return new(adjusted.Estimate, adjusted.StandardError, adjusted.DegreesOfFreedom, adjusted.Estimate - half, adjusted.Estimate + half);
    }

    /// <summary>Critical value of the single-step max-t over pairs, for families other than all pairs.</summary>
    /// <param name="pairs">The pairs.</param>
    /// <param name="degreesOfFreedom">Common degrees of freedom.</param>
    public double MaxTCriticalValue(IReadOnlyList<(string First, string Second)> pairs, double degreesOfFreedom) =>
        MaxT.CriticalValue(_adjusted.CovarianceFactor([.. pairs.Select(p => OnTargets(LevelContrast.Difference(p.First, p.Second)))]), degreesOfFreedom, 0.95);

    private static bool IsInformative(EpisodeTable table, EstimatorSettings settings)
    {
        var worn = table.Episodes.Where(e => !e.IsOpen && (settings.Quantity != MeasuredQuantity.ActivePart || settings.Partners.ContainsKey(e.Condition))).ToArray();
        var donnings = worn.Select(e => (e.Donning, e.Condition)).Distinct().Count();
        var conditions = worn.Select(e => e.Condition).Distinct(StringComparer.Ordinal).Count();
        var blocks = worn.Select(e => e.Block).Distinct(StringComparer.Ordinal).Count();
        // A level difference and an active part have no mean per flight to give up.
        return donnings - conditions - (settings.Quantity == MeasuredQuantity.InsertionLoss ? blocks - 1 : 0) >= 3;
    }

    private double[] OnTargets(LevelContrast contrast)
    {
        var combination = new double[_conditions.Count + 1];
        foreach (var (condition, weight) in contrast.Weights)
        {
            combination[0] += weight;
            if (condition != TrialDocument.OpenEar) combination[_conditions.IndexOf(condition) + 1] -= weight;
        }
        if (Math.Abs(combination[0]) < 1e-12) combination[0] = 0;
        return combination;
    }
}
