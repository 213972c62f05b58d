using System.Text.Json;

namespace Hushtrial.Acceptance.Tests;

/// <summary>What is heard in the helicopter demo, beside the truth it was made from.</summary>
public sealed partial class DemoTests
{
    private JsonElement Heard => demo.Results.GetProperty("listening");

    private JsonElement HeardTruth => demo.Truth.GetProperty("listening");

    [Fact]
    public void The_index_of_every_condition_holds_its_truth_and_turns_with_the_device()
    {
        var rows = Heard.GetProperty("speech").GetProperty("conditions").EnumerateArray().Where(c => c.GetProperty("why_not").ValueKind == JsonValueKind.Null).ToList();
        Assert.Equal(6, rows.Count);
        foreach (var row in rows)
        {
            var truth = HeardTruth.GetProperty("speech_index").GetProperty(row.GetProperty("condition").GetString()!).GetDouble();
            Assert.InRange(truth, row.GetProperty("sii").GetProperty("low").GetDouble(), row.GetProperty("sii").GetProperty("high").GetDouble());
        }
        Assert.True(Of("open") < 0.1);
        Assert.True(Of("alder-spectacles") < Of("alder"));
        Assert.Equal("one_third_octave", Heard.GetProperty("speech").GetProperty("procedure").GetString());

        double Of(string id) => rows.Single(r => r.GetProperty("condition").GetString() == id).GetProperty("sii").GetProperty("estimate").GetDouble();
    }

    [Fact]
    public void The_warning_stands_over_the_noise_as_put_in_and_a_device_that_may_hide_it_is_a_caution()
    {
        var warning = Assert.Single(Heard.GetProperty("warnings").EnumerateArray());
        var rows = warning.GetProperty("conditions").EnumerateArray().Where(c => c.GetProperty("why_not").ValueKind == JsonValueKind.Null).ToDictionary(c => c.GetProperty("condition").GetString()!);
        Assert.Equal(6, rows.Count);
        foreach (var (id, row) in rows)
        {
            var truth = HeardTruth.GetProperty("warning_excess_db").GetProperty(id).GetDouble();
            Assert.InRange(truth, row.GetProperty("excess_db").GetProperty("low").GetDouble(), row.GetProperty("excess_db").GetProperty("high").GetDouble());
            Assert.Equal(3150, row.GetProperty("best_band_hz").GetDouble());
        }
        Assert.Equal("audible", rows["open"].GetProperty("verdict").GetString());
        Assert.Equal("doubtful", rows["alder-spectacles"].GetProperty("verdict").GetString());
        Assert.Contains(Heard.GetProperty("cautions").EnumerateArray(), c => c.GetString()!.Contains("may be missed under", StringComparison.Ordinal) && c.GetString()!.Contains("Confirm by ear before flight", StringComparison.Ordinal));
    }

    [Fact]
    public void The_hiss_is_found_where_it_was_put_and_hidden_where_the_microphone_is_louder()
    {
        var hiss = Assert.Single(Heard.GetProperty("hiss").EnumerateArray());
        Assert.Equal("heard", hiss.GetProperty("verdict").GetString());
        var bands = hiss.GetProperty("bands").EnumerateArray().ToDictionary(b => b.GetProperty("midband_hz").GetDouble());
        foreach (var put in HeardTruth.GetProperty("hiss").EnumerateArray().Where(b => b.GetProperty("midband_hz").GetDouble() is >= 630 and <= 5000))
            // 10 s of a band at 630 Hz leave 4.34/√(B·T) = 0.11 dB to chance in each span; between bands of unlike level the filters' slopes add up to 0.3 dB.
            Assert.Equal(put.GetProperty("level").GetDouble(), bands[put.GetProperty("midband_hz").GetDouble()].GetProperty("hiss").GetDouble(), 0.7);
        Assert.Equal("the microphone’s own noise", bands[8000].GetProperty("hidden_by").GetString());
        Assert.Equal("the noise of the room", bands[125].GetProperty("hidden_by").GetString());
    }

    [Fact]
    public void The_radio_adds_what_was_put_in_and_both_levels_stand_side_by_side()
    {
        var alder = Assert.Single(Heard.GetProperty("comms").GetProperty("conditions").EnumerateArray());
        Assert.Equal(HeardTruth.GetProperty("talk_share").GetDouble(), alder.GetProperty("talk_share").GetDouble(), 0.03); // a half second at the ends of a call
        // The cabin of that take wanders by about 1 dB, which moves what a fixed radio level adds by at most as much.
        Assert.Equal(HeardTruth.GetProperty("radio_adds_db").GetDouble(), alder.GetProperty("adds_db").GetDouble(), 1.5);
        Assert.Equal(alder.GetProperty("adds_db").GetDouble(), alder.GetProperty("as_heard_a").GetProperty("estimate").GetDouble() - alder.GetProperty("noise_only_a").GetProperty("estimate").GetDouble(), 1e-5);
        var report = File.ReadAllText(Path.Combine(demo.Folder, "report.html"));
        foreach (var id in new[] { "speech", "warnings", "hiss", "comms", "one-ear", "comfort" }) Assert.Contains($"<h3 id=\"{id}\"", report, StringComparison.Ordinal);
        foreach (var name in new[] { "speech", "warnings", "hiss", "comms" }) Assert.True(File.Exists(Path.Combine(demo.Folder, $"listening-{name}.csv")) && File.Exists(Path.Combine(demo.Folder, "figures", name + ".svg")));
    }
}
