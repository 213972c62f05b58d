using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>The words that stand in exports for quantities, scopes and verdicts: fixed, because programs read them.</summary>
internal static class Names
{
    /// <summary>'as_worn' or 'general'.</summary>
    public static string Scope(EstimateScope scope) => scope == EstimateScope.AsWorn ? "as_worn" : "general";

    /// <summary>The scope that does not lead.</summary>
    public static EstimateScope Other(EstimateScope scope) => scope == EstimateScope.AsWorn ? EstimateScope.General : EstimateScope.AsWorn;

    /// <summary>'insertion_loss', 'level_difference' or 'active_part'.</summary>
    public static string Quantity(MeasuredQuantity quantity) => quantity switch
    {
        MeasuredQuantity.InsertionLoss => "insertion_loss",
        MeasuredQuantity.LevelDifference => "level_difference",
        _ => "active_part",
    };

    /// <summary>'as_read' or 'field_related'.</summary>
    public static string Level(LevelKind kind) => kind == LevelKind.FieldRelated ? "field_related" : "as_read";

    /// <summary>What a loss is measured from: 'open' ear, 'outside' microphone, or the same device 'passive'.</summary>
    public static string Reference(MeasuredQuantity quantity) => quantity switch
    {
        MeasuredQuantity.InsertionLoss => TrialDocument.OpenEar,
        MeasuredQuantity.LevelDifference => "outside",
        _ => "passive",
    };

    /// <summary>'different', 'different_within_margin', 'equivalent' or 'unresolved'.</summary>
    public static string Verdict(VerdictKind verdict) => verdict switch
    {
        VerdictKind.Different => "different",
        VerdictKind.DifferentWithinMargin => "different_within_margin",
        VerdictKind.Equivalent => "equivalent",
        _ => "unresolved",
    };
}
