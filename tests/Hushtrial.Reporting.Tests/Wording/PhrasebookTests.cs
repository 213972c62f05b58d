using System.Text.RegularExpressions;
using Hushtrial.Reporting.Figures;
using Hushtrial.Reporting.Report;
using Hushtrial.Reporting.Tables;
using Hushtrial.Reporting.Wording;
using Hushtrial.Tests.Samples;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Wording;

public sealed partial class PhrasebookTests
{
    private static IEnumerable<TrialResults> All => [Helicopter.Results(), Meaning.Results(), Tractor.Results()];

    [Theory]
    [InlineData("18.3 dB (95 %: 16.5 to 20.1)", "18,3 dB (95 %: 16,5 bis 20,1)")]
    [InlineData("−0.4", "−0,4")]
    [InlineData("1:02", "1:02")]
    [InlineData("2026-05-14", "2026-05-14")]
    [InlineData("Insertion loss, dB", "Einfügungsdämpfung, dB")]
    [InlineData("3\u00A0runs, 12\u00A0donnings", "3 Läufe, 12 Sitze")]
    [InlineData("from 125 Hz to 1.25 kHz and at 4 kHz", "von 125 Hz bis 1,25 kHz und bei 4 kHz")]
    [InlineData("Birch (active) kept out the most of this cabin's noise: 25.4 dB, A-weighted (95 %: 23.0 to 27.9); the data cannot tell it apart from Cedar (active); Dogwood or Alder.",
        "Birch (aktiv) hielt vom Geräusch dieser Kabine am meisten ab: 25,4 dB, A-bewertet (95 %: 23,0 bis 27,9); die Daten können es nicht von Cedar (aktiv); Dogwood oder Alder unterscheiden.")]
    [InlineData("Of this noise Birch (active) kept out 25.4 dB, A-weighted (95 %: 23.0 to 27.9).", "Von diesem Geräusch hielt Birch (aktiv) 25,4 dB ab, A-bewertet (95 %: 23,0 bis 27,9).")]
    [InlineData("Alder and Birch in general: not resolved: differences from −1.2 to +3.4 dB remain possible.", "Alder und Birch allgemein: nicht entschieden: Unterschiede von −1,2 bis +3,4 dB bleiben möglich.")]
    [InlineData("With 8 h a day in this noise: outside the device, where no protector counts, the permissible exposure of 90 dB(A) and the action level of 85 dB(A) are reached or exceeded.",
        "Mit 8 h am Tag in diesem Geräusch: außerhalb des Geräts, wo kein Gehörschutz zählt, sind erreicht oder überschritten: zulässige Exposition von 90 dB(A) und Auslöseschwelle von 85 dB(A).")]
    [InlineData("With 3.5 h a day in this noise, 10 min of them with the device off: at the ear, against 87 dB(A) and 85 dB(A), Alder and Birch (active) stay below, also at the one-sided 95 % upper level; for Cedar it cannot be told; for Elm and Fir it differs from rule to rule; Oak, Pine and Yew lie above; outside the device, where no protector counts, the lower action value of 80 dB(A), the upper action value of 85 dB(A) and the permissible exposure of 90 dB(A) are reached or exceeded.",
        "Mit 3,5 h am Tag in diesem Geräusch, davon 10 min ohne das Gerät: am Ohr, gegen 87 dB(A) und 85 dB(A): Alder und Birch (aktiv) bleiben darunter, auch mit dem einseitigen oberen 95-%-Pegel; für Cedar ist es nicht zu sagen; für Elm und Fir ist es von Regel zu Regel verschieden; Oak, Pine und Yew liegen darüber; außerhalb des Geräts, wo kein Gehörschutz zählt, sind erreicht oder überschritten: unterer Auslösewert von 80 dB(A), oberer Auslösewert von 85 dB(A) und zulässige Exposition von 90 dB(A).")]
    [InlineData("Alder: LEX,8h 72.0 dB(A) at the ear (95 %: 71.0 to 73.0); at the ear below the limit value of 87 dB(A) (EU directive 2003/10/EC); outside the device at or above the permissible exposure of 90 dB(A) (OSHA permissible exposure).",
        "Alder: LEX,8h 72,0 dB(A) am Ohr (95 %: 71,0 bis 73,0); am Ohr unter 87 dB(A) (Grenzwert, EU-Richtlinie 2003/10/EG); außerhalb des Geräts 90 dB(A) erreicht oder überschritten (zulässige Exposition, OSHA, zulässige Exposition).")]
    [InlineData("The recorder is full at a peak of 128 dB, unweighted; no take filled it.", "Der Rekorder ist bei einer Spitze von 128 dB, unbewertet, voll ausgesteuert; keine Messung füllte ihn.")]
    [InlineData("80 dB(A) outside the device (EU, UK); 85 dB(A) at the ear (NIOSH)", "80 dB(A) außerhalb des Geräts (EU, UK); 85 dB(A) am Ohr (NIOSH)")]
    [InlineData("Of 3\u00A0claims, each on each condition it speaks of, 4\u00A0outcomes: 3 supported; 1 not tested.", "Von 3 Angaben, jede an jeder Bedingung, von der sie spricht, 4 Ergebnisse: 3 gestützt; 1 nicht geprüft.")]
    [InlineData("as read at the microphone: the trial document gives its place in words only, and ‘microphone_at’ is what the conversion needs", "wie am Mikrofon abgelesen: Das Versuchsdokument nennt seinen Ort nur in Worten, und „microphone_at“ ist, was die Umrechnung braucht")]
    [InlineData("OSHA permissible exposure knows no week: the loudest day is at or above its permissible exposure of 90 dB(A), judged by the noise outside the device.",
        "OSHA, zulässige Exposition kennt keine Woche: Der lauteste Tag erreicht oder überschreitet, nach dem Geräusch außerhalb des Geräts beurteilt, 90 dB(A) (zulässige Exposition).")]
    public void A_known_sentence_is_said_whole(string english, string german) => Assert.Equal(german, Phrasebook.German.Translate(english));

