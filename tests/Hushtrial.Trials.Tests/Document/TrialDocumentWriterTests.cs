using CsCheck;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

public sealed class TrialDocumentWriterTests
{
    public static TheoryData<string> Good => [.. Corpus.Names("good")];

    [Theory, MemberData(nameof(Good))]
    public void What_was_read_is_written_and_read_back_equal(string name)
    {
        var document = Corpus.Read(name).Document!;
        var text = TrialDocumentWriter.Write(document);
        var again = TrialDocumentReader.Read(text, name).Document!;
        Assert.Equal(DocumentEquality.Of(document), DocumentEquality.Of(again));
        Assert.Equal(text, TrialDocumentWriter.Write(again));
    }

    private static readonly string[] _awkward = ["null", "~", "yes", "off", "2026-05-14", "0:12", "- x", "? y", "a: b", "a #b", "#c", "[d", "{e", "*f", "&g", "!h", "|", ">", "'i'", "\"j\"", "%k", "@l", "`m", "a\nb", "a\n\n b", "n:", "...", "---", "\\", "1,5", "ä ö – … °", "a\tb", "a\rb", "a\r\nb", "\u00a0x", "x\u2028y", "😀"];

    /// <summary>Texts that YAML would take for something else, and everything a keyboard gives.</summary>
    private static readonly Gen<string> _text = Gen.OneOf(
        Gen.Int[0, _awkward.Length - 1].Select(i => _awkward[i]),
        Gen.Char[' ', '~'].Array[1, 20].Select(c => new string(c)));

    /// <summary>The reader trims texts, and an empty one means not stated.</summary>
    private static readonly Gen<string?> _stated = _text.Select(t => t.Trim() is { Length: > 0 } s ? s : null);

    private static readonly Gen<List<KeyValuePair<string, string>>> _own = Gen.Select(_stated, _stated).List[0, 4]
        .Select(l => l.Where(p => p.Item1 is not null && p.Item2 is not null).DistinctBy(p => p.Item1).Select(p => new KeyValuePair<string, string>("x" + p.Item1, p.Item2!)).ToList());

    private static readonly Gen<double> _decibels = Gen.Double[20, 140];

    private static readonly Gen<TrialDocument> _documents =
        from title in _stated
        from remarks in _stated
        from margin in Gen.Double[0.1, 20]
        from own in _own
        from start in Gen.Int[0, 86_399_999].Select(ms => ms / 1000.0)
        from clocks in Gen.Int[0, 40_000_000].Select(ms => ms / 1000.0).Array[1, 12]
        from levels in Gen.Select(_decibels, Gen.Select(Gen.Bool, _decibels, (some, value) => some ? value : (double?)null)).Array[12]
        from words in Gen.Select(_stated, _stated).Array[12]
        from bands in Gen.Int[-6, 5].Array[0, 6]
        from mass in Gen.Select(Gen.Bool, Gen.Double[0.1, 5000], (some, value) => some ? value : (double?)null)
        select new TrialDocument
        {
            Schema = 1,
            Identity = new Identity(title ?? "t", remarks, null, title, "2026-05-14", null, remarks, title),
            Quantity = MeasuredQuantity.InsertionLoss,
            Design = TrialDesign.ReadingsOnly,
            Margin = LevelDifference.FromDecibels(margin),
            MarginSet = remarks,
            Noise = own,
            Devices = [new Device("d", title ?? "d", DeviceKind.Helmet, true, mass, null, own, new PublishedFigures(
                [.. bands.Distinct().Order().Select((b, i) => new PublishedBand(Band.Octave(b), i, i % 2 == 0 ? i / 3.0 : null))], 12, [new("snr", margin)], [new PublishedClaim("up-to", margin, 125, "total", title, "c")], remarks))],
            Conditions = [new Condition("c", "d", "active", title is null ? [] : [title, "cap"])],
            Runs = [new Run("r", title, own) { StartOfDay = start }],
            Takes = [.. clocks.Select((clock, i) => new TakeEntry($"T{i}", "r", null, i % 2 == 0 ? "open" : "c", i % 2 == 0 ? null : $"D{i}", null, null, null,
                levels[i].Item1, levels[i].Item2, [.. bands.Distinct().Order().Select(b => new KeyValuePair<Band, double>(Band.Octave(b), b + 50.5))], clock, words[i].Item1, words[i].Item2 is "yes" or "no" or "true" or "false" ? null : words[i].Item2, null, ""))],
        };

    [Fact]
    public void Any_document_is_read_back_equal() => _documents.Sample(document =>
        DocumentEquality.Of(document) == DocumentEquality.Of(TrialDocumentReader.Read(TrialDocumentWriter.Write(document), "trial.yaml").Document!), iter: 1000);

    [Fact]
    public void A_document_that_could_not_be_read_back_is_not_written()
    {
        var document = Corpus.Read("good.minimal.yaml").Document!;
        var broken = document with { Takes = [document.Takes[0] with { Condition = "nothing" }] };
        Assert.Contains("DOC-041", Assert.Throws<ArgumentException>(() => TrialDocumentWriter.Write(broken)).Message, StringComparison.Ordinal);
    }
}
