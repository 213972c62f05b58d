using System.Globalization;
using CsCheck;
using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Ratings;

/// <summary>The worked example of ISO 4869-2:2018, annexes A to D, from the people's values to the level at the ear.</summary>
public class RatingsTests
{
    private static readonly Band[] _eight = [PublishedAttenuation.LowBand, .. PublishedAttenuation.RatingBands];
    private static readonly IReadOnlyList<IReadOnlyDictionary<string, string>> _people = Reference.Read("hearing-protectors/iso4869-2-subjects.csv");
    private static readonly IReadOnlyList<IReadOnlyDictionary<string, string>> _results = Reference.Read("hearing-protectors/iso4869-2-results.csv");

    private static LevelDifference Db(double value) => LevelDifference.FromDecibels(value);

    private static Dictionary<Band, LevelDifference>[] People { get; } =
        [.. _people.Select(r => _eight.ToDictionary(b => b, b => Db(r.Number(b.NominalHertz.ToString(CultureInfo.InvariantCulture)))))];

    private static PublishedAttenuation Published { get; } =
        PublishedAttenuation.OfPeople(_eight, [.. People.Select(p => _eight.Select(b => p[b]).ToArray())], AttenuationBasis.ThresholdShift);

    private static double[] Cells(string item) => [.. _eight.Select(b => Row(item).Number(b.NominalHertz.ToString(CultureInfo.InvariantCulture)))];

    private static double[] Values(string item) => [.. Row(item)["value"].Split(';').Select(v => double.Parse(v, CultureInfo.InvariantCulture))];

    private static IReadOnlyDictionary<string, string> Row(string item) => Assert.Single(_results, r => r["item"] == item);

    private static Spectrum Noise { get; } = Spectrum.Of(_eight, Cells("noise octave level Lp"));

    /// <summary>Annexes C and D: H, M, L, SNR and the reduction in noise 6 of each of 16 people, printed to 0.1 dB.</summary>
    [Fact]
    public void Ratings_of_every_person()
    {
        Assert.Equal(16, _people.Count);
        foreach (var (row, person) in _people.Zip(People))
        {
            var ratings = SingleNumberRatings.OfAttenuation(person);
            Assert.Equal(row.Number("h"), ratings.High.Decibels, 0.0501);
            Assert.Equal(row.Number("m"), ratings.Medium.Decibels, 0.0501);
            Assert.Equal(row.Number("l"), ratings.Low.Decibels, 0.0501);
            Assert.Equal(row.Number("snr"), ratings.Snr.Decibels, 0.0501);
            Assert.Equal(row.Number("pnr_noise6"), SingleNumberRatings.PredictedReduction(6, person).Decibels, 0.0501);
        }
    }

