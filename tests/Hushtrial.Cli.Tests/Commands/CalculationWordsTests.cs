using System.Text.Json;

namespace Hushtrial.Cli.Tests.Commands;

public class CalculationWordsTests
{
    private const string Attenuation = "hz,mean,sd\n125,10.0,3.6\n250,14.4,3.6\n500,19.6,4.6\n1000,22.8,4.0\n2000,29.6,6.2\n4000,38.8,7.4\n8000,34.1,5.2\n";

    /// <summary>40 CFR 211.207 takes off two standard deviations; the share of wearers belongs to H, M, L and SNR (ISO 4869-2).</summary>
    [Fact]
    public async Task The_NRR_is_not_said_to_hold_for_the_share_of_wearers_asked_for()
    {
        var text = await Said.By(Attenuation, "rating", "--performance", "98");
        var lines = text.Split('\n');
        Assert.StartsWith("Ratings for 98 % of wearers: H ", lines[0], StringComparison.Ordinal);
        Assert.DoesNotContain("NRR", lines[0], StringComparison.Ordinal);
        Assert.Matches("^NRR \\d+ dB: by its own rule two standard deviations are taken off, whatever the share of wearers \\(40 CFR 211\\.207\\)\\.", lines[1]);
    }

    [Fact]
    public async Task A_derating_is_named_where_it_was_applied()
    {
        string[] asked = ["rating", "--level-a", "97.1", "--level-c", "109.8"];
        Assert.Contains("by NRR − 7 with the A-level\n", await Said.By(Attenuation, asked), StringComparison.Ordinal);
        var half = await Said.By(Attenuation, [.. asked, "--derating", "osha-half"]);
        Assert.Contains("by half of (NRR − 7) with the A-level, the customary OSHA derating", half, StringComparison.Ordinal);
        Assert.Contains("by half the NRR with the C-level, the customary OSHA derating", half, StringComparison.Ordinal);
        Assert.Contains("by 0.75 NRR − 7 with the A-level, the NIOSH derating for earmuffs", await Said.By(Attenuation, [.. asked, "--derating", "niosh-earmuff"]), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Carry_withholds_in_words_what_it_withholds_in_numbers_and_says_what_was_filled_in()
    {
        var cabin = Path.GetTempFileName();
        try
        {
            File.WriteAllText(cabin + ".csv", "cabin,hz,level\nx,63,104\nx,125,108\nx,250,100\nx,500,94\nx,1000,88\nx,2000,83\n");
            string[] asked = ["carry", "--cabins", cabin + ".csv"];
            const string losses = "hz,loss\n125,11\n250,18\n500,26\n1000,31\n2000,34\n";
            var text = await Said.By(losses, asked);
            Assert.Matches("the device: [0-9.]+ dB\\(A\\), dB\\(C\\) cannot be said, for 2\\d % of this noise's C-weighted energy lies in bands without a trusted loss; at the ear", text);
            Assert.Contains("filled in: 63 Hz without a trusted loss, counted with 8.0 dB, that of 125 Hz less 3 dB", text, StringComparison.Ordinal);
            using var json = JsonDocument.Parse(await Said.By(losses, [.. asked, "--format", "json"]));
            var condition = json.RootElement.GetProperty("cabins")[0].GetProperty("conditions")[0];
            Assert.Equal(JsonValueKind.Null, condition.GetProperty("loss").GetProperty("c").GetProperty("estimate").ValueKind);
            var filled = Assert.Single(condition.GetProperty("filled_in").EnumerateArray());
            Assert.Equal((63.0, 8.0, 125.0), (filled.GetProperty("midband_hz").GetDouble(), filled.GetProperty("loss").GetDouble(), filled.GetProperty("from_midband_hz").GetDouble()));
        }
        finally
        {
            File.Delete(cabin);
            File.Delete(cabin + ".csv");
        }
    }

    /// <summary>NIOSH 98-126: 85 dB(A) for 8 h and 3 dB to the half leave 1.5 min at 110 dB(A).</summary>
    [Fact]
    public async Task Loud_radio_speech_is_called_a_hazard_from_85_dB_A_upward()
    {
        async Task<string> At(string level) => await Said.By("hz,noise\n250,60\n500,55\n1000,50\n2000,40\n4000,30\n8000,20\n", "speech", "--procedure", "octave", "--radio-level", level);
        Assert.Contains("Caution: Speech of 110 dB(A) at the ear is itself a hazard to hearing, however well it is understood: by the NIOSH recommendation 1.5 min of talk fill a day's dose.", await At("110"), StringComparison.Ordinal);
        Assert.Contains("Local rules and licensed practice come first.", await At("85"), StringComparison.Ordinal);
        Assert.DoesNotContain("hazard", await At("84.9"), StringComparison.Ordinal);
    }

    /// <summary>ISO 7731, from memory: at least 65 dB(A) besides the distance to the noise.</summary>
    [Fact]
    public async Task A_signal_below_65_dB_A_is_told_so_beside_its_verdict()
    {
        var quiet = await Said.By("hz,signal,noise\n1000,25,-5\n", "audible");
        Assert.Contains("audible; it stands out most at 1 kHz", quiet, StringComparison.Ordinal);
        Assert.Contains("The signal has 25.0 dB(A) there; besides, a danger signal is asked to have at least 65 dB(A) (ISO 7731:2003, from memory): it has less, which the verdict leaves out.", quiet, StringComparison.Ordinal);
        Assert.Contains("it has that.", await Said.By("hz,signal,noise\n1000,90,60\n", "audible"), StringComparison.Ordinal);
    }
}
