using System.Globalization;
using CsCheck;
using Hushtrial.Hearing.Speech;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Speech;

public class SpeechMeasuresTests
{
    /// <summary>IEC 60268-16:2011, Annex M, last step: printed 0.76.</summary>
    [Fact]
    public void Transmission_index_of_the_example()
    {
        var rows = Reference.Read("speech/sti-example.csv");
        Assert.Equal(7, rows.Count);
        var sti = TransmissionIndex.Of([.. rows.Select(r => r.Number("mti"))]);
        Assert.Equal(0.7595, sti, 0.00005); // recomputed to four digits
        Assert.Equal(0.76, sti, 0.005);
        // The weights: a band alone shows its alpha, two neighbours their beta.
        for (var k = 0; k < 7; k++)
        {
            Assert.Equal(rows[k].Number("alpha_male"), TransmissionIndex.Of([.. Enumerable.Range(0, 7).Select(i => i == k ? 1.0 : 0)]), 1e-12);
            if (k == 6) continue;
            var pair = TransmissionIndex.Of([.. Enumerable.Range(0, 7).Select(i => i == k || i == k + 1 ? 1.0 : 0)]);
            Assert.Equal(rows[k].Number("beta_male"), rows[k].Number("alpha_male") + rows[k + 1].Number("alpha_male") - pair, 1e-12);
        }

        Assert.Equal(1, TransmissionIndex.Of([1, 1, 1, 1, 1, 1, 1]), 1e-9);
        Assert.Equal(1 + Math.Log10(0.5), TransmissionIndex.CommonScale(0.5)!.Value, 1e-12);
        Assert.Equal(0.5, TransmissionIndex.OfSignalToNoise(LevelDifference.Zero), 1e-12);
    }

    /// <summary>ISO 9921:2003, table of ratings as summarised by its working group's convenor.</summary>
    [Fact]
    public void Rating_words()
    {
        var rows = Reference.Read("speech/rating-words.csv");
        Assert.Equal(5, rows.Count);
        foreach (var row in rows)
        {
            var word = Enum.Parse<SpeechRating>(row["rating"], ignoreCase: true);
            Assert.Equal(word, SpeechRatings.FromSti(Inside(row["sti"], 0.01)));
            Assert.Equal(word, SpeechRatings.FromSpeechOverInterference(Inside(row["sil_db"], 0.1)));
            if (row["sii"].Length == 0) continue;
            var range = SpeechRatings.FromSii(Inside(row["sii"], 0.01));
            Assert.InRange(word, range.Worst, range.Best);
        }

        // A value just inside a cell such as '>0.75', '<3' or '0.45-0.60'.
        static double Inside(string cell, double step) => cell[0] switch
        {
            '>' => double.Parse(cell[1..], CultureInfo.InvariantCulture) + step,
            '<' => double.Parse(cell[1..], CultureInfo.InvariantCulture) - step,
            _ => double.Parse(cell.Split('-')[0], CultureInfo.InvariantCulture) + step,
        };
    }

    [Fact]
    public void Interference_level_is_the_mean_of_four_octaves()
    {
        var octaves = Spectrum.Of([.. Enumerable.Range(-3, 6).Select(Band.Octave)], [90, 80, 70, 66, 62, 58.0]);
        Assert.Equal(64, InterferenceLevel.Of(octaves)!.Value.Decibels, 1e-9);
        Assert.Null(InterferenceLevel.Of(Spectrum.Of([Band.Octave(0)], [70.0])));
    }

    private static Spectrum Cabin(double level) => Spectrum.Of([.. Enumerable.Range(-10, 20).Select(Band.ThirdOctave)], [.. Enumerable.Repeat(level, 20)]);

    [Fact]
    public void A_quieter_ear_understands_the_radio_better()
    {
        double At(double noise) => RadioSpeech.Over(Cabin(noise), Level.FromDecibels(85), VocalEffort.Raised, RadioSpeech.UsualChannel, []).Index.Value;
        Assert.True(At(50) > At(65) && At(65) > At(80));
        Assert.InRange(At(40), 0.3, 0.9); // a channel of 300 Hz to 3.4 kHz holds about 0.8 of the importance
    }

    [Fact]
    public void Scaled_speech_has_the_stated_A_weighted_level()
    {
        // In the noiseless limit of the index nothing shows the level; the masking of the first band, speech − 24 dB, does.
        var quiet = RadioSpeech.Over(Cabin(-80), Level.FromDecibels(80), VocalEffort.Normal, null, []);
        var louder = RadioSpeech.Over(Cabin(-80), Level.FromDecibels(90), VocalEffort.Normal, null, []);
        Assert.Equal(10, (louder.Index.Bands[0].Masking - quiet.Index.Bands[0].Masking).Decibels, 1e-9);
        // ANSI S3.5-1997 normal speech is 62.35 dB overall; its A-weighted level, summed from Table 3 by hand, is 59.1 dB(A).
        var standard = IntelligibilityIndex.StandardSpeech(SpeechProcedure.ThirdOctave, VocalEffort.Normal);
        var moved = quiet.Index.Bands[0].Masking.Decibels + 24 - standard[0].Decibels;
        Assert.InRange(80 - moved, 58.5, 60);
    }

    [Fact]
    public void More_speech_level_helps_until_it_distorts() => Gen.Double[40, 70].Sample(noise =>
    {
        double At(double speech) => RadioSpeech.Over(Cabin(noise), Level.FromDecibels(speech), VocalEffort.Loud, null, []).Index.Value;
        return At(noise + 30) > At(noise) && At(noise + 10) >= At(noise);
    });

    [Fact]
    public void Octaves_are_judged_by_the_octave_procedure() =>
        Assert.Equal(6, RadioSpeech.Over(Cabin(60).ToOctaves(), Level.FromDecibels(85), VocalEffort.Raised, null, []).Index.Bands.Count);
}
