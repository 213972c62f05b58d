using CsCheck;
using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Loudness;

public class StationaryLoudnessTests
{
    private static readonly Gen<double[]> _levels = Gen.Double[-20, 110].Array[28];

    private static Spectrum Thirds(IReadOnlyList<double> dB) => Spectrum.Of(StationaryLoudness.Bands, dB);

    private static double Sone(IReadOnlyList<double> dB, SoundField field = SoundField.Free) => StationaryLoudness.Of(Thirds(dB), field).Total.Value;

    /// <summary>ISO 532-1:2017, Annex B.2, test signal 1.</summary>
    [Fact]
    public void Check_signal_1_gives_the_published_loudness()
    {
        var rows = Reference.Read("loudness/iso532-1-signal1.csv");
        Assert.Equal(28, rows.Count);
        Assert.All(rows.Zip(StationaryLoudness.Bands), p => Assert.Equal(p.First.Number("third_octave_hz"), p.Second.NominalHertz));
        var result = StationaryLoudness.Of(Thirds([.. rows.Select(r => r.Number("level_db"))]), SoundField.Free);
        // The result is printed to four decimals: half a unit of the last.
        Assert.Equal(83.2957, result.Total.Value, 0.00005);
        Assert.Equal(103.80, result.Level.Value, 0.005);
        Assert.Equal(240, result.Specific.Count);
    }

    /// <summary>ISO 532-1:2017, Annex B: published stationary results with the acceptance limits of the standard. The tones need
    /// one-third-octave levels; they follow here from the analytic response of third-order Butterworth band filters.</summary>
    [Fact]
    public void Published_results_lie_inside_the_standards_limits()
    {
        var rows = Reference.Read("loudness/iso532-1-results.csv");
        Assert.Equal(3, rows.Count);
        foreach (var row in rows)
        {
            var spectrum = row["signal"] switch
            {
                "1" => Thirds([.. Reference.Read("loudness/iso532-1-signal1.csv").Select(r => r.Number("level_db"))]),
                "3" => Tone(1000, 60),
                "4" => Tone(4000, 40),
                var other => throw new InvalidOperationException(other),
            };
            Assert.InRange(StationaryLoudness.Of(spectrum, SoundField.Free).Total.Value, row.Number("n_min"), row.Number("n_max"));
        }
    }

    /// <summary>ISO 532-1:2017, Annex B.3, test signal 2 (250 Hz, 80 dB): 14.655 sone, from memory; the standard accepts 5 %.</summary>
    [Fact]
    public void Check_signal_2_lies_inside_the_standards_limits() =>
        Assert.InRange(StationaryLoudness.Of(Tone(250, 80), SoundField.Free).Total.Value, 14.655 * 0.95, 14.655 * 1.05);

    private static Spectrum Tone(double hertz, double level)
    {
        const double q = 4.33; // 1 / (10^0.05 − 10^−0.05): half-power edges at the base-ten band edges
        return Thirds([.. StationaryLoudness.Bands.Select(b =>
        {
            var ratio = hertz / b.ExactMidband.Hertz;
            return level - 10 * Math.Log10(1 + Math.Pow(q * (ratio - 1 / ratio), 6));
        })]);
    }

    [Fact]
    public void Silence_has_no_loudness_and_3_phon()
    {
        var result = StationaryLoudness.Of(Thirds(Enumerable.Repeat(-60.0, 28).ToArray()), SoundField.Diffuse);
        Assert.Equal(0, result.Total.Value);
        Assert.Equal(3, result.Level.Value);
        Assert.All(result.Specific, n => Assert.Equal(0, n));
    }

    [Fact]
    public void Raising_one_band_never_lowers_the_loudness() => Gen.Select(_levels, Gen.Int[0, 27], Gen.Double[0, 20], Gen.Bool).Sample((dB, band, rise, diffuse) =>
    {
        var field = diffuse ? SoundField.Diffuse : SoundField.Free;
        var raised = dB.ToArray();
        raised[band] += rise;
        // The low-frequency corrections are piecewise constant in level and never turn a rise into a fall: 0.05 % for the steps of the slopes.
        return Sone(raised, field) >= Sone(dB, field) * 0.9995;
    });