    [Theory]
    [InlineData("Insertion loss, by a rule that nobody wrote")]
    [InlineData("Each of 5 donnings was left out in turn: something new happened.")]
    [InlineData("Supported: something that no pattern knows.")]
    public void What_is_not_known_whole_is_not_said_by_halves(string english) => Assert.Null(Phrasebook.German.Translate(english));

    [Fact]
    public void A_translation_has_the_places_of_its_English() =>
        Assert.Equal([], Phrasebook.German.Phrases.Where(p => !Places(p.Key).SetEquals(Places(p.Value))).Select(p => p.Key));

    [Fact]
    public void English_stays_as_it_is_and_returns_when_the_work_ends()
    {
        using (Phrasebook.Use(Phrasebook.German)) Assert.Equal("Messung", Phrasebook.Say("Take"));
        Assert.Equal("Take", Phrasebook.Say("Take"));
    }

    [Fact]
    public void Every_figure_says_in_German_what_it_shows()
    {
        foreach (var results in All)
        {
            var english = TrialFigures.Of(results, FigureWidth.Page).All().ToList();
            using var german = Phrasebook.Use(Phrasebook.German);
            foreach (var (before, after) in english.Zip(TrialFigures.Of(results, FigureWidth.Page).All()))
            {
                Assert.NotEqual(before.Title, after.Title);
                Assert.NotEqual(before.Quantity, after.Quantity);
                Assert.NotEqual(before.Caption, after.Caption);
            }
        }
    }

    [Fact]
    public void Captions_heads_and_notes_of_result_tables_are_known()
    {
        var names = All.SelectMany(r => r.Conditions).Select(c => c.Name).ToHashSet(StringComparer.Ordinal);
        var tables = All.SelectMany(r => (ReportTable?[])[ResultTables.Loss(r), ResultTables.EarLevels(r), .. ResultTables.Bands(r), ResultTables.Fits(r), ResultTables.Takes(r), ResultTables.Pairs(r), RobustnessTables.Answers(r)]).OfType<ReportTable>();
        var texts = tables.SelectMany(t => t.Columns.Select(c => c.Head).Prepend(t.Caption).Concat(t.Notes)).Where(t => !names.Any(n => t.StartsWith(n, StringComparison.Ordinal)));
        Assert.Equal([], texts.Where(t => Phrasebook.German.Translate(t) is null));
    }

    [Fact]
    public async Task A_German_report_is_marked_as_German_and_its_English_rest_as_English()
    {
        using var german = Phrasebook.Use(Phrasebook.German);
        var html = await HtmlReport.RenderAsync(Helicopter.Results());
        Assert.Contains("<html lang=\"de\">", html, StringComparison.Ordinal);
        Assert.Contains("Am Ohr, Band für Band", html, StringComparison.Ordinal);
        Assert.DoesNotContain("Which differ, which cannot be told apart", html, StringComparison.Ordinal);
        Assert.Equal("<p>Vergleiche</p><p><span lang=\"en\">The rest of it is not known.</span></p><pre>", SpokenHtml.In("<p>Comparisons</p><p>The rest of it is not known.</p><pre>", Phrasebook.German));
    }

    private static HashSet<string> Places(string text) => [.. Place().Matches(text).Select(m => m.Value)];

    [GeneratedRegex(@"\{[ntpx]\d\}", RegexOptions.CultureInvariant)]
    private static partial Regex Place();
}
