using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Store;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Finding;
using Hushtrial.Trials.Planning;

namespace Hushtrial.Cli.Commands;

/// <summary>Reads order cards as they are given to a command: a file, a text, or what the document says.</summary>
internal static class CardReading
{
    private const int LargestFile = 1_000_000;

    /// <summary>Cards by run.</summary>
    public static IReadOnlyDictionary<string, OrderCard> Read(FileInfo? file, string? order, TrialDocument document, List<Problem> problems)
    {
        if (file is not null && order is not null) throw new WrongUseException("--card and --order say the same; give one of them.");
        if (file is null && order is null) return OrderCard.Of(document);
        var text = order ?? Text(file!);
        if (text.TrimStart().StartsWith('{')) return Planned(text, file?.Name ?? "--order", document, problems);
        var (cards, unknown) = OrderCard.Read(text, document);
        problems.AddRange(unknown);
        return OrderCard.Spread(cards, document);
    }

    private static string Text(FileInfo file) => SmallFile.ReadText(file.FullName, LargestFile);

    // What 'plan --format json' wrote: flight 1 is the document's first run, and so on.
    private static Dictionary<string, OrderCard> Planned(string text, string name, TrialDocument document, List<Problem> problems)
    {
        var steps = new List<OrderStep>();
        try
        {
            using var json = JsonDocument.Parse(text);
            foreach (var step in json.RootElement.GetProperty("order").EnumerateArray())
                steps.Add(new(step.GetProperty("step").GetInt32(), step.GetProperty("flight").GetInt32(), step.GetProperty("device").GetString(), null,
                    [.. step.GetProperty("takes").EnumerateArray().Select(t => t.GetString() ?? "")]));
        }
        catch (Exception e) when (e is JsonException or KeyNotFoundException or InvalidOperationException or FormatException)
        {
            throw new WrongUseException($"'{name}' is not the JSON that 'hushtrial plan --format json' writes: {e.Message}");
        }
        var order = new MeasuringOrder(steps, [], 0);
        var cards = new Dictionary<string, OrderCard>(StringComparer.Ordinal);
        foreach (var (index, run) in document.Runs.Index())
        {
            if (steps.All(s => s.Flight != index + 1)) continue;
            var (card, unknown) = OrderCard.Of(order, index + 1, document);
            if (card is not null) cards[run.Id] = card;
            else problems.Add(new("FND-001", Severity.Warning, name, $"'{unknown}'", "a device and mode of the trial document", "Name the devices of the document as the plan does; this flight was searched without a card."));
        }
        return cards;
    }
}
