using System.Text.Json;
using Hushtrial.Cli;

namespace Hushtrial.Acceptance.Tests;

/// <summary>The demo from its first to its last step; made once for all tests of this class.</summary>
public sealed class HelicopterDemo : IAsyncLifetime
{
    private readonly TemporaryFolder _folder = new();

    internal CommandRun Run { get; private set; } = null!;

    internal string Folder => _folder.Path;

    internal JsonElement Results { get; private set; }

    internal JsonElement Truth { get; private set; }

    public async ValueTask InitializeAsync()
    {
        Run = await CommandRun.Of("demo", Folder, "--format", "json");
        Results = JsonDocument.Parse(File.ReadAllText(_folder["results.json"])).RootElement;
        Truth = JsonDocument.Parse(File.ReadAllText(_folder["truth.json"])).RootElement;
    }

    public ValueTask DisposeAsync()
    {
        _folder.Dispose();
        return ValueTask.CompletedTask;
    }
}

public sealed partial class DemoTests(HelicopterDemo demo) : IClassFixture<HelicopterDemo>
{
    [Fact]
    public void It_is_done_and_says_where_everything_lies()
    {
        Assert.Equal(ExitCode.Done, demo.Run.ExitCode);
        foreach (var name in new[] { "document", "report", "results", "truth" }) Assert.True(File.Exists(demo.Run.Json.GetProperty(name).GetString()));
        Assert.Equal("absolute", demo.Results.GetProperty("mode").GetString());
    }

    [Fact]
    public void Its_order_is_balanced_and_not_remarked() =>
        Assert.DoesNotContain(demo.Results.GetProperty("problems").EnumerateArray(), p => p.GetProperty("code").GetString() == "TAK-044");

    [Theory]
    [InlineData("general", true)]
    [InlineData("as_worn", false)]
    public void The_95_percent_intervals_cover_the_stated_truth_in_at_least_90_percent_of_the_bands(string scope, bool chosen)
    {
        var (covered, bands) = (0, 0);
        foreach (var condition in demo.Results.GetProperty("conditions").EnumerateArray())
        {
            if (TruthOf(condition.GetProperty("id").GetString()!) is not { } truth) continue;
            var real = truth.GetProperty(scope).GetProperty("bands").EnumerateArray().ToDictionary(b => b.GetProperty("midband_hz").GetDouble(), b => b.GetProperty("loss").GetDouble());
            foreach (var band in condition.GetProperty("loss").GetProperty("bands").EnumerateArray())
            {
                if (!band.GetProperty("valid").GetBoolean()) continue;
                var estimate = chosen ? band : band.GetProperty("other_scope");
                Assert.Equal(scope, estimate.GetProperty("scope").GetString());
                bands++;
                var loss = real[band.GetProperty("midband_hz").GetDouble()];
                if (loss >= estimate.GetProperty("low").GetDouble() && loss <= estimate.GetProperty("high").GetDouble()) covered++;
            }
        }
        Assert.True(bands > 120, $"Only {bands} bands were valid.");
        Assert.True(covered >= 0.9 * bands, $"{covered} of {bands} bands are covered.");
    }

    [Theory]
    [InlineData("general", true)]
    [InlineData("as_worn", false)]
    public void The_losses_carried_to_the_other_cabin_cover_what_the_devices_really_lose_there(string scope, bool chosen)
    {
        var truths = demo.Truth.GetProperty("cabins")[0];
        var cabin = demo.Results.GetProperty("cabins").EnumerateArray().Single(c => c.GetProperty("id").GetString() == truths.GetProperty("id").GetString());
        // The bands' midbands stand for tones elsewhere in them: a few tenths.
        Assert.Equal(truths.GetProperty("level_a").GetDouble(), cabin.GetProperty("level_a").GetDouble(), 0.5);
        var carried = cabin.GetProperty("conditions").EnumerateArray().ToDictionary(c => c.GetProperty("id").GetString()!);
        Assert.Equal(5, truths.GetProperty("conditions").GetArrayLength());
        foreach (var truth in truths.GetProperty("conditions").EnumerateArray())
            foreach (var weighting in new[] { "a", "c" })
            {
                var (real, effect) = (truth.GetProperty(scope).GetProperty(weighting).GetDouble(), carried[truth.GetProperty("id").GetString()!].GetProperty("loss").GetProperty(weighting));
                var estimate = chosen ? effect : effect.GetProperty("other_scope");
                Assert.Equal(scope, estimate.GetProperty("scope").GetString());
                Assert.InRange(real, estimate.GetProperty("low").GetDouble(), estimate.GetProperty("high").GetDouble());
            }
        Assert.True(carried["dogwood"].GetProperty("predicted").GetBoolean());
    }

