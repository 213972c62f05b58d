using System.Net;
using System.Text.Json;
using System.Text.RegularExpressions;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Reporting.Exports;
using Hushtrial.Reporting.Figures;
using Hushtrial.Reporting.Report;
using Hushtrial.Reporting.Wording;
using Hushtrial.Tests.Samples;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Report;

public sealed partial class MeaningTests
{
    private static TrialResults Relative() => Meaning.Results() with { Mode = TrialMode.Relative, RelativeReason = "Tried out.", Calibrations = [] };

    [Fact]
    public async Task A_plain_sentence_leads_each_part_and_cautions_stand_beside()
    {
        var text = Plain(await HtmlReport.RenderAsync(Meaning.Results()));
        foreach (var part in new[] { "What it means", "What makers publish", "What a day of it means for hearing", "How loud it sounds", "every measured condition stays below", "Local law, the employer's duties",
            "a difference is no proof of a wrong statement", "ISO 532-1:2017", "times as loud as with the open ear", "Loudness is not given: Cedar, active: under it the band at 10 kHz" })
            Assert.Contains(part, text, StringComparison.Ordinal);
        Assert.Contains("Of 4 claims, each on each condition it speaks of: 1 supported; 1 contradicted by this measurement; 1 reached in at least one band, which is all that ‘up to’ promises; 1 not tested.", ClaimSummary.Of(Meaning.Results()).Replace('\u00A0', ' '), StringComparison.Ordinal);
    }

