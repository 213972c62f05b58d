using System.Globalization;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Ratings;

public class NoiseReductionRatingTests
{
    private static LevelDifference Db(double value) => LevelDifference.FromDecibels(value);

    private static BandAttenuation Loss(double mean, double deviation) => new(Db(mean), Db(deviation));

    private static Band Test(double hertz) => Band.FromNominal(BandFraction.ThirdOctave, hertz)!.Value;

    // 40 CFR 211.207, Figure 2: means and deviations of the nine test bands; below 3 kHz the figure gives two deviations.
    private static NoiseReductionRating Example { get; } = NoiseReductionRating.Of(new Dictionary<Band, BandAttenuation>
    {
        [Test(125)] = Loss(21, 3.7), [Test(250)] = Loss(22, 3.3), [Test(500)] = Loss(23, 3.8), [Test(1000)] = Loss(29, 4.7), [Test(2000)] = Loss(41, 3.3),
        [Test(3150)] = Loss(43, 3.3), [Test(4000)] = Loss(47, 3.4), [Test(6300)] = Loss(41, 6.1), [Test(8000)] = Loss(36, 6.5),
    });

    /// <summary>40 CFR 211.207, Figure 2: every cell of the nine steps, printed to 0.1 dB.</summary>
    [Fact]
    public void Every_step_of_the_rules_example()
    {
        var rows = Reference.Read("hearing-protectors/nrr-example.csv");
        Assert.Equal(9, rows.Count);
        for (var i = 0; i < 7; i++)
        {
            var (band, name) = (Example.Bands[i], PublishedAttenuation.RatingBands[i].NominalHertz.ToString(CultureInfo.InvariantCulture));
            var expected = rows.Take(8).Select(r => r.Number(name)).ToArray();
            double[] ours = [100, Weightings.At(FrequencyWeighting.C, band.Band.ExactMidband).Decibels, band.UnprotectedC.Decibels,
                Weightings.At(FrequencyWeighting.A, band.Band.ExactMidband).Decibels, band.UnprotectedA.Decibels, band.Attenuation.Decibels, band.TwoDeviations.Decibels, band.ProtectedA.Decibels];
            Assert.All(expected.Zip(ours), p => Assert.Equal(p.First, p.Second, 0.0501));
        }

        Assert.Equal(107.954, Example.TotalC.Decibels, 0.0005); // recomputed outside this project to 0.001 dB
        Assert.Equal(85.116, Example.TotalA.Decibels, 0.0005);
        Assert.Equal(rows[2].Number("total"), Example.TotalC.Decibels, 0.0551); // printed 107.9: cut off, not rounded
        Assert.Equal(rows[7].Number("total"), Example.TotalA.Decibels, 0.0501);
        Assert.Equal(rows[8].Number("total"), Example.Value.Decibels, 0.0501);
        Assert.Equal(20, Example.Rounded.Decibels);
        Assert.False(Example.FromOctavesOnly);
    }

    [Fact]
    public void From_octaves_alone_the_rating_is_near_and_says_so()
    {
        var octaves = PublishedAttenuation.Of(PublishedAttenuation.RatingBands.Zip([Loss(21, 3.7), Loss(22, 3.3), Loss(23, 3.8), Loss(29, 4.7), Loss(41, 3.3), Loss(47, 3.4), Loss(36, 6.5)])
            .ToDictionary(p => p.First, p => p.Second), 10, AttenuationBasis.ThresholdShift);
        var rating = NoiseReductionRating.Of(octaves);
        Assert.True(rating.FromOctavesOnly);
        Assert.Equal(Example.Value.Decibels, rating.Value.Decibels, 1.0); // the 8 kHz band changes by 2.5 dB and carries a tenth of the protected energy
    }

    [Fact]
    public void A_missing_test_band_is_named() =>
        Assert.Contains("3150 Hz", Assert.Throws<ArgumentException>(() => NoiseReductionRating.Of(new Dictionary<Band, BandAttenuation>())).Message, StringComparison.Ordinal);