    [Fact]
    public async Task The_command_alone_carries_the_results_as_the_analysis_did()
    {
        var cabin = demo.Results.GetProperty("cabins")[0];
        using var folder = new TemporaryFolder();
        File.WriteAllText(folder["c.csv"], "hz,level\n" + string.Concat(cabin.GetProperty("bands").EnumerateArray().Select(b => FormattableString.Invariant($"{b.GetProperty("midband_hz").GetDouble()},{b.GetProperty("level").GetDouble()}\n"))));
        foreach (var (scope, chosen) in new[] { ("general", true), ("as-worn", false) })
        {
            var run = await CommandRun.Of("carry", Path.Combine(demo.Folder, "results.json"), "--cabins", folder["c.csv"], "--scope", scope, "--format", "json");
            Assert.Equal(ExitCode.Done, run.ExitCode);
            var alone = run.Json.GetProperty("cabins")[0].GetProperty("conditions").EnumerateArray().ToList();
            Assert.Equal(5, alone.Count);
            foreach (var c in alone)
            {
                var effect = cabin.GetProperty("conditions").EnumerateArray().Single(x => x.GetProperty("id").GetString() == c.GetProperty("id").GetString()).GetProperty("loss").GetProperty("a");
                var there = chosen ? effect : effect.GetProperty("other_scope");
                // Results are written to 1e-6.
                foreach (var key in new[] { "estimate", "low", "high" }) Assert.Equal(there.GetProperty(key).GetDouble(), c.GetProperty("loss").GetProperty("a").GetProperty(key).GetDouble(), 1e-4);
            }
        }
    }

    [Fact]
    public void The_levels_at_the_open_ear_lie_within_their_interval_of_the_truth()
    {
        // The runs' offsets and trends move the mean level of three flights by about 0.8/√3 dB beside the interval's own half-width.
        var openA = demo.Truth.GetProperty("open_ear_level_a").GetDouble();
        var alder = demo.Results.GetProperty("conditions").EnumerateArray().First(c => c.GetProperty("id").GetString() == "alder");
        var level = alder.GetProperty("ear_level").GetProperty("a").GetProperty("estimate").GetDouble() + alder.GetProperty("loss").GetProperty("a").GetProperty("estimate").GetDouble();
        Assert.Equal(openA, level, 2.0);
    }

    [Fact]
    public void Every_excluded_take_stays_visible_and_the_radio_call_is_found()
    {
        Assert.Contains("radio call", File.ReadAllText(Path.Combine(demo.Folder, "takes.csv")));
        Assert.Contains(demo.Results.GetProperty("problems").EnumerateArray(), p => p.GetProperty("code").GetString() == "TAK-012");
    }

    /// <summary>The truth behind the claims: Cedar reduces by 23 dB(A) in general and claims at least 20; Birch's electronics give about 15 dB at 125 Hz.</summary>
    [Fact]
    public void Claims_are_judged_and_the_day_is_reckoned()
    {
        var claims = demo.Results.GetProperty("claims").EnumerateArray().ToList();
        Assert.Equal(4, claims.Count);
        Assert.Equal("supported", Claim("cedar-active", "at_least").GetProperty("verdict").GetString());
        var active = Claim("birch-active", "at_least");
        Assert.Equal(("active", 125.0), (active.GetProperty("part").GetString(), active.GetProperty("midband_hz").GetDouble()));
        Assert.NotEqual("contradicted", active.GetProperty("verdict").GetString());
        Assert.Equal(2, active.GetProperty("translation").GetArrayLength());
        Assert.Equal(demo.Results.GetProperty("conditions").GetArrayLength() + 1, demo.Results.GetProperty("exposure").GetArrayLength());
        foreach (var row in demo.Results.GetProperty("exposure").EnumerateArray())
        {
            Assert.Equal(["eu", "niosh"], row.GetProperty("rules").EnumerateArray().Select(r => r.GetProperty("rules").GetString()));
            // 10 of 210 minutes off leave at most −10 lg(10/210) = 13.2 dB of any device, LEX,8h counted over 3.5 h: 3.6 dB below the level.
            Assert.True(row.GetProperty("lex8h").GetProperty("estimate").GetDouble() >= demo.Results.GetProperty("exposure")[0].GetProperty("lex8h").GetProperty("estimate").GetDouble() - 13.3);
        }
        Assert.All(demo.Results.GetProperty("loudness").EnumerateArray(), l => Assert.InRange(l.GetProperty("loudness_ratio").GetProperty("estimate").GetDouble(), 0.05, 0.6));

        JsonElement Claim(string condition, string kind) => claims.Single(c => c.GetProperty("condition").GetString() == condition && c.GetProperty("kind").GetString() == kind);
    }

