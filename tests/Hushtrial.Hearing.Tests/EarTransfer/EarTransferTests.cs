using CsCheck;
using Hushtrial.Hearing.EarTransfer;
using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.EarTransfer;

public class EarTransferTests
{
    private static readonly Band[] _octaves = [.. Enumerable.Range(-5, 9).Select(Band.Octave)];

    private static (Spectrum Cabin, Dictionary<string, double[]> Columns) Vector()
    {
        var rows = Reference.Read("ear-transfer/built-vector.csv");
        Assert.Equal(9, rows.Count);
        Assert.All(rows.Zip(_octaves), p => Assert.Equal(p.First.Number("hz"), p.Second.NominalHertz));
        var columns = rows[0].Keys.ToDictionary(k => k, k => rows.Select(r => r.Number(k)).ToArray());
        return (Spectrum.Of(_octaves, columns["cabin"]), columns);
    }

    private static Spectrum Moved(Spectrum s, params double[][] changes) =>
        Spectrum.Of(_octaves, [.. s.Entries.Select((e, i) => e.Value.Decibels + changes.Sum(c => c[i]))]);

    private static double[] Minus(double[] x) => [.. x.Select(v => -v)];

    private static double A(Spectrum s) => s.Total(FrequencyWeighting.A).Decibels;

    /// <summary>ISO 11904-1:2002, open ear at the eardrum, as tabulated.</summary>
    [Fact]
    public void Every_entry_of_the_eardrum_columns()
    {
        var rows = Reference.Read("ear-transfer/iso11904-1-eardrum.csv");
        Assert.Equal(19, rows.Count);
        var (free, diffuse) = (EarTransferFunction.Published(EarMicrophone.Eardrum, SoundField.Free)!, EarTransferFunction.Published(EarMicrophone.Eardrum, SoundField.Diffuse)!);
        foreach (var row in rows)
        {
            var band = Band.FromNominal(BandFraction.ThirdOctave, row.Number("third_octave_hz"))!.Value;
            Assert.Equal(row.Number("delta_ff_drum_db"), free[band]!.Value.Decibels, 1e-9);
            Assert.Equal(row.Number("delta_df_drum_db"), diffuse[band]!.Value.Decibels, 1e-9);
        }

        Assert.Equal(0, diffuse[Band.ThirdOctave(-10)]!.Value.Decibels);
    }

    /// <summary>The built vector: three different dB(A) for one device, computed outside this project to 0.1 dB.</summary>
    [Fact]
    public void One_device_reads_18_5_and_15_2_and_14_9_dB()
    {
        var (cabin, c) = Vector();
        var gain = EarTransferFunction.Of(_octaves.Zip(c["ear_gain"]).ToDictionary(p => p.First, p => LevelDifference.FromDecibels(p.Second)), "built vector");
        var (open, passive, active) = (Moved(cabin, c["ear_gain"]), Moved(cabin, Minus(c["passive"]), c["ear_gain"]),
            Moved(cabin, Minus(c["passive"]), Minus(c["active_part"]), c["ear_gain"]));
        var quantities = EarQuantities.Of(cabin, open, passive, gain);
        Assert.Equal(18.5, quantities.RawInsertionLossA.Decibels, 0.051);
        Assert.Equal(15.2, quantities.FieldRelatedReductionA.Decibels, 0.051);
        Assert.Equal(14.9, quantities.LevelDifferenceA.Decibels, 0.051);
        Assert.Equal(100.7, A(open), 0.051);
        var withActive = EarQuantities.Of(cabin, open, active, gain);
        Assert.Equal(27.6, withActive.FieldRelatedReductionA.Decibels, 0.051);
        Assert.Equal(25.7, withActive.LevelDifferenceA.Decibels, 0.051);
        // The measured function of the same two spectra is the ear gain itself.
        Assert.All(_octaves.Zip(c["ear_gain"]), p => Assert.Equal(p.Second, EarTransferFunction.Measured(open, cabin)[p.First]!.Value.Decibels, 1e-9));
    }