    [Fact]
    public void Every_printed_result_of_annexes_A_to_D()
    {
        Assert.Equal(17, _results.Count);
        // Printed to 0.1 dB: half of it; sums of rounded terms may be a further 0.05 away.
        Assert.All(_eight.Zip(Cells("mean m_f")), p => Assert.Equal(p.Second, Published[p.First]!.Value.Mean.Decibels, 0.0501));
        Assert.All(_eight.Zip(Cells("standard deviation s_f")), p => Assert.Equal(p.Second, Published[p.First]!.Value.StandardDeviation.Decibels, 0.0501));
        // The APV row is the difference of the rounded mean and deviation: up to 0.1 dB from the unrounded one.
        Assert.All(_eight.Zip(Cells("APV84 printed")), p => Assert.Equal(p.Second, Published.AssumedProtection(ProtectionPerformance.Usual)[p.First].Decibels, 0.1));
        Assert.All(_eight.Zip(Cells("A weighting")), p => Assert.Equal(p.Second, Weightings.At(FrequencyWeighting.A, p.First.ExactMidband).Decibels, 0.0501));
        Assert.All(_eight.Select((b, i) => (Noise[b]!.Value + Weightings.At(FrequencyWeighting.A, b.ExactMidband) - Published.AssumedProtection(ProtectionPerformance.Usual)[b], i)),
            p => Assert.Equal(Cells("Lp + A - APV")[p.i], p.Item1.Decibels, 0.16));

        var byOctaves = EarLevelPrediction.ByOctaves(Noise, Published, ProtectionPerformance.Usual).Decibels;
        Assert.Equal(Values("L'pA84 octave-band method")[0], byOctaves, 0.0501);
        Assert.Equal(81, Math.Round(byOctaves));
        var (a, c) = (Noise.Total(FrequencyWeighting.A), Noise.Total(FrequencyWeighting.C));
        Assert.Equal(Values("LpA of the noise")[0], a.Decibels, 0.05);
        Assert.Equal(Values("LpC of the noise")[0], c.Decibels, 0.05);

        var mean = SingleNumberRatings.OfPeople(People, ProtectionPerformance.OfPercent(50));
        Assert.All(Values("Hm;Mm;Lm").Zip([mean.High, mean.Medium, mean.Low]), p => Assert.Equal(p.First, p.Second.Decibels, 0.0501));
        var usual = SingleNumberRatings.OfPeople(People, ProtectionPerformance.Usual);
        Assert.All(Values("Hs;Ms;Ls").Zip([mean.High - usual.High, mean.Medium - usual.Medium, mean.Low - usual.Low]), p => Assert.Equal(p.First, p.Second.Decibels, 0.0501));
        Assert.All(Values("SNRm;SNRs").Zip([mean.Snr, mean.Snr - usual.Snr]), p => Assert.Equal(p.First, p.Second.Decibels, 0.0501));
        // The file gives the unrounded ones to 0.01 dB.
        Assert.All(new[] { 24.32, 17.91, 12.69, 20.74 }.Zip([usual.High, usual.Medium, usual.Low, usual.Snr]), p => Assert.Equal(p.First, p.Second.Decibels, 0.0051));
        Assert.All(Values("H84;M84;L84").Zip([usual.Rounded.High, usual.Rounded.Medium, usual.Rounded.Low]), p => Assert.Equal(p.First, p.Second.Decibels));
        Assert.Equal(Values("SNR84")[0], usual.Rounded.Snr.Decibels);

        // Annexes C and D go on from whole decibels of level, 104 dB(A) and 103 dB(C).
        var (wholeA, wholeC) = (Level.FromDecibels(104), Level.FromDecibels(103));
        Assert.Equal(Values("PNR84 by HML (LC-LA = -1)")[0], EarLevelPrediction.ReductionByHml(wholeC, wholeA, usual.Rounded).Decibels, 1e-9);
        Assert.Equal(Values("L'pA84 by HML")[0], EarLevelPrediction.ByHml(wholeC, wholeA, usual.Rounded).Decibels, 1e-9);
        Assert.Equal(Values("L'pA84 by SNR")[0], EarLevelPrediction.BySnr(wholeC, usual.Rounded.Snr).Decibels, 1e-9);
    }

    /// <summary>ISO 4869-1:2018, Table A.3: 16 people, printed mean, SD, u and U95; and the ratings computed from them outside this project.</summary>
    [Fact]
    public void Threshold_test_of_ISO_4869_1()
    {
        var rows = Reference.Read("hearing-protectors/iso4869-1-example.csv");
        Assert.Equal(20, rows.Count);
        var people = rows.Take(16).Select(r => PublishedAttenuation.RatingBands.ToDictionary(b => b, b => Db(r.Number(Name(b))))).ToArray();
        var published = PublishedAttenuation.OfPeople(PublishedAttenuation.RatingBands, [.. people.Select(p => PublishedAttenuation.RatingBands.Select(b => p[b]).ToArray())], AttenuationBasis.ThresholdShift);
        foreach (var band in PublishedAttenuation.RatingBands)
        {
            var (mean, deviation) = (published[band]!.Value.Mean, published[band]!.Value.StandardDeviation);
            var u = ThresholdTest.UncertaintyOfMean(deviation, published.Subjects!.Value);
            Assert.Equal(rows[16].Number(Name(band)), mean.Decibels, 0.0501);
            Assert.Equal(rows[17].Number(Name(band)), deviation.Decibels, 0.0501);
            Assert.Equal(rows[18].Number(Name(band)), u.Decibels, 0.0501);
            Assert.Equal(rows[19].Number(Name(band)), ThresholdTest.Expanded(u).Decibels, 0.0501);
        }

        var usual = SingleNumberRatings.OfPeople(people, ProtectionPerformance.Usual);
        Assert.All(new[] { 33.42, 27.61, 19.69, 29.65 }.Zip([usual.High, usual.Medium, usual.Low, usual.Snr]), p => Assert.Equal(p.First, p.Second.Decibels, 0.0101)); // difference of two values rounded to 0.01
        Assert.All(new[] { 33.0, 28, 20, 30 }.Zip([usual.Rounded.High, usual.Rounded.Medium, usual.Rounded.Low, usual.Rounded.Snr]), p => Assert.Equal(p.First, p.Second.Decibels));

        static string Name(Band b) => b.NominalHertz.ToString(CultureInfo.InvariantCulture);
    }

