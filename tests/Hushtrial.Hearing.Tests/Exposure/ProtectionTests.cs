using CsCheck;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Exposure;

public class ProtectionTests
{
    [Fact]
    public void Off_time_never_helps_and_its_ceiling_holds() => Gen.Select(Gen.Double[0, 45], Gen.Double[0.001, 1]).Sample((r, p) =>
    {
        var effective = OffTime.EffectiveReduction(LevelDifference.FromDecibels(r), p).Decibels;
        return effective <= r + 1e-9 && effective <= OffTime.Ceiling(p)!.Value.Decibels + 1e-9 && effective >= -1e-9;
    });

    [Fact]
    public void Ceilings_of_off_time()
    {
        // Identities: a tenth of the time off is 10 dB, a hundredth 20 dB.
        Assert.Equal(10, OffTime.Ceiling(0.1)!.Value.Decibels, 1e-9);
        Assert.Equal(20, OffTime.Ceiling(0.01)!.Value.Decibels, 1e-9);
        Assert.Null(OffTime.Ceiling(0));
        Assert.Throws<ArgumentOutOfRangeException>(() => OffTime.Ceiling(1.1));
    }

    /// <summary>EN 458 from memory: for an action level of 85 dB(A) 75 to 80 dB(A) is the aim (confirmed by a trade article), below 70 too quiet.</summary>
    [Theory]
    [InlineData(86, ProtectionBand.Insufficient)]
    [InlineData(85, ProtectionBand.AcceptableLow)]
    [InlineData(80, ProtectionBand.Good)]
    [InlineData(75, ProtectionBand.Good)]
    [InlineData(70, ProtectionBand.AcceptableHigh)]
    [InlineData(69, ProtectionBand.TooQuiet)]
    public void Bands_of_protection(double level, ProtectionBand band) =>
        Assert.Equal(band, ProtectionBands.At(Level.FromDecibels(level), ProtectionBands.UsualActionLevel));

    [Fact]
    public void Two_protectors_add_5_dB_to_the_better()
    {
        Assert.Equal(32, DoubleProtection.UsualReduction(LevelDifference.FromDecibels(20), LevelDifference.FromDecibels(27)).Decibels, 1e-9);
        Assert.Equal(40, DoubleProtection.AboutBoneConductionLimit(Frequency.FromHertz(2000)).Decibels);
    }
}
