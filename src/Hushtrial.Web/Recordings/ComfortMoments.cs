using Hushtrial.Web.Pages;

namespace Hushtrial.Web.Recordings;

/// <summary>A word on comfort that was noted by the clock, as it stands on the level history.</summary>
/// <param name="Run">The run whose clock it is.</param>
/// <param name="At">The clock as written.</param>
/// <param name="Short">Who it is about and how much, for the mark itself.</param>
/// <param name="Whole">All of it.</param>
internal sealed record ComfortMoment(string Run, string At, string Short, string Whole)
{
    /// <summary>The moments of a trial, in the order written. Words without a clock or without a run have no place on a time line.</summary>
    public static IReadOnlyList<ComfortMoment> Of(TrialView view)
    {
        var draft = view.Draft;
        var only = draft.Ids("runs") is [var one] ? one : null;
        var moments = new List<ComfortMoment>();
        foreach (var id in draft.Ids("comfort"))
        {
            string? Value(string key) => draft.Value($"comfort[{id}].{key}") is { Length: > 0 } value ? value : null;
            if (Value("at") is { } at && (Value("run") ?? only) is { } run) moments.Add(Read(view, run, at, Value));
        }
        return moments;
    }

    private static ComfortMoment Read(TrialView view, string run, string at, Func<string, string?> value)
    {
        var t = view.T;
        var who = value("condition") is { } condition ? TakeRows.Name(view.Draft, t, condition) : "?";
        var wearer = value("wearer") is { } id ? view.Draft.Value($"wearers[{id}].name") is { Length: > 0 } name ? name : id : null;
        var said = new[]
        {
            value("discomfort") is { } discomfort ? t["discomfort {0} of 10", discomfort.Replace(".", t.Numbers.NumberDecimalSeparator, StringComparison.Ordinal)] : null,
            value("hot_spot") is { } spot ? t["it presses: {0}", spot] : null,
        }.OfType<string>().ToList();
        var more = new[]
        {
            value("hot_spot_min") is { } noticed ? t["noticed after {0} min", noticed] : null, value("worn_min") is { } worn ? t["worn for {0} min", worn] : null,
            value("glasses") == "yes" ? t["with glasses"] : null, value("fit") is { } fit ? t["fit {0}", fit] : null, wearer, value("remarks"),
        }.OfType<string>();
        if (said.Count == 0 && value("remarks") is { } alone) said.Add(alone);
        return new(run, at, $"{who}: {string.Join(", ", said)}", $"{who}: {string.Join("; ", said.Concat(more).Distinct(StringComparer.Ordinal))}");
    }
}
