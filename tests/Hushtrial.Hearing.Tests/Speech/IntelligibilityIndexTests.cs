using System.Globalization;
using CsCheck;
using Hushtrial.Hearing.Speech;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Speech;

public class IntelligibilityIndexTests
{
    private static readonly Gen<double[]> _levels = Gen.Double[-20, 90].Array[18];

    private static double[] Numbers(string cell) => [.. cell.Split(';').Select(v => double.Parse(v, CultureInfo.InvariantCulture))];

    private static double Sii(SpeechProcedure procedure, double[] speech, double[] noise, double[] threshold, double[] importance) =>
        IntelligibilityIndex.Of(new()
        {
            Procedure = procedure,
            Speech = [.. speech.Select(Level.FromDecibels)],
            Noise = [.. noise.Select(Level.FromDecibels)],
            Threshold = [.. threshold.Select(LevelDifference.FromDecibels)],
            Importance = importance,
        }).Value;

    private static SpeechProcedure Procedure(string name) => name switch
    {
        "octave" => SpeechProcedure.Octave,
        "one-third" => SpeechProcedure.ThirdOctave,
        "critical" => SpeechProcedure.CriticalBand,
        "equally contributing" => SpeechProcedure.EquallyContributing,
        _ => throw new InvalidOperationException(name),
    };

    private static double[] Speech(string cell, SpeechProcedure procedure) => cell.StartsWith("standard ", StringComparison.Ordinal)
        ? [.. IntelligibilityIndex.StandardSpeech(procedure, Enum.Parse<VocalEffort>(cell[9..], ignoreCase: true)).Select(l => l.Decibels)]
        : Numbers(cell);

    /// <summary>ANSI S3.5-1997, Annex C, and working-group files; ten digits are given: half of the last.</summary>
    [Fact]
    public void All_published_examples()
    {
        var rows = Reference.Read("speech/sii-examples.csv");
        Assert.Equal(10, rows.Count);
        foreach (var row in rows)
        {
            var procedure = Procedure(row["method"]);
            Assert.Equal(row.Number("sii"), Sii(procedure, Speech(row["speech"], procedure), Numbers(row["noise"]), Numbers(row["threshold"]), []), 6e-11);
        }
    }

    /// <summary>Results of the working group's reference program, all four procedures; ten digits.</summary>
    [Fact]
    public void All_results_of_the_working_groups_program()
    {
        var rows = Reference.Read("speech/sii-working-group.csv");
        Assert.Equal(17, rows.Count);
        foreach (var row in rows)
        {
            var sii = Sii(Procedure(row["method"]), Numbers(row["speech"]), Numbers(row["noise"]), Numbers(row["threshold"]), row["importance"] == "average" ? [] : Numbers(row["importance"]));
            Assert.True(Math.Abs(row.Number("sii") - sii) < 6e-11, $"{row["case"]} {row["method"]}: {row["sii"]} ≠ {sii}");
        }
    }

    /// <summary>ANSI S3.5-1997, Annex C.2: Z of the first three bands, printed to 0.01 (25.04 in print, 25.05 by the formula).</summary>
    [Fact]
    public void Intermediate_masking_of_example_C2()
    {
        var row = Reference.Read("speech/sii-examples.csv").Single(r => r["case"] == "C.2");
        var bands = IntelligibilityIndex.Of(new()
        {
            Procedure = SpeechProcedure.ThirdOctave,
            Speech = [.. Numbers(row["speech"]).Select(Level.FromDecibels)],
            Noise = [.. Numbers(row["noise"]).Select(Level.FromDecibels)],
        }).Bands;
        Assert.All(new[] { 40.00, 34.66, 25.05 }.Zip(bands), p => Assert.Equal(p.First, p.Second.Masking.Decibels, 0.006));
    }

    /// <summary>ANSI S3.5-1997, Tables 1, 3 and 4: every cell of importance, speech and internal noise.</summary>
    [Theory]
    [InlineData("speech/sii-third-octave.csv", SpeechProcedure.ThirdOctave, 18)]
    [InlineData("speech/sii-critical.csv", SpeechProcedure.CriticalBand, 21)]
    [InlineData("speech/sii-octave.csv", SpeechProcedure.Octave, 6)]
    public void Tables_of_the_procedures(string file, SpeechProcedure procedure, int count)
    {
        var rows = Reference.Read(file);
        Assert.Equal(count, rows.Count);
        var silence = Enumerable.Repeat(Level.FromDecibels(-300), count).ToArray();
        var bands = IntelligibilityIndex.Of(new() { Procedure = procedure, Speech = silence, Noise = silence }).Bands;
        var efforts = Enum.GetValues<VocalEffort>().Where(e => rows[0].ContainsKey(Column(e))).ToArray();
        for (var i = 0; i < count; i++)
        {
            Assert.Equal(rows[i].Number("hz"), bands[i].Midband.Hertz);
            Assert.Equal(rows[i].Number("importance"), bands[i].Importance, 1e-12);
            Assert.Equal(rows[i].Number("x_internal"), bands[i].Disturbance.Decibels, 1e-12);
            Assert.All(efforts, e => Assert.Equal(rows[i].Number(Column(e)), IntelligibilityIndex.StandardSpeech(procedure, e)[i].Decibels, 1e-12));
        }

        Assert.Equal(1, bands.Sum(b => b.Importance), 1e-9);

        static string Column(VocalEffort e) => "u_" + e.ToString().ToLowerInvariant();
    }

