using System.Globalization;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Web.Language;

namespace Hushtrial.Web.Pages;

/// <summary>A take as the page lists it.</summary>
/// <param name="Id">Its name in the draft.</param>
/// <param name="Path">Its place in the draft.</param>
/// <param name="Condition">As written; "" when it is not said.</param>
/// <param name="Fit">As written.</param>
/// <param name="Recording">As written.</param>
/// <param name="From">As written.</param>
/// <param name="To">As written.</param>
/// <param name="Excluded">The reason for leaving it out, or "".</param>
/// <param name="Result">What the analysis made of it; null while there is none of this revision.</param>
internal sealed record TakeRow(string Id, string Path, string Condition, string Fit, string Recording, string From, string To, string Run, string Wearer, string Excluded, TakeResult? Result);

/// <summary>A condition as a take names it.</summary>
/// <param name="Id">Its name in the draft.</param>
/// <param name="Name">For readers.</param>
/// <param name="Fits">Fits of its device so far, in the order of the takes.</param>
/// <param name="NextFit">The name of a further one.</param>
internal sealed record ConditionChoice(string Id, string Name, IReadOnlyList<string> Fits, string NextFit);

/// <summary>The takes of a trial for the page that edits them, and the names that new ones would get.</summary>
internal static class TakeRows
{
    /// <summary>Takes that are spans of recordings, in the document's order; noted readings and those of level logs are none.</summary>
    public static IReadOnlyList<TakeRow> Of(TrialView view)
    {
        var results = view.State.IsOf(view.Trial) ? view.State.Results?.Takes.ToDictionary(t => t.Entry.Id, StringComparer.Ordinal) : null;
        var rows = new List<TakeRow>();
        foreach (var id in view.Draft.Ids("takes"))
        {
            var path = $"takes[{id}]";
            string Value(string key) => view.Draft.Value($"{path}.{key}") ?? "";
            if (Value("recording").Length == 0 && (Value("log").Length > 0 || Value("reading_a").Length > 0 || Value("reading_c").Length > 0 || Value("reading_bands").Length > 0)) continue;
            rows.Add(new(id, path, Value("condition"), Value("fit"), Value("recording"), Value("from"), Value("to"), Value("run"), Value("wearer"), Value("excluded"), results?.GetValueOrDefault(id)));
        }
        return rows;
    }

    /// <summary>The conditions with the fits so far.</summary>
    public static IReadOnlyList<ConditionChoice> Conditions(TrialView view)
    {
        var draft = view.Draft;
        var takes = draft.Ids("takes").Select(t => (Condition: draft.Value($"takes[{t}].condition"), Fit: draft.Value($"takes[{t}].fit"))).Where(t => t.Fit is { Length: > 0 }).ToList();
        var all = takes.Select(t => t.Fit!).Concat(draft.Ids("fits")).ToHashSet(StringComparer.Ordinal);
        var choices = new List<ConditionChoice>();
        foreach (var id in draft.Ids("conditions"))
        {
            var device = draft.Value($"conditions[{id}].device");
            var sameDevice = draft.Ids("conditions").Where(c => draft.Value($"conditions[{c}].device") == device).ToHashSet(StringComparer.Ordinal);
            var fits = takes.Where(t => t.Condition is not null && sameDevice.Contains(t.Condition)).Select(t => t.Fit!).Distinct(StringComparer.Ordinal).ToList();
            var stem = device is { Length: > 0 } && char.IsLetter(device[0]) ? char.ToUpperInvariant(device[0]).ToString() : "F";
            choices.Add(new(id, Name(draft, view.T, id), fits, Next(stem, 1, all)));
        }
        return choices;
    }

    /// <summary>The name that the next take would get: that of the highest number so far, plus one.</summary>
    public static string NextTake(TrialView view)
    {
        var (stem, digits, highest) = ("T", 2, 0);
        foreach (var id in view.Draft.Ids("takes"))
        {
            var tail = id.Length - id.Reverse().TakeWhile(char.IsAsciiDigit).Count();
            if (tail == 0 || tail == id.Length || id.Length - tail > 6 || id.StartsWith('#')) continue;
            if (int.Parse(id[tail..], CultureInfo.InvariantCulture) is var number && number >= highest) (stem, digits, highest) = (id[..tail], id.Length - tail, number);
        }
        return stem + (highest + 1).ToString(CultureInfo.InvariantCulture).PadLeft(digits, '0');
    }

    /// <summary>How a take is called in one line: 'T02 Alder A1'.</summary>
    public static string Label(TrialView view, TakeRow row)
    {
        var condition = row.Condition.Length > 0 ? Name(view.Draft, view.T, row.Condition) : "?";
        return string.Join(' ', new[] { row.Id.StartsWith('#') ? "" : row.Id, condition, row.Fit }.Where(x => x.Length > 0));
    }

    /// <summary>A condition, or the open ear, for readers: 'Birch (active)'.</summary>
    public static string Name(TrialDraft draft, Tongue t, string id)
    {
        if (id == TrialDocument.OpenEar) return t["open ear"];
        var device = draft.Value($"conditions[{id}].device");
        var name = device is null ? id : draft.Value($"devices[{device}].name") is { Length: > 0 } given ? given : device;
        string Mode(string condition) => draft.Value($"conditions[{condition}].mode") is { Length: > 0 } mode ? mode : Tongue.Key("passive");
        var several = draft.Ids("conditions").Where(c => draft.Value($"conditions[{c}].device") == device).Select(Mode).Distinct(StringComparer.Ordinal).Count() > 1;
        List<string> remarks = several || Mode(id) != "passive" ? [t[Mode(id)]] : [];
        if (draft.Value($"conditions[{id}].with")?.Trim('[', ']', ' ') is { Length: > 0 } with) remarks.Add(t["with {0}", with]);
        return remarks.Count > 0 ? $"{name} ({string.Join(", ", remarks)})" : name;
    }

    private static string Next(string stem, int from, HashSet<string> taken)
    {
        for (var i = from; ; i++)
            if (stem + i.ToString(CultureInfo.InvariantCulture) is var name && !taken.Contains(name)) return name;
    }
}
