using System.Text;
using Hushtrial.Cli.Commands;
using Hushtrial.Fuzzing.Mutation;
using Hushtrial.Quantities;
using Hushtrial.Store;
using Hushtrial.Trials.Document;

namespace Hushtrial.Fuzzing.Targets;

/// <summary>Order cards: rows as people write them, and the plan that 'plan --format json' wrote.</summary>
internal static class CardTarget
{
    private static readonly TrialDocument _document = TrialDocumentReader.Read("""
        hushtrial: 1
        trial: { title: T, quantity: insertion-loss, design: sequential }
        channels: [{ id: ear, where: ear, number: 1 }]
        recordings: [{ id: f1, file: f1.wav, run: F1 }, { id: f2, file: f2.wav, run: F2 }]
        devices: [{ id: alder, name: Alder, kind: over-ear }, { id: birch, name: Birch, kind: over-ear }]
        conditions: [{ id: alder, device: alder }, { id: birch-passive, device: birch }, { id: birch-active, device: birch, mode: active }, { id: birch-glasses, device: birch, with: [spectacles] }]
        runs: [{ id: F1 }, { id: F2 }]
        takes: []
        """, "trial.yaml").Document ?? throw new InvalidOperationException("The frame cannot be read.");

    private static readonly string[] _texts =
    [
        "open; alder; birch-active, birch-passive, birch-active; open",
        "F1: open; Alder\nF2: open ear; Birch, active; alder # the wind rose\nopen\n",
        """{"order":[{"step":1,"flight":1,"device":null,"code":null,"takes":["",""]},{"step":2,"flight":1,"device":"Birch","takes":["active","passive"]},{"step":1,"flight":2,"device":"alder","takes":[]}]}""",
    ];

    private static readonly string[] _words = ["open", "alder", "Birch", "birch-active", "Birch, active", "F1:", "F2:", ";", "#", "\"order\":", "\"step\": 1", "\"flight\": 2", "\"device\": null", "\"takes\": []", "\"takes\": [null]", "2147483648", "\"\\udc00\"", "{", "}", "[", "]"];

    public static FuzzTarget Target { get; } = new("cards", 2048, _ => [.. _texts.Select(Encoding.UTF8.GetBytes)], new TextMutation(_words).Mutate, Execute);

    public static bool Execute(byte[] input)
    {
        var problems = new List<Problem>();
        try
        {
            var cards = CardReading.Read(null, Encoding.UTF8.GetString(input), _document, problems);
            Places.Check(problems, long.MaxValue, Places.LinesIn(input));
            foreach (var (run, card) in cards)
            {
                BrokenPropertyException.Unless(run.Length == 0 || _document.Runs.Any(r => r.Id == run), $"a card of the run '{run}'");
                BrokenPropertyException.Unless(card.Rows.Count > 0 && card.Rows.All(r => r.Conditions.Count > 0 && r.Conditions.All(c => c == TrialDocument.OpenEar || _document.Conditions.Any(d => d.Id == c))), "a row without a condition of the trial");
            }
            return cards.Count > 0;
        }
        // Text that begins as JSON and is another program's.
        catch (WrongUseException)
        {
            return false;
        }
    }
}
