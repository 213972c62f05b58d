using System.Text.Json;
using Hushtrial.Cli;

namespace Hushtrial.Cli.Tests.Commands;

public class PlanAndClaimTests
{
    [Fact]
    public async Task One_device_makes_no_pair_and_no_chance_is_certain()
    {
        var one = await Said.By(null, "plan", "Alder");
        Assert.DoesNotContain("pair", one, StringComparison.Ordinal);
        Assert.Contains("A flight takes about", one, StringComparison.Ordinal);
        using var json = JsonDocument.Parse(await Said.By(null, "plan", "Alder", "--format", "json"));
        Assert.Equal(JsonValueKind.Null, json.RootElement.GetProperty("power_one_pair").ValueKind);
        var sure = await Said.By(null, "plan", "Alder", "Birch", "--flights", "6", "--donnings", "4", "--difference", "12");
        Assert.Contains("Chance to find a difference of 12 dB: over 99 % for one declared pair, over 99 % when all pairs are judged", sure, StringComparison.Ordinal);
        Assert.DoesNotContain("100 %", sure, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_checked_fit_lets_a_label_be_refuted_by_what_95_percent_of_wearers_should_exceed()
    {
        string[] asked = ["claim", "--labelled", "20", "--measured", "12", "--sd", "1", "--format", "json"];
        async Task<string> Verdict(params string[] more)
        {
            using var json = JsonDocument.Parse(await Said.By(null, [.. asked, .. more]));
            return json.RootElement.GetProperty("verdict").GetString()!;
        }
        Assert.Equal("unresolved", await Verdict());
        Assert.Equal("unresolved", await Verdict("--exceeded-by-95", "15"));
        Assert.Equal("contradicted", await Verdict("--exceeded-by-95", "15", "--fit-checked"));
        Assert.Equal("unresolved", await Verdict("--exceeded-by-95", "13", "--fit-checked")); // 12 ± 1.65 dB reaches 13
        // Without the value the option could change nothing, and that is wrong use.
        using var output = new MemoryStream();
        using var error = new StringWriter();
        Assert.Equal(ExitCode.WrongUse, await CommandTree.RunAsync([.. asked, "--fit-checked"], new Edge(output, error, TextReader.Null, TimeProvider.System, ErrorIsTerminal: false)));
        Assert.Contains("--fit-checked needs --exceeded-by-95", error.ToString() + System.Text.Encoding.UTF8.GetString(output.ToArray()), StringComparison.Ordinal);
    }
}