    [Fact]
    public void Claims_are_counted_once_and_their_outcomes_by_the_conditions_they_were_held_against()
    {
        var results = Meaning.Results();
        var twice = results with { Claims = [.. results.Claims, results.Claims[0] with { Condition = "birch-off", Name = "Birch, passive" }] };
        Assert.StartsWith("Of 4 claims, each on each condition it speaks of, 5 outcomes: 2 supported; ", ClaimSummary.Of(twice).Replace('\u00A0', ' '), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Week_peaks_predictions_shares_and_cabins_stand_in_the_report_and_vanish_where_nothing_is_calibrated()
    {
        var text = Plain(await HtmlReport.RenderAsync(Meaning.Results()));
        foreach (var part in new[] { "Measured beside predicted", "What a week of it means", "A week of 4 × ‘duty day’", "Peaks", "The recorder is full", "Which octaves carry what is left", "In another cabin", "Nothing was measured in this cabin.", "a cabin without its recording" })
            Assert.Contains(part, text, StringComparison.Ordinal);
        var json = Write(Meaning.Results());
        Assert.Equal("duty day", json.GetProperty("week").GetProperty("days")[0].GetProperty("day").GetString());
        Assert.True(json.GetProperty("peaks").GetProperty("conditions")[0].GetProperty("at_least").GetBoolean());
        Assert.Equal(2, json.GetProperty("cabins").GetArrayLength());
        Assert.Equal(4, json.GetProperty("measured_beside_predicted").GetArrayLength());
        var relative = Write(Relative());
        foreach (var key in new[] { "week", "peaks" }) Assert.Equal(JsonValueKind.Null, relative.GetProperty(key).ValueKind);
        Assert.DoesNotContain(TrialFigures.Of(Relative(), FigureWidth.Page).All(), f => f.Name is "week" or "peaks");
    }

    [Fact]
    public async Task Relative_mode_keeps_the_claims_and_says_nothing_of_hours_dose_or_loudness()
    {
        var html = await HtmlReport.RenderAsync(Relative());
        var from = html.IndexOf("<section aria-labelledby=\"meaning\">", StringComparison.Ordinal);
        var meaning = Plain(html[from..html.IndexOf("</section>", from, StringComparison.Ordinal)]);
        foreach (var word in new[] { "LEX", "dose", "20 µPa", "sone", "Time allowed", "a day of it" }) Assert.DoesNotContain(word, meaning, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("Published figures and what was found", meaning, StringComparison.Ordinal);
        var json = Write(Relative());
        Assert.Equal(6, json.GetProperty("claims").GetArrayLength());
        foreach (var key in new[] { "exposure", "exposure_cautions", "loudness" }) Assert.Equal(0, json.GetProperty(key).GetArrayLength());
        Assert.DoesNotContain(TrialFigures.Of(Relative(), FigureWidth.Page).All(), f => f.Name == "exposure");
    }

    [Fact]
    public async Task Without_claims_in_relative_mode_the_part_vanishes_from_page_and_contents()
    {
        var html = await HtmlReport.RenderAsync(Tractor.Results());
        Assert.DoesNotContain("What it means", html, StringComparison.Ordinal);
        Assert.Contains("href=\"#meaning\"", await HtmlReport.RenderAsync(Meaning.Results()), StringComparison.Ordinal);
    }

    [Fact]
    public void Keys_of_claims_exposure_and_loudness_are_those_of_the_contract()
    {
        var results = Meaning.Results();
        var json = Write(results);
        foreach (var c in json.GetProperty("claims").EnumerateArray())
        {
            foreach (var key in new[] { "device", "claim", "measured", "predicted", "verdict", "probability" }) Assert.True(c.TryGetProperty(key, out _), key);
            Assert.Contains(c.GetProperty("verdict").GetString(), new[] { "supported", "contradicted", "unresolved" });
        }
        var active = json.GetProperty("claims")[1];
        Assert.Equal(("active", 125.0, "general"), (active.GetProperty("part").GetString(), active.GetProperty("midband_hz").GetDouble(), active.GetProperty("measured").GetProperty("scope").GetString()));
        var alder = json.GetProperty("exposure")[1];
        var niosh = alder.GetProperty("rules")[1];
        Assert.Equal(("alder", "niosh", 3.5), (alder.GetProperty("condition").GetString(), niosh.GetProperty("rules").GetString(), alder.GetProperty("hours_per_day").GetDouble()));
        var hours = niosh.GetProperty("allowed_hours");
        double Hours(string key) => hours.GetProperty(key).GetDouble();
        Assert.True(Hours("low") < Hours("safe") && Hours("safe") < Hours("estimate") && Hours("estimate") < Hours("high"));
        // NIOSH 98-126: a dose of 100 % is reached when the allowed time has passed, so dose · allowed time is 100 % · 3.5 h; JSON is written to 1e-6.
        Assert.Equal(350, niosh.GetProperty("dose_percent").GetProperty("estimate").GetDouble() * Hours("estimate"), 1e-3);
        Assert.True(json.GetProperty("loudness")[0].GetProperty("loudness_ratio").GetProperty("estimate").GetDouble() is > 0 and < 1);
        Assert.Equal(JsonValueKind.Null, json.GetProperty("loudness")[2].GetProperty("loudness_ratio").GetProperty("estimate").ValueKind);
    }

    [Fact]
    public void Rule_sets_are_named_and_never_called_by_their_keys()
    {
        var results = Meaning.Results();
        var osha = RuleSets.Find("osha-pel")!;
        var named = results with { Exposure = results.Exposure! with { Conditions = [.. results.Exposure.Conditions.Select(c => c with { Rules = [.. c.Rules.Select(r => r with { Rules = osha })] })] } };
        var figure = TrialFigures.Of(named, FigureWidth.Page).All().Single(f => f.Name == "exposure").Standalone;
        Assert.Contains("90 (OSHA PEL)", figure, StringComparison.Ordinal);
        Assert.DoesNotContain(osha.Id, figure, StringComparison.OrdinalIgnoreCase);
        Assert.All(RuleSets.All, r => Assert.DoesNotContain(r.Id, new[] { r.ShortName, r.Name }));
    }

    [Fact]
    public void A_figure_of_claims_marks_what_is_published_and_leaves_out_what_was_not_tested()
    {
        var figure = Assert.Single(TrialFigures.Of(Meaning.Results(), FigureWidth.Page).Claims).Standalone;
        Assert.Equal(4, figure.Split("<title>published: ").Length - 1);
        Assert.Contains("predicted from published data: ", figure, StringComparison.Ordinal);
        Assert.DoesNotContain("on average<", figure, StringComparison.Ordinal);
    }

    private static JsonElement Write(TrialResults results)
    {
        using var stream = new MemoryStream();
        ResultJson.Write(results, stream);
        return JsonDocument.Parse(stream.ToArray()).RootElement;
    }

    private static string Plain(string html) => WebUtility.HtmlDecode(Tag().Replace(Style().Replace(html, ""), " ")).Replace('\u00A0', ' ');

    [GeneratedRegex("<[^>]*>")]
    private static partial Regex Tag();

    [GeneratedRegex("<style>.*?</style>", RegexOptions.Singleline)]
    private static partial Regex Style();
}
