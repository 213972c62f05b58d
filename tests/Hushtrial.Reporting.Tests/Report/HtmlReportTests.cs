using System.Net;
using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Report;
using Hushtrial.Reporting.Wording;
using Hushtrial.Reporting.Tables;
using Hushtrial.Tests.Samples;

namespace Hushtrial.Tests.Report;

public sealed partial class HtmlReportTests
{
    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public async Task Two_renders_are_byte_equal(string name) =>
        Assert.Equal(await HtmlReport.RenderAsync(All.Of(name)), await HtmlReport.RenderAsync(All.Of(name)));

    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public async Task Nothing_is_fetched_and_nothing_runs(string name)
    {
        var html = await HtmlReport.RenderAsync(All.Of(name));
        Assert.Contains("default-src &#x27;none&#x27;", html.Replace("'none'", "&#x27;none&#x27;", StringComparison.Ordinal), StringComparison.Ordinal);
        Assert.DoesNotContain("<script", html, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("<img", html, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("<link", html, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotMatch(Address(), html);
        Assert.DoesNotContain("@import", html, StringComparison.Ordinal);
        // A style attribute would be refused by the policy.
        Assert.DoesNotMatch(StyleAttribute(), html);
        Assert.DoesNotMatch(Handler(), html);
    }

    [Fact]
    public async Task The_policy_names_the_hash_of_the_style_sheet_in_the_file()
    {
        var html = await HtmlReport.RenderAsync(Helicopter.Results());
        var style = Style().Match(html).Groups[1].Value;
        var hash = Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(style)));
        Assert.Contains($"'sha256-{hash}'", WebUtility.HtmlDecode(Policy().Match(html).Groups[1].Value), StringComparison.Ordinal);
    }

    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public async Task Headings_start_at_one_and_skip_no_level(string name)
    {
        var levels = Heading().Matches(await HtmlReport.RenderAsync(All.Of(name))).Select(m => m.Groups[1].Value[0] - '0').ToList();
        Assert.Equal(1, levels[0]);
        Assert.Single(levels, 1);
        Assert.All(levels.Zip(levels.Skip(1)), p => Assert.True(p.Second <= p.First + 1));
    }

    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public async Task Landmarks_language_and_skip_link_are_there_and_ids_are_unique(string name)
    {
        var html = await HtmlReport.RenderAsync(All.Of(name));
        foreach (var part in new[] { "<html lang=\"en\">", "<header", "<nav class=\"contents\" aria-label=\"Contents\">", "<main id=\"report\"", "<footer>", "class=\"skip\" href=\"#report\"" })
            Assert.Contains(part, html, StringComparison.Ordinal);
        var ids = Id().Matches(html).Select(m => m.Groups[1].Value).ToList();
        Assert.Equal(ids.Count, ids.Distinct().Count());
        foreach (Match link in LocalLink().Matches(html)) Assert.Contains(link.Groups[1].Value, ids);
    }

    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public async Task Every_table_head_has_a_scope(string name)
    {
        var html = await HtmlReport.RenderAsync(All.Of(name));
        Assert.Equal(TableHead().Count(html), ScopedHead().Count(html));
        Assert.Equal(html.Split("<table").Length, html.Split("<caption").Length);
    }

    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public async Task Words_that_mislead_are_nowhere(string name)
    {
        var text = Plain(await HtmlReport.RenderAsync(All.Of(name)));
        foreach (var word in new[] { "percent", "% quieter", "in accordance", "complies", "certified", "no difference", "statistically significant", "best in" })
            Assert.DoesNotContain(word, text, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("informed by ISO 11904-1", text, StringComparison.Ordinal);
        Assert.Contains("half the sound energy", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Relative_mode_states_no_level_no_time_and_says_why()
    {
        var text = Plain(await HtmlReport.RenderAsync(Tractor.Results()));
        foreach (var word in new[] { "dB(A)", "20 µPa", "hours", "dose", "dB re full scale" }) Assert.DoesNotContain(word, text, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("The recorder was not calibrated", text, StringComparison.Ordinal);
        Assert.Contains("Differences only.", text, StringComparison.Ordinal);
        Assert.DoesNotContain("Level at the ear in the trial’s mean noise", text, StringComparison.Ordinal);
        // The readings themselves (−21, −43 re full scale) stay inside: only their distance to the highest is printed.
        Assert.DoesNotContain("−43.0", text, StringComparison.Ordinal);
        var highest = Tractor.Results().Histories.SelectMany(h => h.LevelA).OfType<double>().Concat(Tractor.Results().Takes.Select(t => t.LevelA!.Value)).Max();
        Assert.Contains(Reporting.Wording.Words.Number(-43 - highest), text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Relative_mode_withholds_levels_even_when_the_results_carry_them()
    {
        var helicopter = Helicopter.Results();
        var text = Plain(await HtmlReport.RenderAsync(helicopter with { Mode = Trials.Results.TrialMode.Relative, RelativeReason = "Tried out.", Calibrations = [] }));
        Assert.DoesNotContain("20 µPa", text, StringComparison.Ordinal);
        Assert.DoesNotContain(FormattableString.Invariant($"{Helicopter.OpenA:F1}"), text, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(null, "stands if the gain stayed the same, which nobody has noted;")]
    [InlineData("not known", "stands if the gain stayed the same, which nobody has noted;")]
    [InlineData("automatic gain on", "stands only if the gain stayed the same, and automatic gain was on;")]
    [InlineData("all off, shown by a tone", "or against the open ear, stands; how loud it was")]
    public async Task Differences_stand_only_if_the_gain_did(string? automatic, string said)
    {
        var results = Tractor.Results();
        results = results with { Document = results.Document with { Chain = automatic is null ? [] : [new("automatic_functions", automatic)] } };
        var html = await HtmlReport.RenderAsync(results);
        Assert.Contains(said, Plain(html), StringComparison.Ordinal);
        var missed = new List<string>();
        Reporting.Wording.SpokenHtml.In(html, Reporting.Wording.Phrasebook.German, missed.Add);
        Assert.DoesNotContain(missed, m => m.Contains("What is said here", StringComparison.Ordinal));
    }

    [Fact]
    public async Task What_was_found_in_one_take_is_an_effect_on_its_level_and_none_on_the_result_where_it_is_left_out()
    {
        var results = Helicopter.Results();
        var found = new Problem("TAK-019", Severity.Warning, "flight-2.wav, take T5, channel ear", "speech or bursts", "the cabin's noise alone", "Both are reported.", 14);
        async Task<string> Said(bool used, Problem problem, params int[] takes) => Space().Replace(Plain(await HtmlReport.RenderAsync(results with
        {
            Problems = [problem], Takes = [.. results.Takes.Select((t, i) => takes.Contains(i) ? t with { Used = used, Findings = [problem] } : t with { Findings = [] })],
        })), " ");
        var leftOut = await Said(false, found, 1);
        Assert.Contains("TAK-019 · warning: what it touches is left out ·", leftOut, StringComparison.Ordinal);
        Assert.Contains("Effect on this take’s level: 14.0 dB. The take is left out: the result does not contain it.", leftOut, StringComparison.Ordinal);
        var used = await Said(true, found, 1);
        Assert.Contains("Effect on this take’s level: 14.0 dB. ", used, StringComparison.Ordinal);
        Assert.DoesNotContain("is left out: the result", used, StringComparison.Ordinal);
        Assert.Contains("Effect on the result: 14.0 dB.", await Said(true, found, 1, 2), StringComparison.Ordinal);
        Assert.Contains("Effect on the result: 14.0 dB.", await Said(true, found), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Markup_in_names_stays_text()
    {
        var html = await HtmlReport.RenderAsync(Hostile.Markup());
        Assert.DoesNotContain("<script>alert", html, StringComparison.Ordinal);
        Assert.Contains("&lt;script&gt;alert", html, StringComparison.Ordinal);
        Assert.Single(Style().Matches(html));
        Assert.DoesNotContain("<!--", html, StringComparison.Ordinal);
        Assert.Contains("dir=\"auto\"", html, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_nobody_stated_is_printed_as_not_stated()
    {
        var html = await HtmlReport.RenderAsync(Hostile.Bare());
        var checklist = html[html.IndexOf("id=\"table-clauses\"", StringComparison.Ordinal)..];
        // Bare states next to nothing: more than half of the clauses must say so.
        Assert.True(checklist.Split("not stated").Length - 1 > ClauseList.All.Count / 2);
        foreach (var clause in ClauseList.All) Assert.Contains(UnbrokenLines.In($">{WebUtility.HtmlEncode(clause.Name)}<"), checklist, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Figures_stand_in_the_order_of_the_argument()
    {
        var html = await HtmlReport.RenderAsync(Helicopter.Results());
        var order = new[] { "<h1", "id=\"figure-spectrum-at-the-ear\"", "id=\"figure-loss-by-band\"", "id=\"figure-a-weighted-loss\"", "id=\"figure-ladder\"", "id=\"figure-pairs\"", "id=\"figure-difference-by-band\"", "id=\"what-would-change\"", "id=\"figure-history-1\"", "id=\"table-loss\"",
            "id=\"table-budget-1\"", "id=\"table-calibration\"", "class=\"problems\"", "id=\"table-clauses\"", "class=\"plain cautions\"", "id=\"table-inputs\"" };
        var places = order.Select(o => html.IndexOf(o, StringComparison.Ordinal)).ToList();
        Assert.DoesNotContain(-1, places);
        Assert.Equal(places.Order(), places);
        Assert.Equal(8, html.Split("<figcaption>").Length - 1);
    }

    private static string Plain(string html) => WebUtility.HtmlDecode(Tag().Replace(Style().Replace(html, ""), " ")).Replace('\u00A0', ' ');

    [GeneratedRegex("(?:https?:)?//[a-z]", RegexOptions.IgnoreCase)]
    private static partial Regex Address();

    [GeneratedRegex("<[^>]*\\sstyle\\s*=", RegexOptions.IgnoreCase)]
    private static partial Regex StyleAttribute();

    [GeneratedRegex("<[a-z][^>\"]*(?:\"[^\"]*\"[^>\"]*)*\\son[a-z]+\\s*=", RegexOptions.IgnoreCase)]
    private static partial Regex Handler();

    [GeneratedRegex("<style>(?<css>.*?)</style>", RegexOptions.Singleline)]
    private static partial Regex Style();

    [GeneratedRegex("Content-Security-Policy\" content=\"([^\"]*)\"")]
    private static partial Regex Policy();

    [GeneratedRegex("<h(?<level>[1-6])")]
    private static partial Regex Heading();

    [GeneratedRegex("\\sid=\"([^\"]*)\"")]
    private static partial Regex Id();

    [GeneratedRegex("href=\"#([^\"]*)\"")]
    private static partial Regex LocalLink();

    [GeneratedRegex("<th[ >]")]
    private static partial Regex TableHead();

    [GeneratedRegex("<th [^>]*scope=\"(?:col|row|rowgroup)\"")]
    private static partial Regex ScopedHead();

    [GeneratedRegex(@"\s+")]
    private static partial Regex Space();

    [GeneratedRegex("<[^>]*>")]
    private static partial Regex Tag();
}
