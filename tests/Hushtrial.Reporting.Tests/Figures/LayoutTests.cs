using CsCheck;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Figures;

namespace Hushtrial.Tests.Figures;

public sealed class LayoutTests
{
    [Fact]
    public void A_scale_holds_all_its_values_on_whole_steps() => Gen.Double[-200, 200].Array[1, 20].Sample(values =>
    {
        var scale = ValueScale.Covering(values, 6, withZero: true);
        return values.All(v => v >= scale.Low && v <= scale.High) && scale.Low <= 0 && scale.High >= 0
            && Math.Abs(Math.IEEERemainder(scale.Low, scale.Step)) < 1e-9 && scale.Ticks().Count() <= 9;
    });

    [Fact]
    public void Octave_labels_are_the_preferred_frequencies()
    {
        // Preferred frequencies: ISO 266:1997, table 1, octave series.
        var scale = FrequencyScale.Covering(Band.ThirdOctaves);
        Assert.Equal(["31.5", "63", "125", "250", "500", "1k", "2k", "4k", "8k", "16k"], scale.Ticks().Select(t => t.Label));
    }

    [Fact]
    public void Thirds_stand_at_equal_distances_at_their_exact_midbands()
    {
        var scale = FrequencyScale.Covering(Band.ThirdOctaves);
        var places = Band.ThirdOctaves.Select(b => scale.Place(b.ExactMidband.Hertz, 0, 310)).ToList();
        // 31 bands on 310 px: 10 px each, the first in the middle of its band; rounding of doubles only.
        Assert.All(places.Select((p, i) => p - (5 + (10 * i))), d => Assert.InRange(d, -1e-9, 1e-9));
    }

    [Fact]
    public void Cut_text_fits_its_room() => Gen.Select(Gen.String, Gen.Double[8, 200]).Sample((text, room) =>
        TextMetrics.Width(TextMetrics.Fit(text, 12, room), 12) <= Math.Max(room, 12.001));

    [Fact]
    public void Wrapped_lines_fit_and_lose_no_word_that_fits() => Gen.Char['a', 'z'].Array[1, 8].Select(c => new string(c)).Array[1, 20].Sample(words =>
        string.Join(' ', TextMetrics.Wrap(string.Join(' ', words), 12, 120)) == string.Join(' ', words)
        && TextMetrics.Wrap(string.Join(' ', words), 12, 120).All(l => TextMetrics.Width(l, 12) <= 120));

    [Fact]
    public void Widths_are_those_of_the_font()
    {
        // DejaVu Sans 2.37, hmtx table, read with a font reader: 'W' 989, '0' 636, space 318 thousandths of an em.
        Assert.Equal(9.89 + 6.36 + 3.18, TextMetrics.Width("W0 ", 10), 9);
        Assert.Equal(11.03, TextMetrics.Width("W", 10, bold: true), 9);
    }
}
