using System.Text.RegularExpressions;
using Hushtrial.Tests;

namespace Hushtrial.Cli.Tests.Commands;

/// <summary>Numbers in options: a point in every country, a range, and words for what is needed.</summary>
public partial class NumberOptionTests
{
    private static readonly string _sound = Path.Combine(Reference.Root, "corpus", "recordings", "good.stereo24.wav");

    private static string[] Placed(string[] args) => [.. args.Select(a => a.Replace("SOUND", _sound, StringComparison.Ordinal))];

    [Theory]
    [InlineData("--reduction 17,5: a number is needed, with a point: 17.5", "exposure", "--outside", "100", "--hours", "4", "--reduction", "17,5")]
    [InlineData("--measured 17,2: a number is needed, with a point: 17.2", "claim", "--at-least", "20", "--measured", "17,2", "--sd", "1")]
    [InlineData("--sd 0,9: a number is needed, with a point: 0.9", "claim", "--at-least", "20", "--measured", "17", "--sd", "0,9")]
    [InlineData("--from 0,1: a time", "levels", "SOUND", "--from", "0,1")]
    [InlineData("--margin 1,5: a number is needed, with a point: 1.5", "estimate", "-", "--margin", "1,5")]
    [InlineData("--difference 1,5: a number is needed, with a point: 1.5", "plan", "Ash", "Elm", "--difference", "1,5")]
    [InlineData("--interval 0,5: a number is needed, with a point: 0.5", "log", "x.csv", "--interval", "0,5")]
    [InlineData("--earlier 1,5: a number is needed, with a point: 1.5", "estimate", "-", "--earlier", "1.1", "1,5")]
    [InlineData("--donnings 2,5: a whole number from 1 to 20", "plan", "Ash", "--donnings", "2,5")]
    [InlineData("--trials 2,5: a whole number", "prove", "--trials", "2,5")]
    [InlineData("--simulate 1,000: a whole number", "plan", "Ash", "--simulate", "1,000")]
    public Task A_comma_is_not_guessed(string words, params string[] args) => Refused(words, args);

    [Theory]
    [InlineData("--port x: a whole number from 0 to 65535", "serve", "--port", "x")]
    [InlineData("--subjects x: a whole number", "rating", "--subjects", "x")]
    [InlineData("--subjects x: a whole number", "claim", "--measured", "10", "--sd", "1", "--subjects", "x")]
    [InlineData("--performance x: a number", "rating", "--performance", "x")]
    [InlineData("--margin x: a number from 0 to 20 dB", "estimate", "-", "--margin", "x")]
    [InlineData("--level x: a number from 0 to 160 dB", "exposure", "--level", "x", "--hours", "4")]
    [InlineData("--radio-level x: a number", "speech", "--radio-level", "x")]
    [InlineData("--seed -1: a whole number from 0 is needed", "demo", "x", "--seed", "-1")]
    [InlineData("--seed 1.5: a whole number from 0 is needed", "plan", "Ash", "--seed", "1.5")]
    [InlineData("--channel one: a whole number", "levels", "SOUND", "--channel", "one")]
    [InlineData("--shortest x: a number", "find", "x", "--shortest", "x")]
    [InlineData("--flights x: a whole number", "prove", "--flights", "x")]
    [InlineData("'5'", "levels", "SOUND", "--history=5")]
    public Task What_is_no_number_is_told_in_words(string words, params string[] args) => Refused(words, args);

    [Theory]
    [InlineData("--full-scale-db 1275: a number from −60 to 200 dB", "levels", "SOUND", "--full-scale-db", "1275")]
    [InlineData("--full-scale-db NaN: a number", "levels", "SOUND", "--full-scale-db", "NaN")]
    [InlineData("--calibration-level 939: a number from −60 to 200 dB", "levels", "SOUND", "--calibration", "SOUND", "--calibration-level", "939")]
    [InlineData("--level 188: a number from 0 to 160 dB", "exposure", "--level", "188", "--hours", "4")]
    [InlineData("--reduction 175: a number from −20 to 80 dB", "exposure", "--outside", "100", "--hours", "4", "--reduction", "175")]
    [InlineData("--hours 0: a number above 0 and up to 24 h", "exposure", "--level", "88", "--hours", "0")]
    [InlineData("--sd 0: a number above 0", "claim", "--at-least", "20", "--measured", "20", "--sd", "0")]
    [InlineData("--level 1e999: a number", "exposure", "--level", "1e999", "--hours", "4")]
    [InlineData("--reduction", "exposure", "--reduction", "17")]
    [InlineData("the end of the span must come after its start", "levels", "SOUND", "--from", "0.2", "--to", "0.1")]
    public Task What_lies_beyond_all_bounds_is_told_with_the_bounds(string words, params string[] args) => Refused(words, args);

    /// <summary>As in the trial document.</summary>
    [Theory]
    [InlineData("0:00.01")]
    [InlineData("0:00:00.01")]
    [InlineData("0.01")]
    public async Task A_time_is_written_as_in_the_document(string from)
    {
        var run = await CommandRun.Of("levels", _sound, "--from", from, "--format", "json");
        Assert.True(run.ExitCode == 0, run.Error + run.Out);
        Assert.Equal(0.01, run.Json.GetProperty("span").GetProperty("from").GetDouble());
    }

    [Fact]
    public async Task Rule_sets_are_listed_as_in_the_document()
    {
        var run = await CommandRun.Of("exposure", "--level", "88", "--hours", "4", "--rules", "eu,niosh", "--format", "json");
        Assert.Equal(["eu", "niosh"], run.Json.GetProperty("rules").EnumerateArray().Select(r => r.GetProperty("id").GetString()!));
        (await CommandRun.Of("exposure", "--level", "88", "--hours", "4", "--rules", "eu,moon")).IsWrongUse("'moon'");
    }

    [Fact]
    public async Task A_factor_of_an_unknown_condition_is_told()
    {
        const string Table = "condition,donning,LA\nopen,,90\nOak,1,70\nopen,,91\nOak,2,71\n";
        Assert.Equal(0, (await CommandRun.WithInput(Table, "estimate", "-", "--factor", "Oak=1.3")).ExitCode);
        (await CommandRun.WithInput(Table, "estimate", "-", "--factor", "Zed=1.3")).IsWrongUse("Zed", "Oak");
    }

    /// <summary>Every option of ours that takes a number is one of those that are tested here: none is read by the library itself.</summary>
    [Fact]
    public void No_command_reads_a_number_in_another_way()
    {
        var sources = Directory.GetFiles(Path.Combine(Reference.Root, "src", "Hushtrial.Cli"), "*.cs", SearchOption.AllDirectories);
        Assert.True(sources.Length > 30);
        foreach (var file in sources.Where(f => Path.GetFileName(f) != "NumberOption.cs"))
            Assert.DoesNotMatch(ByTheLibrary(), File.ReadAllText(file));
    }

    private static async Task Refused(string words, string[] args) => (await CommandRun.Of(Placed(args))).IsWrongUse(words);

    [GeneratedRegex(@"new (Option|Argument)<(double|float|decimal|int|uint|long|ulong|short|byte)")]
    private static partial Regex ByTheLibrary();
}