    [Fact]
    public void Specific_loudness_adds_up_to_the_loudness() => _levels.Sample(dB =>
    {
        var result = StationaryLoudness.Of(Thirds(dB), SoundField.Free);
        // A sum of steps of 0.1 Bark for an integral of stretches that may end anywhere: a step's height at each of some 20 edges.
        return Math.Abs(result.Specific.Sum() * 0.1 - result.Total.Value) <= 0.02 * result.Total.Value + 0.1 * result.Specific.Max();
    });

    [Fact]
    public void A_pure_tone_of_1_kHz_doubles_its_loudness_every_10_dB()
    {
        // The definition of the sone; the method follows it within the 5 % it is accepted with.
        foreach (var level in new[] { 50.0, 60, 70, 80 })
            Assert.InRange(StationaryLoudness.Of(Tone(1000, level + 10), SoundField.Free).Total.Value
                / StationaryLoudness.Of(Tone(1000, level), SoundField.Free).Total.Value, 1.9, 2.1);
    }

    [Fact]
    public void A_missing_band_is_refused_by_name()
    {
        var few = Spectrum.Of(StationaryLoudness.Bands.Skip(1).ToArray(), Enumerable.Repeat(60.0, 27).ToArray());
        Assert.Contains("25 Hz", Assert.Throws<ArgumentException>(() => StationaryLoudness.Of(few, SoundField.Free)).Message, StringComparison.Ordinal);
    }

    /// <summary>Definitions of ISO 532-1 and their examples.</summary>
    [Fact]
    public void Sone_and_phon_follow_their_definition()
    {
        var rows = Reference.Read("loudness/sone-phon.csv");
        Assert.Equal(11, rows.Count);
        var seen = 0;
        foreach (var row in rows)
        {
            seen += 1;
            switch (row["item"])
            {
                case "N >= 1 sone": Assert.Equal(40 + 33.219 * Math.Log10(5), Hearing.Loudness.Sone.FromValue(5).ToPhon().Value, 0.001); break; // 33.219 has three decimals
                case "N < 1 sone": Assert.Equal(40 * Math.Pow(0.2005, 0.35), Hearing.Loudness.Sone.FromValue(0.2).ToPhon().Value, 1e-9); break;
                case "N from LN >= 40": Assert.Equal(Math.Pow(2, 2.5), Phon.FromValue(65).ToSone().Value, 1e-9); break;
                case "40 phon" or "50 phon" or "60 phon" or "80 phon":
                    Assert.Equal(row.Number("value"), Phon.FromValue(double.Parse(row["item"][..2], System.Globalization.CultureInfo.InvariantCulture)).ToSone().Value, 1e-9); break;
                case "N ratio 0.5": Assert.Equal(-10, Hearing.Loudness.Sone.FromValue(4).ToPhon().Value - Hearing.Loudness.Sone.FromValue(8).ToPhon().Value, 1e-9); break;
                case "N = 8.2 sone": Assert.Equal(row.Number("value"), Hearing.Loudness.Sone.FromValue(8.2).ToPhon().Value, 0.005); break; // printed to 0.01
                case "change 16 -> 12 sone":
                    Assert.Equal(row.Number("value"), Hearing.Loudness.Sone.FromValue(12).ToPhon().Value - Hearing.Loudness.Sone.FromValue(16).ToPhon().Value, 0.005); break;
                case "loudness ratio of a 6 phon drop":
                    Assert.Equal(row.Number("value"), Phon.FromValue(64).ToSone().Value / Phon.FromValue(70).ToSone().Value, 0.00005); break; // printed to 0.0001
                default: seen -= 1; break;
            }
        }

        Assert.Equal(rows.Count, seen);
    }
}
