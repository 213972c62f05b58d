using System.Text;

namespace Hushtrial.Trials.Document;

/// <summary>The text of a new trial document: every field with its meaning in a comment, and an example trial that can be read.</summary>
public static class TrialDocumentTemplate
{
    /// <summary>The mark at the places a user has to fill in; the reader gives a note for each that is left.</summary>
    public const string FillIn = "FILL IN";

    private const int MeaningColumn = 34;
    private const int WidestLine = 130;

    private const string Opening = """
        # A trial of headsets or hearing protectors.
        #
        # One text file beside its recordings. Fill in what you know; a place left empty is reported as 'not stated'.
        # Indent with spaces. Numbers have a decimal point and no unit. Times in a recording: 12.5, 0:12.5 or 1:02:03.
        # Text that contains ': ' or ' #', or begins with a sign, goes in quotes.
        # The example entries below show the form: replace them by your own.
        #
        # Safety first: whoever flies, drives or steers measures nothing, swaps nothing and keeps the radio.
        # The open ear in loud noise has a dose of its own: keep these takes short, and follow your local rules.

        """;

    /// <summary>What stands in the template for fields that are not left empty, by section and key.</summary>
    private static readonly Dictionary<string, string> _values = new(StringComparer.Ordinal)
    {
        ["trial.title"] = FillIn, ["trial.purpose"] = FillIn, ["trial.operator"] = FillIn, ["trial.quantity"] = "insertion-loss", ["trial.design"] = "sequential",
        ["trial.scope"] = "general", ["trial.margin_db"] = "2", ["trial.margin_set"] = FillIn, ["trial.compare"] = "all", ["noise.vehicle"] = FillIn,
    };

    /// <summary>Example entries of the lists.</summary>
    private static readonly Dictionary<string, string[]> _entries = new(StringComparer.Ordinal)
    {
        ["wearers"] = ["- { id: W1 }"],
        ["channels"] = ["- { id: ear, where: ear, ear: left, number: 1, position: entrance of the open canal }"],
        ["recordings"] = ["- { id: cal, file: calibration.wav }", "- { id: f1, file: flight-1.wav, run: F1, starts: 10:00:00 }"],
        ["logs"] = [],
        ["calibrations"] = ["- { channel: ear, kind: tone, recording: cal, from: 0:05, to: 0:25, level_db: 94, hertz: 1000, calibrator: feedback, when: before }"],
        ["devices"] =
        [
            "- id: first", "  name: First headset", "  kind: over-ear", "  mass_g: 450",
            "- id: second", "  name: Second headset", "  kind: over-ear",
            "  published: { source: data sheet, subjects: 16, bands: { 125: [14.2, 3.1], 250: [18.0, 2.9] }, ratings: { snr: 27 } }",
        ],
        ["conditions"] = ["- { id: first, device: first, mode: passive }", "- { id: second-passive, device: second, mode: passive }", "- { id: second-active, device: second, mode: active }"],
        ["cabins"] = [],
        ["runs"] = ["- { id: F1, name: First flight, start: 10:00 }"],
        ["fits"] = ["- { id: D1, seal: felt all round }"],
        ["comfort"] = [],
        ["takes"] =
        [
            "- { id: T01, run: F1, condition: open, recording: f1, from: 0:12, to: 0:32 }",
            "- { id: T02, run: F1, condition: first, fit: D1, recording: f1, from: 1:10, to: 1:30 }",
            "- { id: T03, run: F1, condition: second-passive, fit: D2, recording: f1, from: 2:10, to: 2:30 }",
            "- { id: T04, run: F1, condition: second-active, fit: D2, recording: f1, from: 2:35, to: 2:55 }",
            "- { id: T05, run: F1, condition: open, recording: f1, from: 3:30, to: 3:50 }",
            "- { id: T06, run: F1, condition: second-active, fit: D3, recording: f1, from: 4:30, to: 4:50 }",
            "- { id: T07, run: F1, condition: second-passive, fit: D3, recording: f1, from: 4:55, to: 5:15 }",
            "- { id: T08, run: F1, condition: first, fit: D4, recording: f1, from: 6:00, to: 6:20 }",
            "- { id: T09, run: F1, condition: open, recording: f1, from: 7:00, to: 7:20 }",
        ],
    };

    /// <summary>The template: it reads without errors or warnings, with one note for every place to fill in.</summary>
    public static string Text()
    {
        var text = new StringBuilder(Opening.ReplaceLineEndings("\n"));
        text.Append("\nhushtrial: 1\n");
        foreach (var field in DocumentShape.Root.Fields.Skip(1))
        {
            text.Append("\n# ---- ").Append(field.Meaning).Append('\n');
            if (field.Shape is MapShape map) Section(text, field.Key, map);
            else if (field.Shape is ListShape list) Entries(text, field, list.Entry);
        }
        return text.ToString();
    }

    private static void Section(StringBuilder text, string section, MapShape map)
    {
        text.Append(section).Append(":\n");
        foreach (var field in map.Fields)
        {
            Commented(text, $"  {field.Key}: {_values.GetValueOrDefault($"{section}.{field.Key}", "")}".TrimEnd(), DocumentMeaning.Of(field));
            if (field.Shape is MapShape inner) Fields(text, inner, "  ");
            if (field.Shape is ListShape list) Fields(text, list.Entry, "  ");
        }
    }

    private static void Entries(StringBuilder text, Field field, MapShape entry)
    {
        if (field.Key == "logs")
            text.Append("# None in this example. 'hushtrial log FILE' reads a log and prints its entry, with the evidence for every column.\n");
        if (field.Key == "takes")
            text.Append("# Hand-noted readings instead: - { id: T01, run: F1, condition: open, at: 10:14:30, reading_a: 98.4, reading_c: 110.1 }\n");
        Fields(text, entry, "");
        text.Append(field.Key).Append(":\n");
        foreach (var line in _entries[field.Key]) text.Append("  ").Append(line).Append('\n');
    }

    /// <summary>The fields of an entry, and those inside them, as comment lines.</summary>
    private static void Fields(StringBuilder text, MapShape entry, string indent)
    {
        foreach (var field in entry.Fields)
        {
            Commented(text, $"#   {indent}{field.Key}", DocumentMeaning.Of(field) + (field.Required ? " Must be there." : ""));
            if (field.Shape is MapShape inner) Fields(text, inner, indent + "  ");
            if (field.Shape is ListShape list) Fields(text, list.Entry, indent + "  ");
        }
    }

    /// <summary>A start and its meaning behind it, on as many lines as it takes.</summary>
    private static void Commented(StringBuilder text, string start, string meaning)
    {
        var mark = start.StartsWith('#') ? "" : "# ";
        var line = new StringBuilder(start.PadRight(MeaningColumn)).Append(mark);
        var bare = line.Length;
        foreach (var word in meaning.Split(' '))
        {
            if (line.Length > bare && line.Length + word.Length >= WidestLine)
            {
                text.Append(line.ToString().TrimEnd()).Append('\n');
                line.Clear().Append((mark.Length == 0 ? "#" : "").PadRight(MeaningColumn)).Append(mark);
            }
            line.Append(word).Append(' ');
        }
        text.Append(line.ToString().TrimEnd()).Append('\n');
    }
}
