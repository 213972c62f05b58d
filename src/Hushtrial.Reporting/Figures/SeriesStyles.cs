using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>One style per kind of condition – passive, active, with spectacles … – the same in every figure of a trial.</summary>
/// <remarks>The colour tells the mode, not the device: devices have panels and rows of their own.</remarks>
internal sealed class SeriesStyles
{
    private static readonly SeriesStyle[] _styles =
    [
        new(0, Mark.Square, Open: true, Dash: "7 3"),
        new(1, Mark.Circle, Open: false, Dash: null),
        new(2, Mark.Triangle, Open: false, Dash: "9 3 2 3"),
        new(3, Mark.Diamond, Open: false, Dash: "3 3"),
        new(4, Mark.Square, Open: false, Dash: "12 3"),
        new(0, Mark.Triangle, Open: true, Dash: "2 2"),
        new(1, Mark.Diamond, Open: true, Dash: "6 2"),
    ];

    private readonly Dictionary<string, SeriesStyle> _byCondition = new(StringComparer.Ordinal);

    /// <summary>Gives out the styles: passive first, active second, the others in order of appearance.</summary>
    public SeriesStyles(IReadOnlyList<ConditionResult> conditions)
    {
        var kinds = new List<string> { "passive", "active" };
        foreach (var condition in conditions)
        {
            if (condition.Predicted)
            {
                _byCondition[condition.Condition.Id] = SeriesStyle.Published;
                continue;
            }
            var kind = Kind(condition);
            if (!kinds.Contains(kind, StringComparer.Ordinal)) kinds.Add(kind);
            _byCondition[condition.Condition.Id] = _styles[kinds.IndexOf(kind) % _styles.Length];
        }
    }

    /// <summary>The style of a condition.</summary>
    public SeriesStyle this[ConditionResult condition] => _byCondition[condition.Condition.Id];

    /// <summary>Mode and what was worn with it: the label beside the style.</summary>
    public static string Kind(ConditionResult condition) => condition.Condition.WornWith.Count == 0
        ? condition.Condition.Mode
        : $"{condition.Condition.Mode}, with {string.Join(", ", condition.Condition.WornWith)}";
}