    /// <summary>ANSI S3.5-1997: overall levels of the standard speech spectra, printed to 0.01 dB.</summary>
    [Fact]
    public void Overall_levels_of_standard_speech()
    {
        double[] published = [62.35, 68.28, 74.86, 82.36];
        foreach (var effort in Enum.GetValues<VocalEffort>())
        {
            var levels = IntelligibilityIndex.StandardSpeech(SpeechProcedure.ThirdOctave, effort);
            var midbands = IntelligibilityIndex.Midbands(SpeechProcedure.ThirdOctave);
            var total = levels.Zip(midbands, (l, f) => Math.Pow(10, l.Decibels / 10) * f.Hertz * (Math.Pow(2, 1 / 6.0) - Math.Pow(2, -1 / 6.0))).Sum();
            Assert.Equal(published[(int)effort], 10 * Math.Log10(total), 0.006);
        }
    }

    /// <summary>The steps of the standard as formulas, one by one, on a case worked by hand with them.</summary>
    [Fact]
    public void Every_step_of_the_procedure()
    {
        var rows = Reference.Read("speech/sii-procedure.csv");
        Assert.Equal(10, rows.Count);
        double[] speech = [.. Enumerable.Repeat(50.0, 18)], noise = [.. Enumerable.Range(0, 18).Select(i => 40.0 - (2 * i))], threshold = [.. Enumerable.Range(0, 18).Select(i => i == 17 ? 60.0 : 0)];
        var table = Reference.Read("speech/sii-third-octave.csv");
        var bands = IntelligibilityIndex.Of(new()
        {
            Procedure = SpeechProcedure.ThirdOctave, Speech = [.. speech.Select(Level.FromDecibels)], Noise = [.. noise.Select(Level.FromDecibels)],
            Threshold = [.. threshold.Select(LevelDifference.FromDecibels)],
        }).Bands;
        var sum = 0.0;
        for (var i = 0; i < 18; i++)
        {
            double F(int k) => table[k].Number("hz");
            double B(int k) => Math.Max(noise[k], speech[k] - 24);
            double C(int k) => -80 + 0.6 * (B(k) + 10 * Math.Log10(F(k)) - 6.353);
            var z = i == 0 ? B(0) : 10 * Math.Log10(Math.Pow(10, 0.1 * noise[i]) + Enumerable.Range(0, i).Sum(k => Math.Pow(10, 0.1 * (B(k) + 3.32 * C(k) * Math.Log10(0.89 * F(i) / F(k))))));
            var d = Math.Max(z, table[i].Number("x_internal") + threshold[i]);
            var l = Math.Min(1, 1 - (speech[i] - table[i].Number("u_normal") - 10) / 160);
            var k = Math.Clamp((speech[i] - d + 15) / 30, 0, 1);
            Assert.Equal(z, bands[i].Masking.Decibels, 1e-9);
            Assert.Equal(d, bands[i].Disturbance.Decibels, 1e-9);
            Assert.Equal(l, bands[i].LevelDistortion, 1e-12);
            Assert.Equal(l * k, bands[i].Audibility, 1e-12);
            sum += table[i].Number("importance") * l * k;
        }

        Assert.Equal(sum, Sii(SpeechProcedure.ThirdOctave, speech, noise, threshold, []), 1e-12);
    }

    [Fact]
    public void The_index_lies_between_0_and_1_and_more_noise_never_helps() => Gen.Select(_levels, _levels, Gen.Int[0, 17], Gen.Double[0, 20]).Sample((speech, noise, band, rise) =>
    {
        var louder = noise.ToArray();
        louder[band] += rise;
        var (before, after) = (Sii(SpeechProcedure.ThirdOctave, speech, noise, [], []), Sii(SpeechProcedure.ThirdOctave, speech, louder, [], []));
        return before is >= 0 and <= 1 + 1e-12 && after <= before + 1e-12;
    });

    [Fact]
    public void A_wrong_number_of_bands_is_refused() =>
        Assert.Contains("18 bands", Assert.Throws<ArgumentException>(() => Sii(SpeechProcedure.ThirdOctave, new double[17], new double[18], [], [])).Message, StringComparison.Ordinal);
}