    [Fact]
    public void Totals_of_the_built_vector()
    {
        var (cabin, c) = Vector();
        double[] totals = [.. new[] { FrequencyWeighting.A, FrequencyWeighting.C, FrequencyWeighting.Z }.Select(w => cabin.Total(w).Decibels)];
        Assert.All(totals.Zip([97.1, 109.8, 110.2]), p => Assert.Equal(p.Second, p.First, 0.051));
        var passive = Moved(cabin, Minus(c["passive"]));
        Assert.Equal(81.9, A(passive), 0.051);
        Assert.Equal(69.5, A(Moved(passive, Minus(c["active_part"]))), 0.051);
        Assert.Equal(5.8, A(Moved(passive, c["spectacles_loss"])) - A(passive), 0.051);
        Assert.Equal(80.9, (passive[Band.Octave(-3)]!.Value + Weightings.At(FrequencyWeighting.A, Band.Octave(-3).ExactMidband)).Decibels, 0.051);
    }

    [Fact]
    public void In_a_flat_cabin_the_three_numbers_part_by_10_dB()
    {
        var (_, c) = Vector();
        var cabin = Spectrum.Of(_octaves, [.. Enumerable.Repeat(90.0, 9)]);
        var gain = EarTransferFunction.Of(_octaves.Zip(c["ear_gain"]).ToDictionary(p => p.First, p => LevelDifference.FromDecibels(p.Second)), "built vector");
        var quantities = EarQuantities.Of(cabin, Moved(cabin, c["ear_gain"]), Moved(cabin, Minus(c["passive"]), c["ear_gain"]), gain);
        Assert.Equal(33.8, quantities.RawInsertionLossA.Decibels, 0.051);
        Assert.Equal(28.3, quantities.FieldRelatedReductionA.Decibels, 0.051);
        Assert.Equal(23.6, quantities.LevelDifferenceA.Decibels, 0.051);
    }

    /// <summary>Definitions and identities of microphone-in-real-ear work.</summary>
    [Fact]
    public void The_relations_of_the_quantities_hold()
    {
        var rows = Reference.Read("ear-transfer/concepts.csv");
        Assert.Equal(10, rows.Count);
        Gen.Select(Gen.Double[60, 110], Gen.Double[60, 110], Gen.Double[40, 100]).Sample((field, open, covered) =>
        {
            var band = Band.ThirdOctave(3);
            Spectrum S(double level) => Spectrum.Of([band], [level]);
            var transfer = EarTransferFunction.Measured(S(open), S(field));
            // IL = NR + TFOE with the outside microphone in the field, and field-related level = Lc − TFOE.
            var quantities = EarQuantities.Of(S(field), S(open), S(covered), transfer);
            return Math.Abs(quantities.RawInsertionLossA.Decibels - quantities.LevelDifferenceA.Decibels - transfer[band]!.Value.Decibels) < 1e-9
                && Math.Abs(transfer.FieldRelated(S(covered)).Levels[band]!.Value.Decibels - (covered - (open - field))) < 1e-9
                && Math.Abs(quantities.FieldRelatedReductionA.Decibels - (open - covered)) < 1e-9;
        });
    }

    [Fact]
    public void Octave_means_of_the_published_function()
    {
        var octaves = EarTransferFunction.Published(EarMicrophone.Eardrum, SoundField.Diffuse)!.ToOctaves();
        // 4 kHz: 15.7, 12.9 and 10.6 dB in equal thirds: 10 lg of the mean of 37.15, 19.50 and 11.48.
        Assert.Equal(10 * Math.Log10((37.153 + 19.498 + 11.482) / 3), octaves[Band.Octave(2)]!.Value.Decibels, 0.001);
        Assert.Null(octaves[Band.Octave(4)]); // 16 kHz lies above the table
    }

    [Theory]
    [InlineData(EarMicrophone.OpenCanalEntrance)]
    [InlineData(EarMicrophone.BlockedCanalEntrance)]
    [InlineData(EarMicrophone.Concha)]
    [InlineData(EarMicrophone.UnderCup)]
    public void Where_no_column_is_at_hand_the_program_says_so(EarMicrophone microphone)
    {
        Assert.Null(EarTransferFunction.Published(microphone, SoundField.Diffuse));
        Assert.NotEmpty(EarTransferFunction.WhyNotPublished(microphone)!);
    }

    [Fact]
    public void Bands_without_a_value_are_dropped_by_name()
    {
        var spectrum = Spectrum.Of([Band.ThirdOctave(0), Band.ThirdOctave(12)], [70, 60.0]);
        var related = EarTransferFunction.Published(EarMicrophone.Eardrum, SoundField.Diffuse)!.FieldRelated(spectrum);
        Assert.Equal([Band.ThirdOctave(12)], related.Dropped);
        Assert.Equal(65.9, related.Levels[Band.ThirdOctave(0)]!.Value.Decibels, 1e-9);
    }
}
