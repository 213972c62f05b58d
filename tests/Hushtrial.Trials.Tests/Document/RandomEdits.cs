using System.Globalization;
using CsCheck;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

/// <summary>Edits as people, forms and accidents make them.</summary>
internal static class RandomEdits
{
    private static readonly string[] _words =
    [
        "alder", "birch-active", "open", "F1", "T01", "12", "0:12", "0:12.5", "10:14:30", "-3", "94.5", "yes", "no", "null", "~", "all", "2026-05-14", "insertion-loss", "outside-channel", "helmet",
        "Alder mit Bügel", "up to 30 dB: a claim", "a # b", "- dash", "[", "[alder", "{ 125: 20", "]", "\"quoted\"", "it's", "two\nlines", "\nstarts empty", "ends empty\n", " lead", "trail ", "tab\there",
        "%percent", "@at", "`tick", "*star", "&and", "!bang", "?", ":", "---", "...", "<<", "1:2:3:4", "12:", "🎧 headset", "e\u0301", "nbsp\u00a0here", "line\u2028sep", "\ufeffbom", "\u0007bell", "\ud800", "a,b", "x: {y}", "#hash", "0x1F", "1e3", "''", "\\", "a\\b", "\r\n", "|", ">", "|-", "c\u0085d",
    ];

    private static readonly string[] _flows =
    [
        "[alder, birch]", "[[birch-active, cedar-active], [alder, open]]", "{ 125: [14.2, 3.1], 250: 20.5 }", "{ 63: 92, 125: 95.5 }", "[spectacles, cap]", "{ helmet size: M }", "[{ kind: up-to, value: 30 }]", "{}", "[]", "[[[[]]]]", "{ a: { b: { c: d } } }", "{ a: 1, a: 2 }", "[*x]", "{ <<: x }",
        "{ snr: 27 }", "[&a b]", "[!t x]", "{ 'q k': \"v\" }", "[ , ]", "{ x }", "[x, {y: [z]}]",
    ];

    private static readonly IReadOnlyList<string> _paths = [.. Paths()];

    private static readonly Gen<string> _name = Gen.OneOf(Of(_words), Of("W1", "left", "f1", "alder", "birch", "cedar", "dogwood", "alder-spectacles", "F2", "A1", "B1", "T02", "#0", "#1", "#7", "#99999999999", "new", "Neu", "other"), Gen.String[Gen.Char, 0, 6]);

    private static readonly Gen<string> _section = Of([.. DocumentLayout.Sections.Where(s => s.IsList).Select(s => s.Key), "devices[alder].published.claims", "devices[birch].published.claims", "trial", "nowhere", "", "devices[", "devices[]"]);

    public static Gen<string> Value { get; } = Gen.OneOf(Of(_words), Of(_flows), Gen.String[Gen.Char, 0, 30], Gen.String[Gen.Char["ab :#-,[]{}'\"\n\t\\|>&*!%@`~?0"], 0, 12]);

    private static readonly Gen<DraftEdit> _single = Gen.Frequency(
        (6, Gen.Select(Of([.. _paths]), _name, Value.Null(0.15), (p, n, v) => (DraftEdit)new DraftEdit.Set(p.Replace("*", n, StringComparison.Ordinal), v))),
        (1, Gen.Select(Gen.String[Gen.Char["abc.[]#0* "], 0, 10], Value, (p, v) => (DraftEdit)new DraftEdit.Set(p, v))),
        (3, Gen.Select(_section, Gen.Select(Of("id", "name", "kind", "device", "condition", "run", "fit", "recording", "file", "channel", "level_db", "published.source", "published.bands", "other.Own name", "other.a.b[c]", "nonsense", ""), Gen.OneOf(_name, Value), (k, v) => new KeyValuePair<string, string>(k, v)).Array[0, 4],
            _name.Null(0.7), (s, f, b) => (DraftEdit)new DraftEdit.Add(s, f, b))),
        (2, Gen.Select(_section, _name, (s, e) => (DraftEdit)new DraftEdit.Remove(s, e))),
        (2, Gen.Select(_section, _name, Gen.Int[-2, 9], (s, e, to) => (DraftEdit)new DraftEdit.Move(s, e, to))),
        (3, Gen.Select(_section, _name, _name, (s, e, to) => (DraftEdit)new DraftEdit.Rename(s, e, to))));

    public static Gen<DraftEdit> Edit { get; } = Gen.Frequency((300, _single), (10, _single.Array[0, 4].Select(e => (DraftEdit)new DraftEdit.Several(e))),
        (1, Value.Select(v => (DraftEdit)new DraftEdit.Replace(v))));

    private static Gen<string> Of(params string[] choices) => Gen.Int[0, choices.Length - 1].Select(i => choices[i]);

    private static IEnumerable<string> Paths()
    {
        foreach (var section in DocumentLayout.Sections)
            foreach (var path in Inside(section.Fields, section.IsList ? $"{section.Key}[*]" : section.Key))
                yield return path;
        yield return "hushtrial";
        foreach (var path in new[] { "trial", "devices", "devices[*]", "trial.*", "devices[*].*", "devices[*].other.*", "noise.other.*", "devices[*].published.bands.*", "takes[*].reading_bands.125" }) yield return path;
    }

    private static IEnumerable<string> Inside(IReadOnlyList<LayoutField> fields, string path)
    {
        foreach (var field in fields)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"{path}.{field.Key}");
            foreach (var inner in Inside(field.Children, field.Kind == LayoutKind.Entries ? $"{path}.{field.Key}[#0]" : $"{path}.{field.Key}")) yield return inner;
        }
    }
}
