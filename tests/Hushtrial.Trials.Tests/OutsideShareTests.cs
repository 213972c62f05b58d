using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Tests;

/// <summary>The share of the outside level that is taken off a reading. Invented levels: the law is what is tested.</summary>
public sealed class OutsideShareTests
{
    private static List<OpenPair> Takes(int n, double ambient, double wind, double ear, ulong seed)
    {
        var g = new SeededGenerator(seed);
        return [.. Enumerable.Range(0, n).Select(i =>
        {
            var noise = 95 + (ambient * g.NextNormal());
            return new OpenPair(i % 2 == 0 ? "F1" : "F2", new Dictionary<string, double> { ["LA"] = noise + (ear * g.NextNormal()) }, new Dictionary<string, double> { ["LA"] = noise + (wind * g.NextNormal()) });
        })];
    }

    /// <summary>Covariance over variance: with wind of the same size as the noise's own scatter the share is one half.</summary>
    [Fact]
    public void Wind_of_its_own_lowers_the_share()
    {
        var share = OutsideShare.Of(Takes(400, 1.5, 1.5, 0.2, 1))["LA"];
        Assert.Equal(0.5, share, 0.1); // 400 takes: standard error 0.035
        var finding = OutsideShare.Finding(new Dictionary<string, double> { ["LA"] = share })!;
        Assert.Equal("PAI-001", finding.Code);
        Assert.Contains("A-weighted", finding.Found);
    }

    /// <summary>Sound microphones: in 500 trials of twelve open takes at most the one-sided 5 % fall below.</summary>
    [Fact]
    public void A_sound_outside_microphone_keeps_its_whole_share()
    {
        var wrong = Enumerable.Range(0, 500).Count(s => OutsideShare.Of(Takes(12, 1.2, 0.15, 0.4, (ulong)s)).Count > 0);
        Assert.InRange(wrong, 0, 25);
    }

    [Fact]
    public void Few_or_steady_takes_leave_it_at_one()
    {
        Assert.Empty(OutsideShare.Of(Takes(4, 1.5, 3, 0.2, 3)));
        Assert.Empty(OutsideShare.Of(Takes(40, 0.1, 0.3, 0.2, 3)));
        Assert.Null(OutsideShare.Finding(new Dictionary<string, double>()));
    }
}