    [Fact]
    public void The_prior_free_check_stands_beside_the_primary_answer_and_agrees_with_it()
    {
        var check = demo.Results.GetProperty("method").GetProperty("reml").GetProperty("contrasts").EnumerateArray().Where(c => c.GetProperty("second").ValueKind == JsonValueKind.Null).ToList();
        Assert.Equal(5, check.Count);
        foreach (var row in check)
        {
            var primary = demo.Results.GetProperty("conditions").EnumerateArray().First(c => c.GetProperty("id").GetString() == row.GetProperty("first").GetString()).GetProperty("loss").GetProperty("a");
            // Both are linear in the same readings and weigh drift differently: half a standard uncertainty of the primary is far more than that.
            Assert.Equal(primary.GetProperty("estimate").GetDouble(), row.GetProperty("estimate").GetDouble(), 0.5 * primary.GetProperty("standard_uncertainty").GetDouble());
            Assert.True(row.GetProperty("df").GetDouble() > 3);
        }
    }

    [Fact]
    public async Task Analysing_again_gives_the_same_bytes_and_writes_nothing_to_a_recording()
    {
        var file = Path.Combine(demo.Folder, "flight-1.wav");
        var before = (File.GetLastWriteTimeUtc(file), new FileInfo(file).Length);
        var first = await CommandRun.Of("analyse", demo.Folder, "--format", "json");
        var second = await CommandRun.Of("analyse", demo.Folder, "--format", "json");
        Assert.Equal(first.Out, second.Out);
        Assert.Equal(before, (File.GetLastWriteTimeUtc(file), new FileInfo(file).Length));
    }

    [Fact]
    public async Task Checking_it_finds_no_error() => Assert.Equal(ExitCode.Done, (await CommandRun.Of("check", demo.Folder)).ExitCode);

    [Fact]
    public void It_goes_into_a_library_and_out_again_byte_for_byte() => LibraryRoundTrip.Of(demo.Folder);

    private JsonElement? TruthOf(string id)
    {
        foreach (var condition in demo.Truth.GetProperty("conditions").EnumerateArray())
            if (condition.GetProperty("id").GetString() == id) return condition;
        return null;
    }
}

public sealed class TractorDemoTests
{
    [Fact]
    public async Task Noted_readings_of_an_uncalibrated_phone_compare_and_say_nothing_absolute()
    {
        using var folder = new TemporaryFolder();
        var run = await CommandRun.Of("demo", folder.Path, "--scenario", "tractor", "--format", "json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        var results = JsonDocument.Parse(File.ReadAllText(folder["results.json"])).RootElement;
        Assert.Equal("relative", results.GetProperty("mode").GetString());
        foreach (var key in new[] { "exposure", "loudness" }) Assert.Equal(0, results.GetProperty(key).GetArrayLength());
        foreach (var condition in results.GetProperty("conditions").EnumerateArray())
        {
            Assert.Equal(JsonValueKind.Null, condition.GetProperty("ear_level").ValueKind);
            Assert.Equal(JsonValueKind.Number, condition.GetProperty("loss").GetProperty("a").GetProperty("estimate").ValueKind);
        }
        var truth = JsonDocument.Parse(File.ReadAllText(folder["truth.json"])).RootElement;
        var covered = results.GetProperty("conditions").EnumerateArray().Count(c =>
        {
            var real = truth.GetProperty("conditions").EnumerateArray().First(t => t.GetProperty("id").GetString() == c.GetProperty("id").GetString()).GetProperty("general").GetProperty("a").GetDouble();
            var loss = c.GetProperty("loss").GetProperty("a");
            return real >= loss.GetProperty("low").GetDouble() && real <= loss.GetProperty("high").GetDouble();
        });
        Assert.Equal(3, covered);
    }
}
