using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Planning;

namespace Hushtrial.Trials.Tests.Planning;

/// <summary>The bare ear against its share. NIOSH 98-126, 1.1: 85 dB(A) for 8 h, halved every 3 dB: 100 dB(A) for 15 min, of which a quarter is 3 min 45 s.</summary>
public sealed class OpenEarSoFarTests
{
    private static readonly ExposureRules _niosh = RuleSets.Find("niosh")!;

    [Fact]
    public void A_quarter_of_a_day_at_100_decibels_is_225_seconds()
    {
        var none = new OpenEarSoFar(_niosh, Level.FromDecibels(100), TimeSpan.Zero, 25);
        Assert.Equal(225, none.Left!.Value.TotalSeconds, 0.5);
        Assert.True(none.Allows(TimeSpan.FromSeconds(224)));
        Assert.False(none.Allows(TimeSpan.FromSeconds(226)));
        var half = none with { Bare = TimeSpan.FromSeconds(112.5) };
        Assert.Equal(12.5, half.Percent!.Value, 0.05);
        Assert.False(half.Ended);
        Assert.True((none with { Bare = TimeSpan.FromSeconds(226) }).Ended);
    }

    [Fact]
    public void An_unknown_level_says_nothing_and_a_quiet_one_allows_everything()
    {
        Assert.Null(new OpenEarSoFar(_niosh, null, TimeSpan.FromHours(9), 25).Percent);
        Assert.False(new OpenEarSoFar(_niosh, null, TimeSpan.FromHours(9), 25).Ended);
        Assert.True(new OpenEarSoFar(_niosh, Level.FromDecibels(60), TimeSpan.FromHours(1), 25).Allows(TimeSpan.FromHours(1)));
    }
}
