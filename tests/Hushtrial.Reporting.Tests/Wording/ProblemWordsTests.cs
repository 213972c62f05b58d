using System.Text.RegularExpressions;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Tests.Samples;

namespace Hushtrial.Tests.Wording;

public sealed partial class ProblemWordsTests
{
    // Files that lend words to problems, proposals and the history and make no problem themselves.
    private static readonly HashSet<string> _lenders = new(StringComparer.Ordinal)
    {
        "Calibration.cs", "CalibratorTone.cs", "TonePieces.cs", "AiffFile.cs", "FileSignature.cs", "SampleEncoding.cs", "WaveFormat.cs", "OpenedLog.cs", "KindOfFile.cs", "PackageArchive.cs", "PackageFolder.cs",
        "TrialHistory.cs", "TrialLibrary.cs", "TrialPackage.cs", "Draft.cs", "DraftEdit.cs", "DraftWords.cs", "TrialDocument.cs", "Relations.cs", "RowInterval.cs", "FieldTransfer.cs", "CabinSpectra.cs",
        "ChannelCalibrations.cs", "ChannelTake.cs", "MeasuredTrial.cs",
    };

    // Not for readers: marks in a document, words that the parser below uses, and pieces that are known with what stands around them.
    private static readonly HashSet<string> _notForReaders = new(StringComparer.Ordinal)
    {
        "[f1-1.wav, f1-2.wav]", "logs: []", "logs: #", "id: {}", "{ 1: time, 2: LAeq }", "^[0-9]{4}-[0-9]{2}-[0-9]{2}(?: to [0-9]{4}-[0-9]{2}-[0-9]{2})?$", "{} or {}", "{} {} removed",
        "invalid mapping", "cannot start any token", "unknown escape", "quoted scalar", "expected key", "block collection", "sequence entries",
    };

    [Fact]
    public void Every_text_of_a_problem_has_its_German()
    {
        var known = Phrasebook.German.Phrases.Keys.Select(k => Place().Replace(k, "{}")).ToHashSet(StringComparer.Ordinal);
        var (texts, unknown) = (0, new List<string>());
        foreach (var file in Directory.EnumerateFiles(Path.Combine(Reference.Root, "src"), "*.cs", SearchOption.AllDirectories).Where(f => Rooms().IsMatch(f)))
        {
            var source = File.ReadAllText(file);
            if (!Code().IsMatch(source) && !_lenders.Contains(Path.GetFileName(file))) continue;
            foreach (var text in SourceTexts.Of(source).Where(t => !_notForReaders.Contains(t)))
            {
                texts++;
                if (!known.Contains(text)) unknown.Add($"{Path.GetFileName(file)}: {text}");
            }
        }
        Assert.True(unknown.Count == 0, string.Join("\n", unknown));
        Assert.True(texts > 1200, $"Only {texts} texts were gathered: the gathering is broken.");
    }

    /// <summary>A heading is too short for a reader of German pages to be found by its small English words.</summary>
    [Fact]
    public void Every_heading_of_the_report_has_its_German()
    {
        var headings = Directory.EnumerateFiles(Path.Combine(Reference.Root, "src", "Hushtrial.Reporting", "Report"), "*.razor")
            .SelectMany(f => Heading().Matches(File.ReadAllText(f))).Select(m => m.Groups["text"].Value)
            .Concat(Answers.OfMeaning(Meaning.Results()).Concat(Answers.OfListening(Heard.Results())).Select(a => a.Question)).ToList();
        Assert.True(headings.Count > 25, $"Only {headings.Count} headings were gathered: the gathering is broken.");
        Assert.DoesNotContain(headings, h => Phrasebook.German.Translate(h) is null);
    }

