namespace Hushtrial.Trials.Document;

/// <summary>The section 'comfort': its checks, and the way to and from its entries.</summary>
internal static class ComfortLog
{
    /// <summary>An entry says something, and a clock has its run.</summary>
    public static void Check(Draft draft, DocumentProblems problems)
    {
        foreach (var entry in draft.List(ComfortShape.Key))
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
}
