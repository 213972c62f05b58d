using CsCheck;
using Hushtrial.Hearing.Claims;
using Hushtrial.Quantities;
using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Tests.Claims;

public class ClaimTranslationTests
{
    private static readonly Band[] _octaves = [.. Enumerable.Range(-5, 9).Select(Band.Octave)];

    private static LevelDifference Db(double value) => LevelDifference.FromDecibels(value);

    private static (Spectrum Cabin, Dictionary<Band, LevelDifference> Passive, Dictionary<Band, LevelDifference> Active) Vector()
    {
        var rows = Reference.Read("ear-transfer/built-vector.csv");
        Dictionary<Band, LevelDifference> Column(string name) => _octaves.Zip(rows).ToDictionary(p => p.First, p => Db(p.Second.Number(name)));
        return (Spectrum.Of(_octaves, [.. rows.Select(r => r.Number("cabin"))]), Column("passive"), Column("active_part"));
    }

    [Fact]
    public void Fifteen_dB_at_125_Hz_are_12_5_dB_A_in_the_built_cabin()
    {
        var (cabin, passive, active) = Vector();
        var left = cabin.Minus(passive);
        Assert.Equal(15, active.Values.Max(v => v.Decibels));
        var gained = ClaimTranslation.Reduction(left, active, FrequencyWeighting.A);
        Assert.Equal(12.5, gained.Decibels, 0.051); // computed outside this project to 0.1 dB
        var range = ClaimTranslation.OfActivePart(cabin, passive, Db(15), Frequency.FromHertz(125), Frequency.FromHertz(500), FrequencyWeighting.A);
        Assert.InRange(gained.Decibels, range.Floor.Decibels, range.Ceiling.Decibels);
        Assert.Equal(Math.Pow(10, (80.9 - 81.9) / 10), range.ShareOfBand, 0.02); // 125 Hz carries 80.9 of 81.9 dB(A), each to 0.1 dB
        Assert.Contains("125 Hz", ClaimTranslation.Sentence(Db(15), Frequency.FromHertz(125), range), StringComparison.Ordinal);
    }

    [Fact]
    public void The_floor_is_what_one_band_gives() => Gen.Select(Gen.Double[60, 110].Array[9], Gen.Int[0, 8], Gen.Double[0, 40]).Sample((levels, i, q) =>
    {
        var noise = Spectrum.Of(_octaves, levels);
        var range = ClaimTranslation.Of(noise, Db(q), _octaves[i].ExactMidband, FrequencyWeighting.A);
        var one = ClaimTranslation.Reduction(noise, new Dictionary<Band, LevelDifference> { [_octaves[i]] = Db(q) }, FrequencyWeighting.A);
        return Math.Abs(range.Floor.Decibels - one.Decibels) < 1e-9 && range.Floor.Decibels <= range.Ceiling.Decibels + 1e-9 && range.Ceiling.Decibels == q;
    });

    [Fact]
    public void An_active_part_that_acts_higher_up_can_give_more() => Gen.Select(Gen.Double[60, 110].Array[9], Gen.Double[5, 30]).Sample((levels, q) =>
    {
        var noise = Spectrum.Of(_octaves, levels);
        double Ceiling(double upTo) => ClaimTranslation.OfActivePart(noise, new Dictionary<Band, LevelDifference>(), Db(q), Frequency.FromHertz(125), Frequency.FromHertz(upTo), FrequencyWeighting.A).Ceiling.Decibels;
        return Ceiling(250) <= Ceiling(500) + 1e-9 && Ceiling(500) <= Ceiling(1000) + 1e-9 && Ceiling(1000) <= q + 1e-9;
    });

    [Fact]
    public void A_frequency_outside_the_noise_is_refused() =>
        Assert.Throws<ArgumentException>(() => ClaimTranslation.Of(Vector().Cabin, Db(20), Frequency.FromHertz(15_000), FrequencyWeighting.A));

    [Fact]
    public void The_point_of_a_claim()
    {
        Frequency F(double f) => Frequency.FromHertz(f);
        Assert.Equal(PointSource.Band, PointOfClaim.Choose(new(F(100), F(107), null, Db(0), Db(2.9))).Source); // 0.97 dB over the band
        Assert.Equal(PointSource.Band, PointOfClaim.Choose(new(F(100), F(102), null, Db(0), Db(9))).Source); // 1/35 octave
        Assert.Equal(PointSource.NarrowBand, PointOfClaim.Choose(new(F(100), F(107), F(108), Db(9), Db(9))).Source);
        var tone = PointOfClaim.Choose(new(F(100), F(104), F(104), Db(13), Db(7.5)));
        Assert.Equal(PointSource.BandAtTone, tone.Source);
        Assert.Equal(7.5 * Math.Log2(1.04), tone.AddedUncertainty.Decibels, 1e-9);
        Assert.Equal(PointSource.NotMeasured, PointOfClaim.Choose(new(F(100), F(108), F(108), Db(13), Db(7.5))).Source);
    }

    [Fact]
    public void A_widened_loss_keeps_its_mean_and_adds_variances()
    {
        var loss = MeasuredLoss.Normal(Db(20), Db(3)).Widened(Db(4));
        Assert.Equal(5, loss.StandardDeviation.Decibels, 1e-12);
        Assert.Equal(20 + 5 * Gaussian.Quantile(0.9), loss.Quantile(0.9).Decibels, 1e-9);
        Assert.Equal(0.9, loss.ProbabilityUpTo(loss.Quantile(0.9)), 1e-9);
        var t = MeasuredLoss.Student(Db(20), Db(1), 5);
        Assert.Equal(20 + 2.5706, t.Quantile(0.975).Decibels, 0.0001); // printed t table
        Assert.Throws<ArgumentOutOfRangeException>(() => MeasuredLoss.Normal(Db(20), Db(0)));
    }
}