    /// <summary>ISO 4869-1:2018, Tables A.2 and B.2, and the smallest significant differences printed beside them.</summary>
    [Fact]
    public void Uncertainty_budget_of_ISO_4869_1()
    {
        var rows = Reference.Read("hearing-protectors/iso4869-1-uncertainty.csv");
        Assert.Equal(12, rows.Count);
        foreach (var row in rows)
        {
            var u = ThresholdTest.Combined(Db(row.Number("u_meth")), Db(row.Number("u_eq")), Db(row.Number("u_env")));
            Assert.Equal(row.Number("u"), u.Decibels, 0.0501);
            Assert.Equal(row.Number("u95"), ThresholdTest.Expanded(u).Decibels, 0.0501);
            if (row["range"] != "250 Hz-4 kHz") continue;
            var printed = (row["table"], row["protector"]) switch { ("A.2", "earplug") => 3.3, ("A.2", _) => 2.3, ("B.2", "earplug") => 9.3, _ => 6.9 };
            Assert.Equal(printed, ThresholdTest.SmallestSignificantDifference(Db(row.Number("u95")), Db(row.Number("u95"))).Decibels, 0.0501);
        }
    }

    /// <summary>ISO 4869-2:2018, Tables 2 and 3: the noises are the constants themselves, so that a rating of flat attenuation returns it.</summary>
    [Fact]
    public void Reference_noises()
    {
        var rows = Reference.Read("hearing-protectors/iso4869-2-reference-noises.csv");
        Assert.Equal(9, rows.Count);
        for (var i = 0; i < 9; i++)
        {
            double[] levels = [.. PublishedAttenuation.RatingBands.Select(b => rows[i].Number(b.NominalHertz.ToString(CultureInfo.InvariantCulture)))];
            // A protector of huge loss in all but one band shows the level of that band.
            for (var k = 0; k < 7; k++)
            {
                var single = PublishedAttenuation.RatingBands.Select((b, j) => (b, Db(j == k ? 0 : 200))).ToDictionary(x => x.b, x => x.Item2);
                var reduction = i < 8 ? SingleNumberRatings.PredictedReduction(i + 1, single) : SingleNumberRatings.OfAttenuation(single).Snr;
                Assert.Equal(100 - levels[k], reduction.Decibels, 1e-6);
            }

            // Printed to 0.1 dB per band, the sums come to 100 dB within 0.06; pink noise has 98.99 dB(A) at 100 dB(C).
            Assert.Equal(i < 8 ? 100 : 98.99, 10 * Math.Log10(levels.Sum(l => Math.Pow(10, l / 10))), 0.061);
        }

        // The constants d, through H, M and L of flat attenuation: they add up to 0 within their rounding, so a flat loss rates as itself.
        Assert.Equal(0.01, rows.Take(4).Sum(r => r.Number("d")), 1e-9);
        Assert.Equal(0, rows.Skip(4).Take(4).Sum(r => r.Number("d")), 1e-9);
        var flat = SingleNumberRatings.OfAttenuation(PublishedAttenuation.RatingBands.ToDictionary(b => b, _ => Db(20)));
        Assert.Equal(20, flat.Medium.Decibels, 0.06); // the noises' sums, as above
        Assert.Equal(20, flat.Low.Decibels, 0.06);
        Assert.Equal(20, flat.High.Decibels, 0.16); // and 0.48 · 0.01 · 20 = 0.1 from the sum of the constants
        Assert.Equal(21.01, flat.Snr.Decibels, 0.01); // 100 dB(C) are 98.99 dB(A)
    }

