using System.Globalization;
using System.Text.Json;
using Hushtrial.Tests;

namespace Hushtrial.Acceptance.Tests;

/// <summary>The commands for one calculation, whole, on published examples.</summary>
public class CalculationCommandTests
{
    private static async Task<JsonElement> Json(string? input, params string[] args)
    {
        var run = await CommandRun.WithInput(input, [.. args, "--format", "json"]);
        Assert.True(run.ExitCode == 0, run.Error + run.Out);
        Assert.Equal(1, run.Json.GetProperty("hushtrial").GetProperty("schema").GetInt32());
        return run.Json;
    }

    private static double Number(JsonElement json, params string[] path) => path.Aggregate(json, (j, name) => j.GetProperty(name)).GetDouble();

    private static string Csv(IEnumerable<string> columns, IEnumerable<IEnumerable<object>> rows) =>
        string.Join('\n', new[] { string.Join(',', columns) }.Concat(rows.Select(r => string.Join(',', r.Select(v => Convert.ToString(v, CultureInfo.InvariantCulture))))));

    /// <summary>ISO 4869-2:2018, annexes A to D, from the people's values; printed to 0.1 dB, unrounded ones in the table to 0.01.</summary>
    [Fact]
    public async Task Rating_of_the_standards_example()
    {
        string[] bands = ["63", "125", "250", "500", "1000", "2000", "4000", "8000"];
        var rows = Reference.Read("hearing-protectors/iso4869-2-subjects.csv");
        var noise = Reference.Read("hearing-protectors/iso4869-2-results.csv").Single(r => r["item"] == "noise octave level Lp");
        var people = string.Join(',', rows.Select(r => "{" + string.Join(',', bands.Select(b => $"\"{b}\":{r[b]}")) + "}"));
        var json = await Json($"{{\"people\":[{people}],\"noise\":{{{string.Join(',', bands.Select(b => $"\"{b}\":{noise[b]}"))}}}}}", "rating");
        Assert.Equal(24.32, Number(json, "h"), 0.006);
        Assert.Equal(17.91, Number(json, "m"), 0.006);
        Assert.Equal(12.69, Number(json, "l"), 0.006);
        Assert.Equal(20.74, Number(json, "snr"), 0.006);
        Assert.Equal(21, Number(json, "labelled", "snr"));
        Assert.Equal(81.4, Number(json, "predicted_ear_level_a", "octave"), 0.05);
        Assert.Equal(82, Number(json, "predicted_ear_level_a", "snr"), 0.05); // the noise has 103.02 dB(C)
        Assert.Equal(16, json.GetProperty("people").GetArrayLength());
        Assert.Equal(27.8, json.GetProperty("people")[0].GetProperty("h").GetDouble(), 0.0501);
        Assert.Equal(8, json.GetProperty("apv").GetArrayLength());
    }

    /// <summary>40 CFR 211.207, Figure 2.</summary>
    [Fact]
    public async Task Rating_of_the_US_rules_example()
    {
        var json = await Json("hz,mean,sd\n125,21,3.7\n250,22,3.3\n500,23,3.8\n1000,29,4.7\n2000,41,3.3\n3000,43,3.3\n4000,47,3.4\n6000,41,6.1\n8000,36,6.5\n", "rating");
        Assert.Equal(19.84, Number(json, "nrr"), 0.005);
        Assert.Equal(20, Number(json, "labelled", "nrr"));
        Assert.False(json.GetProperty("nrr_from_octaves_only").GetBoolean());
    }

    [Fact]
    public async Task Exposure_of_one_level_by_options()
    {
        var json = await Json(null, "exposure", "--level", "88", "--hours", "4", "--uncertainty", "1.5");
        Assert.Equal(84.99, Number(json, "lex8h"), 0.005); // 88 + 10 lg 0.5
        var niosh = json.GetProperty("rules").EnumerateArray().Single(r => r.GetProperty("id").GetString() == "niosh");
        Assert.Equal(4, Number(niosh, "allowed_hours"), 1e-6);
        Assert.Equal(100, Number(niosh, "dose_percent"), 1e-6);
        Assert.True(Number(niosh, "allowed_hours_interval", "low") < 4 && Number(niosh, "allowed_hours_interval", "high") > 4);
        Assert.Equal("unresolved", json.GetProperty("rules").EnumerateArray().Single(r => r.GetProperty("id").GetString() == "eu").GetProperty("thresholds")[2].GetProperty("standing").GetString());
    }

    /// <summary>The UK regulator's off-time figure: 25 dB and two minutes an hour off are 14 dB.</summary>
    [Fact]
    public async Task Exposure_with_off_time_from_a_table_with_decimal_commas()
    {
        var json = await Json("name;hours;outside;reduction;off_minutes\nflight;1,0;100,0;25;2\n", "exposure", "--rules", "eu", "--calibration", "94 dB calibrator");
        Assert.Equal(100 - 14.4, Number(json, "laeq"), 0.05);
        Assert.Equal(1, json.GetProperty("rules").GetArrayLength());
        Assert.Equal("94 dB calibrator", json.GetProperty("calibration").GetString());
    }

    /// <summary>ISO 9612:2009, annexes D and E.</summary>
    [Fact]
    public async Task Exposure_by_the_strategies_of_ISO_9612()
    {
        var tasks = await Json("""{"tasks":[{"name":"planning","hours":1.5,"samples":[70.0]},{"name":"welding","hours":5,"half_range_hours":1,"samples":[80.1,82.2,79.6]},{"name":"cutting","hours":1.5,"half_range_hours":0.5,"samples":[86.5,92.4,89.3,93.2,87.8,86.2]}]}""", "exposure");
        Assert.Equal(84.3, Number(tasks, "lex8h"), 0.05);
        Assert.Equal(3.2, Number(tasks, "expanded_uncertainty"), 0.05);
        var job = await Json("""{"samples":[88.1,86.1,89.7,86.5,91.1,86.7],"hours":7.5}""", "exposure");
        Assert.Equal(88.16, Number(job, "lex8h"), 0.005);
        Assert.Equal(3.8, Number(job, "expanded_uncertainty"), 0.05);
        Assert.Equal(87 - 10 * Math.Log10(5), Number(await Json("""{"days":[87]}""", "exposure"), "lex40h"), 1e-9);
    }

    /// <summary>ISO 532-1:2017, Annex B.2, test signal 1, as CSV and as a bare list.</summary>
    [Fact]
    public async Task Loudness_of_the_check_spectrum()
    {
        var rows = Reference.Read("loudness/iso532-1-signal1.csv");
        var table = await Json(Csv(["hz", "level"], rows.Select(r => new object[] { r["third_octave_hz"], r["level_db"] })), "loudness");
        Assert.Equal(83.2957, Number(table, "sone"), 0.0001);
        Assert.Equal(103.80, Number(table, "phon"), 0.005);
        Assert.Equal(240, table.GetProperty("specific").GetArrayLength());
        var list = await Json($"{{\"levels\":[{string.Join(',', rows.Select(r => r["level_db"]))}]}}", "loudness");
        Assert.Equal(Number(table, "sone"), Number(list, "sone"), 1e-12);
        // ISO 226:2023, Table B.2: 60 dB at 63 Hz are 21.6 phon.
        Assert.Equal(21.6, Number(await Json(null, "loudness", "--tone", "63", "--level", "60"), "phon"), 0.05);
        Assert.Equal(109.511, Number(await Json(null, "loudness", "--tone", "20", "--phon", "60", "--edition", "2003"), "level"), 0.001);
    }

    [Fact]
    public async Task Loudness_under_a_device_has_a_ratio_with_its_interval()
    {
        var rows = Reference.Read("loudness/iso532-1-signal1.csv").Select(r => (Hz: r["third_octave_hz"], Level: r.Number("level_db")));
        var json = await Json(Csv(["hz", "level", "covered", "half_width"], rows.Select(r => new object[] { r.Hz, r.Level, r.Level - 10, 2 })), "loudness", "--field", "diffuse");
        Assert.InRange(Number(json, "loudness_ratio", "estimate"), 0.45, 0.6);
        Assert.True(Number(json, "loudness_ratio", "low") < Number(json, "loudness_ratio", "estimate") && Number(json, "loudness_ratio", "high") > Number(json, "loudness_ratio", "estimate"));
        Assert.Equal(0.1, Number(json, "energy_ratio_a", "estimate"), 1e-9);
    }

    /// <summary>ANSI S3.5-1997, Annex C.1, as a table and as lists, and the one-third-octave example C.2.</summary>
    [Fact]
    public async Task Speech_of_the_standards_examples()
    {
        var table = await Json("hz,speech,noise\n250,50,70\n500,40,65\n1000,40,45\n2000,30,25\n4000,20,1\n8000,0,-15\n", "speech", "--procedure", "octave");
        Assert.Equal(0.5039555062, Number(table, "sii"), 1e-9);
        var lists = await Json("""{"procedure":"octave","speech":[50,40,40,30,20,0],"noise":[70,65,45,25,1,-15],"threshold":[0,0,0,0,0,7.1]}""", "speech");
        Assert.Equal(0.4909625062, Number(lists, "sii"), 1e-9);
        var row = Reference.Read("speech/sii-examples.csv").Single(r => r["case"] == "C.2");
        var third = await Json($"{{\"speech\":[{row["speech"].Replace(';', ',')}],\"noise\":[{row["noise"].Replace(';', ',')}]}}", "speech");
        Assert.Equal(row.Number("sii"), Number(third, "sii"), 1e-9);
        var radio = await Json("hz,noise\n250,80\n500,70\n1000,60\n2000,50\n4000,40\n8000,40\n", "speech", "--radio-level", "85", "--effort", "raised");
        Assert.InRange(Number(radio, "sii"), 0.3, 1);
    }

    [Fact]
    public async Task A_warning_sound_15_dB_over_the_noise_is_heard_and_one_5_under_is_not()
    {
        static string Table(double signal) => FormattableString.Invariant($"hz,signal,noise,loss\n800,40,70,20\n1000,{signal},70,20\n1250,40,70,20\n");
        var heard = await Json(Table(85), "audible");
        Assert.True(heard.GetProperty("audible").GetBoolean());
        Assert.Equal(2, Number(heard, "margin_db"), 1e-9);
        var unheard = await Json(Table(65), "audible");
        Assert.Equal((false, "inaudible"), (unheard.GetProperty("audible").GetBoolean(), unheard.GetProperty("verdict").GetString()));
        Assert.NotEmpty(heard.GetProperty("caution").GetString()!);
    }

    [Fact]
    public async Task Claims_against_a_measurement()
    {
        Assert.Equal("contradicted", (await Json(null, "claim", "--at-least", "20", "--measured", "15", "--sd", "1")).GetProperty("verdict").GetString());
        Assert.Equal("supported", (await Json(null, "claim", "--at-least", "20", "--measured", "21", "--sd", "1")).GetProperty("verdict").GetString());
        Assert.Equal("unresolved", (await Json(null, "claim", "--at-least", "20", "--measured", "21", "--sd", "1", "--allowance", "0")).GetProperty("verdict").GetString());
        var reached = await Json("hz,measured,sd\n100,12,1\n125,26,1\n160,20,1\n", "claim", "--up-to", "24");
        Assert.Equal(("unresolved", 125.0), (reached.GetProperty("verdict").GetString(), Number(reached, "reached_at_hz")));
        Assert.Equal("contradicted", (await Json(null, "claim", "--up-to", "30", "--at", "100", "--measured", "20", "--sd", "1")).GetProperty("verdict").GetString());
    }

    /// <summary>The built cabin: 15 dB at 125 Hz over the passive loss were 12.5 dB(A) for the whole active part, so the range holds it.</summary>
    [Fact]
    public async Task A_claim_at_one_frequency_is_translated()
    {
        var rows = Reference.Read("ear-transfer/built-vector.csv");
        var json = await Json(Csv(["hz", "noise", "passive"], rows.Select(r => new object[] { r["hz"], r["cabin"], r["passive"] })), "claim", "--value", "15", "--at", "125", "--active-up-to", "500");
        Assert.True(Number(json, "a", "floor") < 12.5 && Number(json, "a", "ceiling") > 12.5);
        var published = await Json("hz,mean,sd,noise\n125,20,3,100\n250,20,3,95\n500,20,3,90\n1000,20,3,85\n2000,20,3,80\n4000,20,3,75\n8000,20,3,70\n", "claim", "--measured", "10", "--sd", "1", "--subjects", "16");
        Assert.Equal("below", published.GetProperty("standing").GetString());
    }

    [Theory]
    [InlineData(1, "RAT-010", "hz,mean,sd\n125,20,3\n", "rating")]
    [InlineData(1, "RAT-003", "hz,mean,sd\n125,x,3\n", "rating")]
    [InlineData(1, "EXP-013", "name,hours,level,off_minutes\na,1,80,5\n", "exposure")]
    [InlineData(1, "EXP-009", "name,hours,level\na,20,80\nb,20,80\n", "exposure")]
    [InlineData(1, "EXP-011", "name,hours,level\na,0,80\n", "exposure")]
    [InlineData(1, "LOU-010", "hz,level\n100,60\n", "loudness")]
    [InlineData(1, "LOU-005", "hz,level\n137,60\n", "loudness")]
    [InlineData(1, "LOU-002", "{\"hz\":[", "loudness")]
    [InlineData(1, "SPE-011", "speech,noise\n50,40\n", "speech")]
    [InlineData(1, "AUD-010", "hz,noise\n1000,40\n", "audible")]
    [InlineData(1, "AUD-008", "hz,signal,noise\n1000,40\n", "audible")]
    [InlineData(1, "CLM-030", "hz,level_x\n1000,40\n", "claim", "--value", "20", "--at", "100")]
    [InlineData(1, "CLM-009", "hz,noise\n1000,40\n", "claim", "--value", "20", "--at", "100")]
    public async Task Bad_numbers_give_a_problem_with_a_code(int exit, string code, string input, params string[] args)
    {
        var run = await CommandRun.WithInput(input, [.. args, "--format", "json"]);
        Assert.Equal(exit, run.ExitCode);
        Assert.Contains(run.Json.GetProperty("problems").EnumerateArray(), p => p.GetProperty("code").GetString() == code);
    }

    [Theory]
    [InlineData("claim")]
    [InlineData("claim", "--at-least", "20")]
    [InlineData("claim", "--at-least", "20", "--measured", "20", "--sd", "0")]
    [InlineData("claim", "--at-least", "20", "--mean", "20", "--measured", "20", "--sd", "1")]
    [InlineData("exposure", "--level", "88")]
    [InlineData("exposure", "--level", "88", "--hours", "4", "--rules", "moon")]
    [InlineData("loudness", "--tone", "1000")]
    [InlineData("loudness", "no-such-file.csv")]
    [InlineData("rating", "--performance", "120")]
    public async Task Wrong_use_is_exit_code_2(params string[] args) => Assert.Equal(2, (await CommandRun.WithInput("", args)).ExitCode);

    [Theory]
    [InlineData("rating")]
    [InlineData("exposure")]
    [InlineData("loudness")]
    [InlineData("speech")]
    [InlineData("audible")]
    [InlineData("claim")]
    public async Task Help_shows_an_example(string command)
    {
        var run = await CommandRun.Of(command, "--help");
        Assert.Equal(0, run.ExitCode);
        Assert.Contains("Example:", run.Out, StringComparison.Ordinal);
        Assert.Contains($"hushtrial {command}", run.Out, StringComparison.Ordinal);
    }
}
