namespace Hushtrial.Trials.Document;

/// <summary>The section 'comfort': its keys, its checks, and the way to and from its entries.</summary>
internal static class ComfortLog
{
    /// <summary>The key of the section.</summary>
    public const string Key = "comfort";

    /// <summary>One entry.</summary>
    public static MapShape Entry { get; } = new("a word on comfort",
    [
        Must("condition", new ReferenceShape("conditions"), "The condition worn."),
        Can("fit", new ReferenceShape("fits"), "The fit (one putting-on), as takes name it."),
        Can("wearer", new ReferenceShape("wearers"), "The wearer, when there are several."),
        Can("run", new ReferenceShape("runs"), "The run whose clock it was noted by; may be left out when there is one."),
        Can("at", new ClockShape(), "Clock time, on the clock of the run."),
        Can("worn_min", new NumberShape(0, 1440, "min"), "Minutes since it was put on."),
        Can("end_of_day", new YesNoShape(), "yes when it speaks of the whole day. Default no."),
        Can("discomfort", new NumberShape(0, ComfortEntry.MostDiscomfort, ""), "0 for nothing noticed to 10 for could not be borne; the same scale for all devices, said before anybody sees a result."),
        Can("hot_spot", new TextShape(), "Where it pressed: crown, left temple, behind the ear."),
        Can("hot_spot_min", new NumberShape(0, 1440, "min"), "Minutes until that was noticed."),
        Can("glasses", new YesNoShape(), "Whether spectacles were worn."),
        Can("remarks", new TextShape(), "Anything else: heat, weight, noise of the cable."),
    ]);

    /// <summary>An entry says something, and a clock has its run.</summary>
    public static void Check(Draft draft, DocumentProblems problems)
    {
        foreach (var entry in draft.List(Key))
        {
            if (entry.Has("at") && RunOf(entry, draft) is null && !entry.IsFaulty("run") && draft.IsComplete("runs"))
                problems.Error("COM-001", entry.PlaceOf("at"), entry.PathTo("at"), "a word on comfort with a clock and without a run", DocumentProblems.OneOf([.. draft.Ids("runs")]), "With several runs a clock needs the run that it belongs to.");
            if (!new[] { "discomfort", "hot_spot", "hot_spot_min", "remarks" }.Any(entry.Has))
                problems.Warning("COM-002", entry.Place, entry.Path, "an entry of 'comfort' that says nothing", "'discomfort', 'hot_spot' or 'remarks'", "Fill it in, or remove it.");
        }
    }

    /// <summary>The entry of a readable map.</summary>
    /// <param name="entry">The map.</param>
    /// <param name="draft">The document.</param>
    /// <param name="clock">Seconds since the start of a run for a time of day.</param>
    public static ComfortEntry Read(BoundMap entry, Draft draft, Func<string?, decimal?, double?> clock)
    {
        var run = entry.Has("at") ? RunOf(entry, draft) : entry.Text("run");
        return new(entry.Text("condition")!, draft.List("wearers").Count > 1 ? entry.Text("wearer") : null, entry.Text("fit"), run, clock(run, entry.Seconds("at")), entry.Number("worn_min"), entry.Flag("end_of_day") ?? false,
            entry.Number("discomfort"), entry.Text("hot_spot"), entry.Number("hot_spot_min"), entry.Flag("glasses"), entry.Text("remarks"));
    }

    /// <summary>The map of an entry.</summary>
    public static YamlMap Write(ComfortEntry c, YamlFlow? at) => new YamlMap()
        .Add("condition", c.Condition).Add("fit", c.Fit).Add("wearer", c.Wearer).Add("run", c.Run).Add("at", at).Add("worn_min", c.WornMinutes).Add("end_of_day", c.EndOfDay ? "yes" : null)
        .Add("discomfort", c.Discomfort).Add("hot_spot", c.HotSpot).Add("hot_spot_min", c.HotSpotMinutes).Add("glasses", c.Glasses switch { true => "yes", false => "no", null => null }).Add("remarks", c.Remarks);

    private static string? RunOf(BoundMap entry, Draft draft) => entry.Text("run") ?? (draft.List("runs") is [var only] ? only.Text("id") : null);

    private static Field Must(string key, Shape shape, string meaning) => new(key, shape, meaning, Required: true);

    private static Field Can(string key, Shape shape, string meaning) => new(key, shape, meaning);
}