    [Fact]
    public void The_two_editions_agree_within_a_decibel_on_the_standards_example()
    {
        var (people, means) = (SingleNumberRatings.OfPeople(People, ProtectionPerformance.Usual), SingleNumberRatings.OfMeans(Published, ProtectionPerformance.Usual));
        Assert.All(new[] { (people.High, means.High), (people.Medium, means.Medium), (people.Low, means.Low), (people.Snr, means.Snr) },
            p => Assert.InRange((p.Item1 - p.Item2).Decibels, -1, 1));
        Assert.Equal(21, means.Rounded.Snr.Decibels);
    }

    /// <summary>ISO 4869-2:2018, Table 1, as in the table of formulas; and its note that the factors are normal quantiles.</summary>
    [Theory]
    [InlineData(50, 0.00)]
    [InlineData(75, 0.67)]
    [InlineData(80, 0.84)]
    [InlineData(84, 1.00)]
    [InlineData(90, 1.28)]
    [InlineData(95, 1.64)]
    [InlineData(98, 2.00)]
    [InlineData(97.5, 1.95996)]
    public void Factors_of_protection_performance(double percent, double alpha)
    {
        Assert.Contains(FormattableString.Invariant($"{(percent == 97.5 ? 0 : alpha):0.00} ("), Reference.Read("hearing-protectors/rating-formulas.csv")[0]["formula"], StringComparison.Ordinal);
        Assert.Equal(alpha, ProtectionPerformance.OfPercent(percent).Alpha, 0.00001);
    }

    [Fact]
    public void HML_is_continuous_and_hits_its_three_ratings() => Gen.Select(Gen.Double[15, 40], Gen.Double[10, 30], Gen.Double[5, 25]).Sample((h, m, l) =>
    {
        var ratings = new SingleNumberRatings(Db(h), Db(m), Db(l), Db(0));
        double At(double d) => EarLevelPrediction.ReductionByHml(Level.FromDecibels(100 + d), Level.FromDecibels(100), ratings).Decibels;
        return Math.Abs(At(-2) - h) < 1e-9 && Math.Abs(At(2) - m) < 1e-9 && Math.Abs(At(10) - l) < 1e-9 && Math.Abs(At(2 + 1e-9) - At(2)) < 1e-6;
    });

    [Fact]
    public void More_attenuation_never_lowers_the_level_less() => Gen.Select(Gen.Double[0, 40].Array[7], Gen.Int[0, 6], Gen.Double[0, 10]).Sample((attenuation, band, more) =>
    {
        Dictionary<Band, LevelDifference> Of(double add) => PublishedAttenuation.RatingBands.Select((b, i) => (b, Db(attenuation[i] + (i == band ? add : 0)))).ToDictionary(x => x.b, x => x.Item2);
        return SingleNumberRatings.OfAttenuation(Of(more)).Snr.Decibels >= SingleNumberRatings.OfAttenuation(Of(0)).Snr.Decibels - 1e-9;
    });

    [Fact]
    public void Octave_exercise_of_a_public_page()
    {
        // A worked exercise on a public page: 107.8 dB(A) outside, 86.9 dB(A) under the protector; its levels and losses are given to 0.1 dB.
        var noise = Spectrum.Of(_eight, [69.6, 74.0, 75.9, 77.3, 100.1, 105.8, 77.9, 57.1]);
        double[] loss = [8.6, 12.2, 13.9, 15.8, 16.4, 22.9, 24.6, 22.7];
        var published = PublishedAttenuation.Of(_eight.Zip(loss).ToDictionary(p => p.First, p => new BandAttenuation(Db(p.Second), Db(0))), null, AttenuationBasis.ThresholdShift);
        Assert.Equal(107.8, noise.Total(FrequencyWeighting.A).Decibels, 0.0501);
        Assert.Equal(86.9, EarLevelPrediction.ByOctaves(noise, published, ProtectionPerformance.Usual).Decibels, 0.0501);
    }

    [Fact]
    public void A_missing_octave_is_named() => Assert.Contains("250 Hz", Assert.Throws<ArgumentException>(() => PublishedAttenuation.Of(
        PublishedAttenuation.RatingBands.Where(b => b.Index != -2).ToDictionary(b => b, _ => new BandAttenuation(Db(20), Db(3))), 16, AttenuationBasis.ThresholdShift)).Message, StringComparison.Ordinal);
}