    /// <summary>Rules of selection, derating and limits, with the confidence noted in the table: all 24 rows.</summary>
    [Fact]
    public void Every_rule_of_the_table()
    {
        var rows = Reference.Read("hearing-protectors/rules.csv");
        Assert.Equal(24, rows.Count);
        var (a, c, nrr) = (Level.FromDecibels(100), Level.FromDecibels(105), Db(27));
        var seen = 0;
        foreach (var row in rows)
        {
            seen += 1;
            switch (row["rule"])
            {
                case "OSHA App. B, C-weighted data": Equal(105 - 27, EarLevelPrediction.ByNrr(c, nrr)); break;
                case "OSHA App. B, A-weighted data": Equal(100 - 20, EarLevelPrediction.ByNrrFromA(a, nrr)); break;
                case "OSHA field practice, 50 % factor (A data)": Equal(100 - 10, Deratings.ByNrrFromA(a, nrr, Derating.OshaHalf)); break;
                case "OSHA field practice, 50 % factor (C data)": Equal(105 - 13.5, Deratings.ByNrr(c, nrr, Derating.OshaHalf)); break;
                case "dual protection": Assert.Equal(32, DoubleProtection.UsualReduction(Db(20), Db(27)).Decibels, 1e-9); break;
                case "NIOSH derating earmuffs": Equal(105 - 27 * 0.75, Deratings.ByNrr(c, nrr, Derating.NioshEarmuff)); break;
                case "NIOSH derating slow-recovery formable earplugs": Equal(105 - 27 * 0.5, Deratings.ByNrr(c, nrr, Derating.NioshFormablePlug)); break;
                case "NIOSH derating other earplugs": Equal(105 - 27 * 0.3, Deratings.ByNrr(c, nrr, Derating.NioshOtherPlug)); break;
                case "NIOSH use with A-weighted level": Equal(100 - (27 * 0.75 - 7), Deratings.ByNrrFromA(a, nrr, Derating.NioshEarmuff)); break;
                case "UK HSE real-world allowance": Assert.Equal(4, Deratings.UkRealWorldAllowance.Decibels); break;
                case "EN 458 level at the ear: insufficient": At(85.1, ProtectionBand.Insufficient); break;
                case "EN 458 acceptable (low side of protection)": At(84.9, ProtectionBand.AcceptableLow); At(80.1, ProtectionBand.AcceptableLow); break;
                case "EN 458 good": At(79.9, ProtectionBand.Good); At(75.1, ProtectionBand.Good); break;
                case "EN 458 acceptable (high side)": At(74.9, ProtectionBand.AcceptableHigh); At(70.1, ProtectionBand.AcceptableHigh); break;
                case "EN 458 overprotection": At(69.9, ProtectionBand.TooQuiet); break;
                case "SLC80 class 1" or "SLC80 class 2" or "SLC80 class 3" or "SLC80 class 4" or "SLC80 class 5": Class(row["rule"][^1] - '0', row["value"]); break;
                case "bone-conduction limit":
                    Assert.Equal(40, DoubleProtection.AboutBoneConductionLimit(Frequency.FromHertz(2000)).Decibels);
                    Assert.InRange(DoubleProtection.AboutBoneConductionLimit(Frequency.FromHertz(500)).Decibels, 40, 60);
                    break;
                case "effect of imperfect wear time":
                    Assert.Equal(-10 * Math.Log10(0.9 * Math.Pow(10, -3) + 0.1), OffTime.EffectiveReduction(Db(30), 0.1).Decibels, 1e-9); break;
                case "difference below resolution": Assert.Equal(3, EarLevelPrediction.Insignificant.Decibels); break;
                case "SLC80 meaning": Assert.Contains("NOT found", row["source"], StringComparison.Ordinal); break; // so no SLC80 is calculated
                default: seen -= 1; break;
            }
        }

        Assert.Equal(rows.Count, seen);

        static void Equal(double expected, Level actual) => Assert.Equal(expected, actual.Decibels, 1e-9);
        static void At(double level, ProtectionBand band) => Assert.Equal(band, ProtectionBands.At(Level.FromDecibels(level), ProtectionBands.UsualActionLevel));
        static void Class(int number, string words)
        {
            var lowest = double.Parse(words.Split(' ', '-', ';').First(w => w.Length > 0 && char.IsDigit(w[0])), CultureInfo.InvariantCulture);
            var below = double.Parse(words.Split('<')[1].Trim(), CultureInfo.InvariantCulture);
            Assert.Equal(number, ProtectorClass.FromSlc80(Db(lowest))!.Number);
            Assert.NotEqual(number, ProtectorClass.FromSlc80(Db(lowest - 1))?.Number);
            Assert.Equal(number, ProtectorClass.ForExposure(Level.FromDecibels(below - 0.1))!.Number);
            Assert.NotEqual(number, ProtectorClass.ForExposure(Level.FromDecibels(below))?.Number);
        }
    }
}
