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
    [InlineData("Alder and Birch in general: not resolved: differences from −1.2 to +3.4 dB remain possible.", "Alder und Birch allgemein: nicht entschieden: Unterschiede von −1,2 bis +3,4 dB bleiben möglich.")]
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
