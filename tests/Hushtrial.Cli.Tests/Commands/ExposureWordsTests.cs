namespace Hushtrial.Cli.Tests.Commands;

public class ExposureWordsTests
{
    [Fact]
    public async Task Hours_under_an_exceeded_limit_outside_are_said_to_be_hours_at_the_ear()
    {
        var text = await Said.By(null, "exposure", "--outside", "100", "--level", "91", "--hours", "2", "--rules", "osha-pel");
        // 29 CFR 1910.95, appendix A: 91 dB(A) are allowed for 7.0 h; 100 dB(A) for 2 h, so the day outside is at the limit.
        Assert.Contains("dose at the ear 29 %", text, StringComparison.Ordinal);
        Assert.Contains("; at the ear under the device allowed 7.0 h, safe 7.0 h: no leave by this rule set, for outside the device the permissible exposure is reached or exceeded", text, StringComparison.Ordinal);
        Assert.Contains("permissible exposure 90 dB(A), outside the device: reached or exceeded", text, StringComparison.Ordinal);
        Assert.DoesNotContain("no leave", await Said.By(null, "exposure", "--level", "91", "--hours", "2", "--rules", "osha-pel"), StringComparison.Ordinal);
    }

    /// <summary>The UK regulator's figure for time off: 25 dB and two minutes an hour off are 14 dB, so the ear gets 86 dB(A) with 75 dB(A) under the device.</summary>
    [Fact]
    public async Task A_device_is_judged_by_the_level_while_worn_and_time_off_is_a_matter_of_wearing()
    {
        string[] asked = ["exposure", "--outside", "100", "--reduction", "25", "--hours", "1", "--rules", "eu", "--off-minutes"];
        var off = await Said.By(null, [.. asked, "2"]);
        Assert.Contains("At the worse ear: 85.6 dB(A)", off, StringComparison.Ordinal); // 14.4 dB less than outside; the regulator prints whole decibels
        Assert.Contains("while worn, 75.0 dB(A) under the device: in the range usually aimed at", off, StringComparison.Ordinal);
        Assert.Contains("because of 2 min with the device off: that is a matter of wearing", off, StringComparison.Ordinal);
        Assert.DoesNotContain("too loud", off, StringComparison.Ordinal);
        Assert.DoesNotContain("matter of wearing", await Said.By(null, [.. asked, "0"]), StringComparison.Ordinal);
        Assert.Contains("while worn, 90.0 dB(A) under the device: too loud at the ear", await Said.By(null, "exposure", "--outside", "100", "--reduction", "10", "--hours", "1"), StringComparison.Ordinal);
    }
}
