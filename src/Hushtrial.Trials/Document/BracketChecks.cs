using System.Globalization;

namespace Hushtrial.Trials.Document;

/// <summary>Whether the open ear was taken often enough to know the noise while devices were worn.</summary>
/// <remarks>Brackets: every second donning is best; with more than three donnings or ten minutes between them the drift of the
/// noise is a guess (simulated rms error of a pair for a drift of 1.5 dB in 300 s: 1.1 dB with a bracket every second donning, 1.3 dB
/// every fourth, 1.5 dB with only the first and the last).</remarks>
internal static class BracketChecks
{
    private const int MostFits = 3;
    private const double MostSeconds = 600;

    public static void Check(TrialDocument document, Draft draft, List<DatedTake> takes, DocumentProblems problems)
    {
        // Only an insertion loss needs the open ear.
        if (document.Quantity != MeasuredQuantity.InsertionLoss) return;
        foreach (var run in takes.GroupBy(t => (t.Entry.Run, t.Entry.Wearer)))
        {
            var map = draft.Find("runs", run.Key.Run)!;
            var who = run.Key.Wearer is { } wearer ? $" of '{wearer}'" : "";
            if (!run.Any(t => t.Entry.IsOpen))
                problems.Warning("DOC-082", map.Place, map.Path, $"no open-ear take{who} in the run '{run.Key.Run}'", "open-ear takes before, between and after the devices",
                    "Without the open ear this run tells how conditions differ, not how much each reduces.");
            else if (document.Design != TrialDesign.OutsideChannel && run.Any(t => !t.Entry.IsOpen))
                Brackets(map, who, InOrder([.. run]), problems);
        }
        var clockless = takes.Where(t => t.Entry.Recording is null && t.Entry.Log is null && t.Entry.Clock is null).ToList();
        if (clockless.Count > 0)
            problems.Note("DOC-093", clockless[0].Map.Place, clockless[0].Map.Path, string.Create(CultureInfo.InvariantCulture, $"{clockless.Count} hand-noted {(clockless.Count == 1 ? "reading" : "readings")} without 'at'"), "the clock time of every reading",
                "Without times a change of the noise during the run cannot be followed; the order of the document is taken as the order of the readings.");
    }

    private static void Brackets(BoundMap run, string who, List<DatedTake> takes, DocumentProblems problems)
    {
        var brackets = takes.Where((t, i) => t.Entry.IsOpen && (i == 0 || !takes[i - 1].Entry.IsOpen)).Count();
        var name = $"the run '{run.Text("id")}'";
        if (brackets == 1)
            problems.Warning("DOC-083", run.Place, run.Path, $"one open-ear bracket{who} in {name}", "one before, one after, and one every second fit", "A change of the noise during the run cannot be told from a difference between devices. Take the open ear again at the end.");
        else if (!takes[0].Entry.IsOpen || !takes[^1].Entry.IsOpen)
            problems.Warning("DOC-083", run.Place, run.Path, $"no open-ear bracket{who} at the {(takes[0].Entry.IsOpen ? "end" : "start")} of {name}", "one before the first device and one after the last", "For the takes outside the brackets the noise is a guess.");
        DatedTake? bracket = null;
        var fits = new HashSet<string?>();
        foreach (var take in takes)
        {
            if (!take.Entry.IsOpen) { fits.Add(take.Entry.Fit); continue; }
            if (bracket is not null && fits.Count > 0)
            {
                var seconds = bracket.Line == take.Line ? take.Time - bracket.End : null;
                var what = $"between the open-ear takes '{bracket.Entry.Id}' and '{take.Entry.Id}'{who}";
                const string Remedy = "The noise wanders. In a simulation with a drift of 1.5 dB in 5 minutes the error grew from 1.1 dB (a bracket every second fit) to 1.3 dB (every fourth) and 1.5 dB (only the first and the last).";
                if (fits.Count > MostFits)
                    problems.Warning("DOC-084", take.Map.Place, take.Map.Path, string.Create(CultureInfo.InvariantCulture, $"{fits.Count} fits {what}"), "one open-ear bracket every second fit, at most three apart", Remedy);
                else if (seconds > MostSeconds)
                    problems.Warning("DOC-084", take.Map.Place, take.Map.Path, string.Create(CultureInfo.InvariantCulture, $"{Math.Round(seconds.Value / 60)} minutes {what}"), "at most ten minutes between brackets", Remedy);
            }
            (bracket, fits) = (take, []);
        }
    }

    /// <summary>By clock where all have one that can be compared, else as written.</summary>
    private static List<DatedTake> InOrder(List<DatedTake> takes) => takes.TrueForAll(t => t.Time is not null && t.Line == takes[0].Line) ? [.. takes.OrderBy(t => t.Time)] : takes;
}
