using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Planning;

namespace Hushtrial.Trials.Finding;

/// <summary>One row of an order card: the open ear, or one donning with the conditions taken in it.</summary>
/// <param name="Number">Number on the card, from 1.</param>
/// <param name="Conditions">Identities of the conditions in order, 'open' alone for the open ear; the same one after itself is one stretch.</param>
public sealed record CardRow(int Number, IReadOnlyList<string> Conditions)
{
    /// <summary>Whether it is the open ear.</summary>
    public bool IsOpen => Conditions is [TrialDocument.OpenEar, ..];
}

/// <summary>The order in which a run was to be measured. It may not have been followed: rows may be missing, repeated or exchanged.</summary>
/// <param name="Rows">The rows, at least one.</param>
public sealed record OrderCard(IReadOnlyList<CardRow> Rows)
{
    /// <summary>The card of one flight of a drawn order.</summary>
    /// <param name="order">The order.</param>
    /// <param name="flight">Flight, from 1.</param>
    /// <param name="document">The trial, whose devices and conditions the order names.</param>
    /// <returns>The card, or null and the name that the trial does not know.</returns>
    public static (OrderCard? Card, string? Unknown) Of(MeasuringOrder order, int flight, TrialDocument document)
    {
        var rows = new List<CardRow>();
        foreach (var step in order.Steps.Where(s => s.Flight == flight))
        {
            if (step.Device is null) { rows.Add(new(step.Number, [TrialDocument.OpenEar])); continue; }
            var conditions = new List<string>();
            foreach (var mode in step.Takes.Count > 0 ? step.Takes : [""])
            {
                if (Named(document, step.Device, mode) is not { } condition) return (null, mode.Length > 0 ? $"{step.Device}, {mode}" : step.Device);
                conditions.Add(condition);
            }
            rows.Add(new(step.Number, conditions));
        }
        return rows.Count > 0 ? (new(rows), null) : (null, string.Create(CultureInfo.InvariantCulture, $"flight {flight}"));
    }

    /// <summary>Reads cards from text: one row after another separated by ';' or line ends, the conditions of one donning by ','; names are
    /// condition identities, condition names, devices with one condition, or 'open'. 'F1:' before rows begins the card of that run, 'flight 2:' that of the second.</summary>
    /// <param name="text">For example 'open; alder; birch-active, birch-passive, birch-active; open'. '#' begins a remark.</param>
    /// <param name="document">The trial.</param>
    /// <returns>Cards by run ('' for rows before any run's name), and a problem for every name that is not known.</returns>
    public static (IReadOnlyDictionary<string, OrderCard> Cards, IReadOnlyList<Problem> Problems) Read(string text, TrialDocument document)
    {
        var rows = new Dictionary<string, List<CardRow>>(StringComparer.Ordinal);
        var problems = new List<Problem>();
        var run = "";
        var number = 0;
        foreach (var line in text.Split('\n', StringSplitOptions.TrimEntries))
        {
            number++;
            var rest = line.Split('#')[0].Trim();
            foreach (var part in rest.Split(';', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries))
            {
                var row = part;
                if (row.IndexOf(':', StringComparison.Ordinal) is > 0 and var colon)
                {
                    var name = row[..colon].Trim();
                    if (document.Runs.Any(r => r.Id == name)) run = name;
                    else if (Flight(name) is { } flight) run = document.Runs.ElementAtOrDefault(flight - 1)?.Id ?? name;
                    else problems.Add(Unknown(name, number, "the name of a run before ':'"));
                    row = row[(colon + 1)..].Trim();
                    if (row.Length == 0) continue;
                }
                var conditions = new List<string>();
                foreach (var word in row.Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries))
                {
                    if (Named(document, word, "") is { } condition) conditions.Add(condition);
                    else problems.Add(Unknown(word, number, "'open', a condition, or a device of one condition"));
                }
                if (conditions.Count == 0) continue;
                if (!rows.TryGetValue(run, out var list)) rows[run] = list = [];
                list.Add(new(list.Count + 1, conditions));
            }
        }
        return (rows.ToDictionary(r => r.Key, r => new OrderCard(r.Value), StringComparer.Ordinal), problems);

        static Problem Unknown(string word, int line, string expected) => new("FND-001", Severity.Warning,
            string.Create(CultureInfo.InvariantCulture, $"order card, line {line}"), $"'{word}'", expected, "Write the names as the trial document has them. This name was left out of the card.");
    }

    /// <summary>The cards that the document itself holds: what stands under 'order' of 'fitting', where it reads as one.</summary>
    /// <param name="document">The trial.</param>
    /// <returns>Cards by run; empty when the order is told in other words or not at all.</returns>
    public static IReadOnlyDictionary<string, OrderCard> Of(TrialDocument document)
    {
        var text = document.Fitting.FirstOrDefault(f => f.Key == "order").Value;
        if (text is null) return new Dictionary<string, OrderCard>(StringComparer.Ordinal);
        var (cards, problems) = Read(text, document);
        return problems.Count == 0 ? Spread(cards, document) : new Dictionary<string, OrderCard>(StringComparer.Ordinal);
    }

    /// <summary>Gives the card before any run's name to the runs that have none of their own.</summary>
    public static IReadOnlyDictionary<string, OrderCard> Spread(IReadOnlyDictionary<string, OrderCard> cards, TrialDocument document) => !cards.TryGetValue("", out var common) ? cards
        : document.Runs.ToDictionary(r => r.Id, r => cards.GetValueOrDefault(r.Id) ?? common, StringComparer.Ordinal);

    // A plan is made before its flights are: it numbers them, and a flight that is not there yet has a card all the same.
    private static int? Flight(string name) => name.Split(' ') is ["flight", var number] && int.TryParse(number, NumberStyles.None, CultureInfo.InvariantCulture, out var n) && n > 0 ? n : null;

    private static string? Named(TrialDocument document, string name, string mode)
    {
        if (Same(name, TrialDocument.OpenEar) || Same(name, "open ear")) return TrialDocument.OpenEar;
        var matches = document.Conditions.Where(c => Same(c.Id, name) || Same(ConditionName.Of(document, c), name)).ToList();
        if (matches.Count == 1 && (mode.Length == 0 || Same(matches[0].Mode, mode))) return matches[0].Id;
        var ofDevice = document.Conditions.Where(c => (Same(c.Device, name) || Same(document.Devices.First(d => d.Id == c.Device).Name, name)) && (mode.Length == 0 || Same(c.Mode, mode))).ToList();
        if (ofDevice.Count > 1) ofDevice = [.. ofDevice.Where(c => c.WornWith.Count == 0)];
        return ofDevice.Count == 1 ? ofDevice[0].Id : null;
    }

    private static bool Same(string a, string b) => string.Equals(a, b, StringComparison.OrdinalIgnoreCase);
}
