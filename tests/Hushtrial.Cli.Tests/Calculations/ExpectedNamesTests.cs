using Hushtrial.Cli.Tests;

namespace Hushtrial.Tests.Calculations;

/// <summary>A name that a calculation does not know would be left out, often in the unsafe direction: it is told with the nearest known one.</summary>
public class ExpectedNamesTests
{
    [Theory]
    [InlineData("EXP-030", "'off_min'", "off_minutes", "name,hours,level,outside,off_min\na,3,78,98,30\n", "exposure")]
    [InlineData("EXP-030", "'lvel'", "level", "name,hours,lvel\na,3,78\n", "exposure")]
    [InlineData("EXP-030", "'reducton'", "reduction", """{"segments":[{"hours":3,"outside":96,"level":90,"reducton":17}]}""", "exposure")]
    [InlineData("EXP-030", "'reduction'", "each row of 'segments'", """{"segments":[{"hours":3,"outside":96,"level":90}],"reduction":17}""", "exposure")]
    [InlineData("EXP-030", "'segmens'", "segments", """{"segmens":[{"hours":3,"level":90}]}""", "exposure")]
    [InlineData("EXP-031", "'reduction' is 175", "decimal point", """{"segments":[{"hours":3,"outside":96,"reduction":175}]}""", "exposure")]
    [InlineData("EXP-031", "'level' is 188", "decimal point", "hours,level\n3,188\n", "exposure")]
    [InlineData("EXP-031", "'days' is 841", "decimal point", """{"days":[84.1,841]}""", "exposure")]
    [InlineData("AUD-030", "'los'", "loss", "hz,signal,noise,los\n1000,85,70,20\n", "audible")]
    [InlineData("CAR-030", "'sd_db'", "sd", "hz,loss,sd_db\n500,20,2\n1000,25,2\n", "carry", "--cabins", "CABIN")]
    [InlineData("RAT-030", "'avg'", "remarks", "hz,mean,sd,avg\n125,20,3,1\n", "rating")]
    [InlineData("CLM-030", "'pasive'", "passive", "hz,noise,pasive\n125,90,3\n", "claim", "--value", "15", "--at", "125")]
    [InlineData("SPE-030", "'treshold'", "threshold", """{"procedure":"octave","noise":[1,1,1,1,1,1],"treshold":[0,0,0,0,0,40]}""", "speech")]
    [InlineData("LOU-030", "'coverd'", "covered", "hz,level,coverd\n1000,60,40\n", "loudness")]
    public async Task An_unknown_name_or_a_number_beyond_all_bounds_is_an_error(string code, string found, string remedy, string input, params string[] args)
    {
        using var at = new TemporaryFolder();
        await File.WriteAllTextAsync(at["cabin.csv"], "hz,level\n500,80\n1000,80\n", TestContext.Current.CancellationToken);
        var run = await CommandRun.WithInput(input, [.. args.Select(a => a == "CABIN" ? at["cabin.csv"] : a), "--format", "json"]);
        Assert.Equal(1, run.ExitCode);
        var problem = run.Json.GetProperty("problems").EnumerateArray().First(p => p.GetProperty("severity").GetString() == "error");
        Assert.Equal(code, problem.GetProperty("code").GetString());
        Assert.Contains(found, problem.GetProperty("found").GetString(), StringComparison.Ordinal);
        Assert.Contains(remedy, problem.GetProperty("remedy").GetString(), StringComparison.Ordinal);
        Assert.False(run.Json.TryGetProperty("lex8h", out _));
    }

    /// <summary>What an option says can be said in the object; a word that is none is an error there, too.</summary>
    [Theory]
    [InlineData(0, "eu", """{"segments":[{"hours":3,"level":90}],"rules":"eu"}""", "exposure")]
    [InlineData(0, "niosh", """{"segments":[{"hours":3,"level":90}],"rules":["eu","niosh"]}""", "exposure")]
    [InlineData(1, "EXP-015", """{"segments":[{"hours":3,"level":90}],"rules":"moon"}""", "exposure")]
    [InlineData(1, "SPE-013", """{"procedure":"octave","noise":[1,1,1,1,1,1],"effort":"whisper"}""", "speech")]
    public async Task What_an_option_says_can_be_said_in_the_object(int exit, string word, string input, params string[] args)
    {
        var run = await CommandRun.WithInput(input, [.. args, "--format", "json"]);
        Assert.Equal(exit, run.ExitCode);
        Assert.Contains($"\"{word}\"", run.Out, StringComparison.Ordinal);
        if (exit == 0) Assert.DoesNotContain("osha", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Words_that_resemble_nothing_are_a_note()
    {
        var run = await CommandRun.WithInput("""{"vehicle":"tractor","segments":[{"hours":3,"level":90}]}""", "exposure");
        Assert.Equal(0, run.ExitCode);
        Assert.Contains("EXP-030 note", run.Error, StringComparison.Ordinal);
        Assert.Equal(1, (await CommandRun.WithInput("""{"vehicle":7,"segments":[{"hours":3,"level":90}]}""", "exposure")).ExitCode);
    }

    /// <summary>Columns for people, empty ones at the end and bands by their frequency are no mistakes.</summary>
    [Theory]
    [InlineData("name,hours,level,Remarks,,\na,3,78,calm,,\n", "exposure")]
    [InlineData("source,hz,signal,noise\nbell,1000,85,70\n", "audible")]
    [InlineData("""{"people":[{"125":20,"250":20,"500":20,"1000":20,"2000":20,"3150":20,"4000":20,"8000":20},{"125":22,"250":22,"500":20,"1000":20,"2000":20,"3150":20,"4000":21,"8000":20}]}""", "rating")]
    public async Task What_is_for_people_is_passed_over(string input, params string[] args)
    {
        var run = await CommandRun.WithInput(input, args);
        Assert.True(run.ExitCode == 0, run.Error);
    }
}
