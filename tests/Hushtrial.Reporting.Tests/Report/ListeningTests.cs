using System.Net;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;
using Hushtrial.Reporting.Exports;
using Hushtrial.Reporting.Figures;
using Hushtrial.Reporting.Report;
using Hushtrial.Reporting.Tables;
using Hushtrial.Tests.Samples;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Report;

public sealed partial class ListeningTests
{
    [Theory]
    [InlineData("speech", "Radio speech of 80.0")]
    [InlineData("warnings", "Stall horn: clearly heard")]
    [InlineData("hiss", "its hiss is heard")]
    [InlineData("comms", "rises by 6.0")]
    public async Task Each_question_has_its_sentence_first_and_then_one_picture(string id, string sentence)
    {
        var html = (await HtmlReport.RenderAsync(Heard.Results())).Replace('\u00A0', ' ');
        var from = html.IndexOf($"<h3 id=\"{id}\"", StringComparison.Ordinal);
        var part = html[from..html.IndexOf("<h3", from + 4, StringComparison.Ordinal)];
        Assert.Single(Picture().Matches(part));
        Assert.InRange(part.IndexOf(sentence, StringComparison.Ordinal), 1, part.IndexOf("<figure", StringComparison.Ordinal));
    }

    [Fact]
    public async Task The_check_by_ear_stands_with_every_warning_and_the_sources_with_every_rule()
    {
        var section = Plain(Section(await HtmlReport.RenderAsync(Heard.Results())));
        Assert.True(ByEar().Count(section) >= 4);
        foreach (var words in new[] { "ANSI S3.5-1997, one-third-octave procedure", "ISO 7731:2003, from memory", "ISO 389-7", "Canadian Acoustics, article 2056", "common practice, no source", "A calculation never replaces this check" })
            Assert.Contains(words, section, StringComparison.Ordinal);
        Assert.DoesNotContain("in accordance with", section, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public void Comfort_stands_in_a_table_of_its_own_without_any_decibel()
    {
        var table = ListeningTables.Comfort(Heard.Results())!;
        Assert.DoesNotContain(table.Columns, c => c.Unit?.Contains("dB", StringComparison.Ordinal) == true);
        Assert.Equal(Heard.Results().Document.Devices.Count, table.Rows.Count);
        Assert.Contains("never merged", table.Notes[0], StringComparison.Ordinal);
    }

    [Fact]
    public async Task Relative_mode_says_no_level_no_hours_and_no_index()
    {
        var section = Plain(Section(await HtmlReport.RenderAsync(Heard.Relative())));
        foreach (var word in new[] { "20 µPa", "index 0", "Time, ", "Noise only dB(A)", "dB(A) at the ear" }) Assert.DoesNotContain(word, section, StringComparison.Ordinal);
        Assert.Contains("not calibrated", section, StringComparison.Ordinal);
        Assert.Equal(["warnings"], TrialFigures.Of(Heard.Relative(), FigureWidth.Page).Listening.All().Select(f => f.Name));
        var json = Json(Heard.Relative()).GetProperty("listening");
        Assert.Equal(0, json.GetProperty("speech").GetProperty("conditions").GetArrayLength());
        Assert.Equal(JsonValueKind.Null, json.GetProperty("one_ear_off").ValueKind);
        foreach (var band in json.GetProperty("hiss")[0].GetProperty("bands").EnumerateArray())
            foreach (var key in new[] { "on", "off", "hiss", "threshold" }) Assert.Equal(JsonValueKind.Null, band.GetProperty(key).ValueKind);
        Assert.Equal(6, json.GetProperty("comms").GetProperty("conditions")[0].GetProperty("adds_db").GetDouble());
    }

    [Fact]
    public async Task Without_a_question_nothing_is_written()
    {
        var html = await HtmlReport.RenderAsync(Tractor.Results());
        Assert.DoesNotContain("Radio, warnings and comfort", html, StringComparison.Ordinal);
        Assert.DoesNotContain("#listening", html, StringComparison.Ordinal);
        Assert.Equal(JsonValueKind.Null, Json(Tractor.Results()).GetProperty("listening").ValueKind);
        Assert.DoesNotContain(ResultExports.Files(Tractor.Results()), f => f.Name.StartsWith("listening", StringComparison.Ordinal));
    }

    [Fact]
    public void Csv_files_hold_a_record_for_every_condition_and_rule()
    {
        var files = ResultExports.Files(Heard.Results()).Where(f => f.Name.StartsWith("listening", StringComparison.Ordinal)).ToDictionary(f => f.Name, f => Encoding.UTF8.GetString(f.Content.Span).Split("\r\n", StringSplitOptions.RemoveEmptyEntries));
        Assert.Equal((5 * 3) + 1, files["listening-speech.csv"].Length - 1);
        Assert.Equal(2 * 5, files["listening-warnings.csv"].Length - 1);
        Assert.Equal(19, files["listening-hiss.csv"].Length - 1);
        Assert.Equal(2, files["listening-comms.csv"].Length - 1);
        Assert.StartsWith("condition,name,sii,sii_low95", files["listening-speech.csv"][0], StringComparison.Ordinal);
    }

    [Fact]
    public void Every_key_of_the_json_is_explained_in_the_guide()
    {
        var guide = File.ReadAllText(Path.Combine(Reference.Root, "docs", "guide", "listening.md"));
        var keys = new HashSet<string>(StringComparer.Ordinal);
        Collect(Json(Heard.Results()).GetProperty("listening"), keys);
        Assert.True(keys.Count > 40);
        Assert.Equal([], keys.Where(k => !guide.Contains($"`{k}`", StringComparison.Ordinal)).Order());
    }

    private static void Collect(JsonElement element, HashSet<string> keys)
    {
        if (element.ValueKind == JsonValueKind.Array) foreach (var item in element.EnumerateArray()) Collect(item, keys);
        if (element.ValueKind != JsonValueKind.Object) return;
        foreach (var member in element.EnumerateObject())
        {
            keys.Add(member.Name);
            Collect(member.Value, keys);
        }
    }

    private static JsonElement Json(TrialResults results) => JsonDocument.Parse(ResultExports.Files(results).Single(f => f.Name == "results.json").Content).RootElement;

    private static string Section(string html)
    {
        var from = html.IndexOf("<section aria-labelledby=\"listening\">", StringComparison.Ordinal);
        return html[from..html.IndexOf("</section>", from, StringComparison.Ordinal)];
    }

    private static string Plain(string html) => WebUtility.HtmlDecode(Tags().Replace(html, " ")).Replace('\u00A0', ' ');

    [GeneratedRegex("<[^>]+>")]
    private static partial Regex Tags();

    [GeneratedRegex("<figure")]
    private static partial Regex Picture();

    [GeneratedRegex(@"[Cc]onfirm by ear before flight")]
    private static partial Regex ByEar();
}