    [Theory]
    [InlineData("data ends after 9830400 bytes (102.4 s)", "die Daten enden nach 9830400 Byte (102,4 s)")]
    [InlineData("11520000 bytes (120.0 s), as the header says", "11520000 Byte (120,0 s), wie der Kopf sagt")]
    [InlineData("'Over-ear', an unknown word", "„Over-ear“, ein unbekanntes Wort")]
    [InlineData("a list for bands", "eine Liste anstelle von Bändern")]
    [InlineData("Take 't1' of a log and of a recording", "Messung „t1“ aus einem Protokoll und aus einer Aufnahme")]
    [InlineData("4 fits between the open-ear takes 'a' and 'b'", "4 Sitze zwischen den Messungen am offenen Ohr „a“ und „b“")]
    [InlineData("trial.yaml, line 12, column 3", "trial.yaml, Zeile 12, Spalte 3")]
    [InlineData("trial.yaml, line 12, column 3 (takes[t1].from)", "trial.yaml, Zeile 12, Spalte 3 (takes[t1].from)")]
    [InlineData("Write it like [spectacles, cap].", "Schreiben Sie es wie [spectacles, cap].")]
    [InlineData("12 samples at full scale, up to 3 in a row; peaks end at −0.1 dB re full scale", "12 Abtastwerte bei Vollaussteuerung, bis zu 3 hintereinander; Spitzen enden bei −0,1 dB re Vollaussteuerung")]
    [InlineData("Device alder: kind over-ear → helmet", "Gerät alder: kind over-ear → helmet")]
    [InlineData("Device alder removed, and one more change", "Gerät alder entfernt, und eine weitere Änderung")]
    [InlineData("Recording day1 added: day1.wav, 12.5 MB", "Aufnahme day1 hinzugefügt: day1.wav, 12,5 MB")]
    [InlineData("steady: half-second levels within 1.2 dB, change from start to end −0.1 dB", "gleichmäßig: Pegel über halbe Sekunden innerhalb von 1,2 dB, Änderung von Anfang bis Ende −0,1 dB")]
    [InlineData("bands headed as unweighted, of which the bands sum up to it", "Bänder, die als unbewertet überschrieben sind; davon die Bänder summieren sich dazu")]
    public void A_message_is_said_with_what_stands_in_it(string english, string german) => Assert.Equal(german, Phrasebook.German.Translate(english));

    [Theory]
    [InlineData("kind: over-ear", "kind: 12")]
    [InlineData("quantity: insertion-loss", "quantity: loss")]
    [InlineData("devices:", "gadgets:")]
    [InlineData("runs:", "runs: 7\nrans:")]
    [InlineData("takes:", "takes: [")]
    [InlineData("", "")]
    public void What_is_wrong_with_a_document_is_said_in_German(string written, string instead)
    {
        var text = TrialDocumentTemplate.Text();
        if (written.Length > 0)
        {
            Assert.Contains(written, text, StringComparison.Ordinal);
            text = text.Replace(written, instead, StringComparison.Ordinal);
        }
        var (_, problems) = TrialDocumentReader.Read(text, "trial.yaml");
        Assert.NotEmpty(problems);
        Assert.Equal([], problems.SelectMany(p => (string[])[p.Where, p.Found, p.Expected, p.Remedy]).Where(t => SpokenHtml.IsEnglish(Phrasebook.German.Translate(t) ?? t)));
    }

    [GeneratedRegex(@"\{[ntpx]\d\}", RegexOptions.CultureInvariant)]
    private static partial Regex Place();

    [GeneratedRegex("\"[A-Z]{3}-[0-9]{3}\"", RegexOptions.CultureInvariant)]
    private static partial Regex Code();

    [GeneratedRegex(@"<h[1-6]\b[^>]*>(?<text>[^<@]+)</h", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 2000)]
    private static partial Regex Heading();

    [GeneratedRegex(@"Hushtrial\.(?:Signals|Store)[/\\](?!obj)|Hushtrial\.Trials[/\\](?:Document|Effects|Finding|Logs|Pairing|Screening)[/\\]", RegexOptions.CultureInvariant)]
    private static partial Regex Rooms();
}
