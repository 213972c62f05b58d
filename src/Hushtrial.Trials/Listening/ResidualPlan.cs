using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Listening;

/// <summary>What is to be heard of one condition: the gain of every band that is known.</summary>
/// <param name="Condition">Identity of the condition.</param>
/// <param name="Name">Its name for readers.</param>
/// <param name="Predicted">True when the losses are published ones and not measured.</param>
/// <param name="LossA">The estimated A-weighted loss in the leading scope, dB; null when it cannot be said.</param>
/// <param name="Losses">Loss by band in the leading scope, dB; trusted bands and those of which a lower bound is known.</param>
/// <param name="AtLeast">Bands in which the own noise was reached: the residual may be quieter than it sounds.</param>
/// <param name="Filled">Bands of the measurement that are not trusted: the curve goes on smoothly from its neighbours.</param>
public sealed record PlannedResidual(string Condition, string Name, bool Predicted, double? LossA, IReadOnlyDictionary<Band, double> Losses, IReadOnlyList<Band> AtLeast, IReadOnlyList<Band> Filled)
{
    /// <summary>Whether a one-third octave is trusted, alone or as part of an octave.</summary>
    public bool IsTrusted(Band third) => Losses.Keys.Any(b => b.Thirds.Contains(third) && !AtLeast.Contains(b));
}

/// <summary>Which residuals of a trial can be made audible.</summary>
/// <param name="Residuals">Those that can, in the document's order.</param>
/// <param name="Silent">Conditions that cannot, with the reason in words.</param>
/// <param name="WhyNot">Why none can; null when one can.</param>
public sealed record ResidualPlan(IReadOnlyList<PlannedResidual> Residuals, IReadOnlyList<(string Name, string Reason)> Silent, string? WhyNot)
{
    private const int LeastBands = 5;

    /// <summary>The plan of a trial's results.</summary>
    public static ResidualPlan Of(TrialResults results)
    {
        ArgumentNullException.ThrowIfNull(results);
        // The active part is what the electronics add to one device: what it leaves of the cabin does not follow from it.
        if (results.Document.Quantity == MeasuredQuantity.ActivePart) return new([], [], "a trial of the active part does not tell what is left of the cabin under a device");
        var (residuals, silent) = (new List<PlannedResidual>(), new List<(string, string)>());
        foreach (var condition in results.Conditions)
        {
            if (Planned(condition, results.Document.Scope, out var reason) is { } planned) residuals.Add(planned);
            else silent.Add((condition.Name, reason));
        }
        return new(residuals, silent, residuals.Count > 0 ? null : silent.Count > 0 ? silent[0].Item2 : "no loss is known yet");
    }

    private static PlannedResidual? Planned(ConditionResult condition, EstimateScope scope, out string reason)
    {
        static double? Value(Effect? effect, EstimateScope scope) => (effect?.In(scope) ?? effect?.General ?? effect?.AsWorn)?.Value;
        // Where one-third octaves and octaves were both read, the finer ones say all that the others do.
        var read = condition.Loss.Bands.Any(b => b.Band.Fraction == BandFraction.ThirdOctave && b.Valid) ? BandFraction.ThirdOctave : BandFraction.Octave;
        var bands = condition.Loss.Bands.Where(b => b.Band.Fraction == read && Value(b.Effect, scope) is not null).OrderBy(b => b.Band).ToList();
        var known = bands.Where(b => b.Valid || b.LowerBoundOnly).ToList();
        var trusted = known.Count(b => b.Valid && !b.LowerBoundOnly);
        reason = bands.Count == 0 ? "no bands were read" : bands.FirstOrDefault(b => !b.Valid)?.Reason ?? "too few bands were read";
        if (trusted < LeastBands) return null;
        return new(condition.Condition.Id, condition.Name, condition.Predicted, Value(condition.Loss.A, scope), known.ToDictionary(b => b.Band, b => Value(b.Effect, scope)!.Value),
            [.. known.Where(b => b.LowerBoundOnly).Select(b => b.Band)], [.. bands.Except(known).Select(b => b.Band)]);
    }
}
