using System.Globalization;
using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Ratings;

public class ActiveEarmuffTests
{
    private static readonly Band[] _octaves = [PublishedAttenuation.LowBand, .. PublishedAttenuation.RatingBands];
    private static readonly double[] _reat = [11.7, 15.7, 8.6, 10.7, 25.6, 22.7, 43.0, 38.0];
    private static readonly double[] _octaveTotals = [30.1, 38.4, 29.1, 16.2, 17.5, 22.5, 34.2, 37.1];

    /// <summary>ISO 4869-6:2019, calculation workbook, subject 1: every step, which the workbook rounds to 0.1 dB.</summary>
    [Fact]
    public void The_whole_chain_for_one_person()
    {
        var rows = Reference.Read("hearing-protectors/iso4869-6-subject1.csv");
        Assert.Equal(24, rows.Count);
        Band[] bands = [.. rows.Select(r => Band.FromNominal(BandFraction.ThirdOctave, r.Number("third_octave_hz"))!.Value)];
        Spectrum Column(string name) => Spectrum.Of(bands, [.. rows.Select(r => r.Number(name))]);
        var person = new ActiveEarLevels(Column("passive_left"), Column("passive_right"), Column("active_left"), Column("active_right"));
        var reat = _octaves.Zip(_reat).ToDictionary(p => p.First, p => LevelDifference.FromDecibels(p.Second));
        var (active, passive) = (ActiveEarmuff.ActivePart(person), ActiveEarmuff.PassiveAtThirds(reat, bands));
        foreach (var (row, band) in rows.Zip(bands))
        {
            Assert.Equal(row.Number("lower_ear_active_il"), active[band].Decibels, 1e-9); // differences of tenths
            Assert.Equal(row.Number("reat_third"), passive[band].Decibels, 0.0501); // rounded
            Assert.Equal(row.Number("total_third"), active[band].Decibels + Math.Round(passive[band].Decibels, 1, MidpointRounding.AwayFromZero), 1e-9);
        }

        var total = ActiveEarmuff.TotalByOctave(person, reat, decimals: 1);
        Assert.Equal(_octaves, total.Keys.Order());
        Assert.All(_octaves.Zip(_octaveTotals), p => Assert.Equal(p.Second, total[p.First].Decibels, 1e-9));
        Assert.All(_octaves.Zip(_octaveTotals), p => Assert.Equal(p.Second, ActiveEarmuff.TotalByOctave(person, reat, null)[p.First].Decibels, 0.11)); // two roundings of 0.05 dB
    }

    /// <summary>ISO 4869-6:2019, Table A.3: 16 people, mean and SD to 0.1 dB (the SD at 8 kHz is 0.65, printed 0.6).</summary>
    [Fact]
    public void Active_loss_of_16_people()
    {
        var rows = Reference.Read("hearing-protectors/iso4869-6-active-loss.csv");
        Assert.Equal(18, rows.Count);
        var published = PublishedAttenuation.OfPeople(_octaves, [.. rows.Take(16).Select(r => _octaves.Select(b => LevelDifference.FromDecibels(r.Number(Name(b)))).ToArray())], AttenuationBasis.EarMicrophone);
        foreach (var band in _octaves)
        {
            Assert.Equal(rows[16].Number(Name(band)), published[band]!.Value.Mean.Decibels, 0.0501);
            Assert.Equal(rows[17].Number(Name(band)), published[band]!.Value.StandardDeviation.Decibels, band.NominalHertz == 8000 ? 0.055 : 0.0501);
        }

        // Table A.2: u_meth 0.6, u_eq 0.3, u_env 0.4 give u 0.78 and U95 1.6 dB.
        var u = ThresholdTest.Combined(LevelDifference.FromDecibels(0.6), LevelDifference.FromDecibels(0.3), LevelDifference.FromDecibels(0.4));
        Assert.Equal(0.78, u.Decibels, 0.005);
        Assert.Equal(1.6, ThresholdTest.Expanded(u).Decibels, 0.05);

        static string Name(Band b) => b.NominalHertz.ToString(CultureInfo.InvariantCulture);
    }

    [Fact]
    public void The_formulas_of_the_table_are_all_in_use()
    {
        // Each formula is proved by an example of this folder; the table itself carries no number to check but Table 1's factors.
        string[] proved = ["APV_fx", "L'pAx octave-band", "PNR_i", "H_j", "M_j", "L_j", "H_x,M_x,L_x,SNR_x", "PNR_x for LC-LA <= 2", "PNR_x for LC-LA >= 2", "SNR_j", "L'pAx by SNR",
            "REAT uncertainty of the mean", "difference of two tests significant if", "active earmuff total attenuation"];
        Assert.Equal(proved, Reference.Read("hearing-protectors/rating-formulas.csv").Select(r => r["name"]));
    }
}
