using System.Globalization;

namespace Hushtrial.Trials.Document;

/// <summary>Every take is one interval or one reading, of one condition, in one fit, at one time.</summary>
internal static class TakeChecks
{
    public static void Check(Draft draft, DocumentProblems problems)
    {
        foreach (var take in draft.Takes)
        {
            Source(take, problems);
            Fit(take, draft, problems);
            Belonging(take, draft, problems);
        }
        Overlaps(draft, problems);
        SharedFits(draft, problems);
    }

    private static void Source(DraftTake take, DocumentProblems problems)
    {
        var map = take.Map;
        if (take.HasLog)
            LogChecks.Source(take, problems);
        else if (take.HasInterval && take.HasReading)
            Error("DOC-052", $"{take.Name} with an interval of a recording and a hand-noted reading", "one of the two", "Make two takes of it.");
        else if (!take.HasInterval && !take.HasReading)
            Error("DOC-051", $"{take.Name} without a level", "recording, from and to; log with clock_from and clock_to; or reading_a, reading_c or reading_bands", "Say where its level comes from, or remove the take.");
        else if (take.HasInterval)
        {
            var missing = new[] { "recording", "from", "to" }.Where(k => !map.Has(k)).ToList();
            if (missing.Count > 0)
                Error("DOC-053", $"{take.Name} without {string.Join(" and ", missing.Select(m => $"'{m}'"))}", "recording, from and to together", "Add what is missing.");
            if (take.From >= take.To)
                problems.Error("DOC-050", map.PlaceOf("to"), map.PathTo("to"), $"{take.Name} from {map.Find("from")!.Text} to {map.Find("to")!.Text}", "an end after the start", "Check the two times.");
            if (map.Has("at"))
                problems.Error("DOC-064", map.PlaceOf("at"), map.PathTo("at"), $"{take.Name} with 'at' and an interval of a recording", "'at' with hand-noted readings only",
                    "Give the recording its 'starts'; the clock of the take follows from it.");
        }
        if (map.Text("excluded") is "yes" or "no" or "true" or "false")
            problems.Error("DOC-036", map.PlaceOf("excluded"), map.PathTo("excluded"), $"'{map.Text("excluded")}' as the reason for leaving {take.Name} out", "the reason in words, or no such key",
                "A reader of the report wants to know why.");

        void Error(string code, string found, string expected, string remedy) => problems.Error(code, map.Place, map.Path, found, expected, remedy);
    }

    private static void Fit(DraftTake take, Draft draft, DocumentProblems problems)
    {
        var map = take.Map;
        if (take.IsOpen && map.Has("fit"))
            problems.Error("DOC-055", map.PlaceOf("fit"), map.PathTo("fit"), $"{take.Name} of the open ear with a fit", "no fit for the open ear", "Remove 'fit', or name the condition that was worn.");
        if (take.Condition is not { } condition) return;
        if (!map.Has("fit"))
            problems.Error("DOC-056", map.Place, map.Path, $"{take.Name} of '{condition.Text("id")}' without a fit", "the name of its fit",
                "A fit is one putting-on of the device: takes between putting it on and taking it off share its name, for example fit: D1. The next putting-on is D2, of whichever device.");
        if (!draft.IsMeasurable(condition))
            problems.Error("DOC-054", map.PlaceOf("condition"), map.PathTo("condition"), $"{take.Name} of '{condition.Text("id")}', whose device '{condition.Text("device")}' is not measurable",
                "takes of devices under which a microphone fits", "Remove the take, or 'measurable: no' from the device.");
    }

    private static void Belonging(DraftTake take, Draft draft, DocumentProblems problems)
    {
        var map = take.Map;
        if (draft.List("wearers").Count > 1 && !map.Has("wearer"))
            problems.Error("DOC-058", map.Place, map.Path, $"{take.Name} without a wearer", $"{DocumentProblems.OneOf([.. draft.Ids("wearers")])}", "With several wearers every take names its own.");
        var source = take.Recording ?? take.Log;
        var sourceRun = source?.Text("run");
        if (take.Run is null && !map.Has("run") && draft.List("runs").Count > 1 && source?.IsFaulty("run") != true && !map.IsFaulty("recording") && !map.IsFaulty("log"))
            problems.Error("DOC-059", map.Place, map.Path, $"{take.Name} without a run", $"{DocumentProblems.OneOf([.. draft.Ids("runs")])}", "With several runs every take, or its recording or log, names its own.");
        else if (map.Text("run") is { } run && sourceRun is not null && run != sourceRun)
            problems.Error("DOC-060", map.PlaceOf("run"), map.PathTo("run"), $"{take.Name} in the run '{run}', its {(take.Recording is not null ? "recording" : "log")} '{source!.Text("id")}' in '{sourceRun}'", "one run", "Correct one of the two.");
    }

    private static void Overlaps(Draft draft, DocumentProblems problems)
    {
        var timed = draft.Takes.Where(t => t is { IsExcluded: false, From: not null, To: not null } && t.Map.Text("recording") is not null && t.From < t.To);
        foreach (var recording in timed.GroupBy(t => t.Map.Text("recording")!))
        {
            DraftTake? latest = null;
            foreach (var take in recording.OrderBy(t => t.From).ThenBy(t => t.Map.Place))
            {
                if (latest is not null && take.From < latest.To)
                {
                    var found = $"{take.Name} ({take.Map.Find("from")!.Text} to {take.Map.Find("to")!.Text}), which overlaps {latest.Name} ({latest.Map.Find("from")!.Text} to {latest.Map.Find("to")!.Text})";
                    if (take.Map.Text("condition") == latest.Map.Text("condition") && take.Fit == latest.Fit)
                        problems.Warning("DOC-063", take.Map.PlaceOf("from"), take.Map.PathTo("from"), found, "takes side by side", "The common part counts twice: the two look more alike than they are. Shorten one.");
                    else
                        problems.Error("DOC-062", take.Map.PlaceOf("from"), take.Map.PathTo("from"), found, "one condition at a time", "Correct the times.");
                }
                if (latest is null || take.To > latest.To) latest = take;
            }
        }
    }

    private static void SharedFits(Draft draft, DocumentProblems problems)
    {
        foreach (var fit in draft.Takes.Where(t => t.Fit is not null && !t.IsOpen).GroupBy(t => t.Fit!))
        {
            One("devices", t => t.Condition?.Text("device"), "Putting on another device begins another fit.");
            One("sets of things worn with it", t => t.Condition is { } c ? string.Join(" + ", c.List<string>("with").DefaultIfEmpty("nothing")) : null,
                "Putting spectacles or a cap on or off moves the cushion: that begins another fit.");
            One("wearers", t => t.Wearer, "On another head it is another fit.");
            One("runs", t => t.Run, "A fit ends at the latest with its run.");

            void One(string what, Func<DraftTake, string?> of, string remedy)
            {
                var first = fit.FirstOrDefault(t => of(t) is not null);
                var other = first is null ? null : fit.FirstOrDefault(t => of(t) is { } value && value != of(first));
                if (other is null) return;
                problems.Error("DOC-057", other.Map.PlaceOf("fit"), other.Map.PathTo("fit"), string.Create(CultureInfo.InvariantCulture, $"the fit '{fit.Key}' with two {what}: {of(first!)} ({first!.Name}) and {of(other)} ({other.Name})"),
                    "one putting-on of one device", $"{remedy} Give it a name of its own.");
            }
        }
    }
}
