using Hushtrial.Quantities;
using Hushtrial.Web.Language;

namespace Hushtrial.Web.Pages;

/// <summary>How far a step of the way is.</summary>
public enum StepMark
{
    /// <summary>Nothing is there yet.</summary>
    Open,

    /// <summary>Something is there, something is missing.</summary>
    Begun,

    /// <summary>What the step needs is there.</summary>
    Done,
}

/// <summary>One step with its state in one trial.</summary>
/// <param name="Key">Last part of its address.</param>
/// <param name="Title">Its title, in English: a key of the texts.</param>
/// <param name="Mark">How far it is.</param>
/// <param name="Missing">What is missing, in the page's language; null when nothing is.</param>
public sealed record StepState(string Key, string Title, StepMark Mark, string? Missing);

/// <summary>One step of the job.</summary>
public sealed record Step(string Key, string Title, Func<TrialView, (StepMark Mark, string? Missing)> Judge)
{
    /// <summary>Its state in a trial.</summary>
    public StepState Of(TrialView view)
    {
        var (mark, missing) = Judge(view);
        return new(Key, Title, mark, missing);
    }
}

/// <summary>The way through a trial: it follows the job, from the question to the report.</summary>
public static class Way
{
    /// <summary>The steps in order.</summary>
    public static IReadOnlyList<Step> Steps { get; } =
    [
        new("question", "The question", v => Judge(v, begun: v.Draft.Value("trial.quantity") is not null, ["trial"], v.T["Say what is measured and how the readings relate to the noise outside."])),
        new("devices", "Devices and claims", v => v.Count("devices") == 0 ? (StepMark.Open, v.T["Name the devices and the conditions to compare."])
            : v.Count("conditions") == 0 ? (StepMark.Begun, v.T["Name the conditions: a device, its mode, worn with what."]) : Judge(v, true, ["devices", "conditions", "wearers"], "")),
        new("plan", "Plan and cards", v => v.Count("conditions") == 0 ? (StepMark.Open, v.T["The plan needs the conditions first."]) : Judge(v, v.Count("runs") > 0, ["runs", "fitting"], v.T["Draw the order and print the cards."])),
        new("recordings", "Recordings and readings", v => v.Count("recordings") + v.Count("logs") == 0 && !HasReadings(v) ? (StepMark.Open, v.T["Bring the recordings, or note the readings of a meter."]) : Judge(v, true, ["recordings", "logs"], "")),
        new("calibrate", "Calibration", v => v.Count("channels") == 0 ? (HasReadings(v) ? StepMark.Done : StepMark.Open, HasReadings(v) ? null : v.T["Say which microphone is on which channel."])
            : v.Count("calibrations") == 0 ? (StepMark.Begun, v.T["Without a calibration only differences are said: no level, no hours."]) : Judge(v, true, ["channels", "calibrations"], "")),
        new("takes", "Takes", v => v.Count("takes") == 0 ? (StepMark.Open, v.T["Mark the takes: the open ear, and each device in each fit."]) : Judge(v, true, ["takes", "fits"], "")),
        new("findings", "Findings", v => Findings(v)),
        new("results", "Results", v => Said(v)),
        new("meaning", "What it means", v => Said(v)),
        new("report", "Report", v => Said(v)),
    ];

    /// <summary>The title of a step.</summary>
    public static string Title(Tongue t, string key) => t[Steps.First(s => s.Key == key).Title];

    /// <summary>The first step that misses something; null when nothing does.</summary>
    public static StepState? Next(TrialView view) => view.Steps.FirstOrDefault(s => s.Missing is not null);

    private static (StepMark, string?) Judge(TrialView view, bool begun, string[] sections, string missing)
    {
        var error = sections.SelectMany(s => view.ProblemsAt(s, below: true)).FirstOrDefault(p => p.Problem.Severity == Severity.Error);
        if (!begun) return (StepMark.Open, missing);
        return error is null ? (StepMark.Done, null) : (StepMark.Begun, Spoken.Told(error.Problem));
    }

    private static (StepMark, string?) Findings(TrialView view) => view.State.Results is not { } results ? (StepMark.Open, null)
        : results.Problems.Any(p => p.Severity == Severity.Error) ? (StepMark.Begun, view.T["A finding stands in the way of a result."]) : (StepMark.Done, null);

    private static (StepMark, string?) Said(TrialView view) => view.State.Results is null ? (StepMark.Open, null) : (view.State.IsOf(view.Trial) ? StepMark.Done : StepMark.Begun, null);

    private static bool HasReadings(TrialView view) => view.Draft.Ids("takes").Any(t => view.Draft.Value($"takes[{t}].reading") is not null || view.Draft.Fields($"takes[{t}]").Any(f => f.Key == "log" || f.Key.StartsWith("reading", StringComparison.Ordinal)));
}
