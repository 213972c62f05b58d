using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Wording;

public sealed class WordsTests
{
    [Theory]
    [InlineData(18.34, "18.3")]
    [InlineData(-0.04, "0.0")]
    [InlineData(-3.26, "\u22123.3")]
    [InlineData(100, "100.0")]
    public void Numbers_have_one_decimal_and_the_true_minus(double value, string expected) => Assert.Equal(expected, Words.Number(value));

    [Fact]
    public void An_estimate_reads_as_a_value_with_its_interval() =>
        Assert.Equal("18.3\u00A0dB (95\u00A0%: 16.5 to 20.1)", Words.Estimate(new Estimate(18.31, 16.49, 20.14, 0.9, null, [])));

    [Theory]
    [InlineData("from -3.2 to 4 dB", "from \u22123.2 to 4\u00A0dB")]
    [InlineData("2026-05-14, flight-1.wav", "2026-05-14, flight-1.wav")]
    [InlineData("(95 %: -1 to 2)", "(95\u00A0%: \u22121 to 2)")]
    public void A_sentence_keeps_its_units_and_gets_true_minus_signs(string written, string printed) => Assert.Equal(printed, Words.Sentence(written));

    [Theory]
    [InlineData(0, "0:00")]
    [InlineData(725, "12:05")]
    [InlineData(3725, "1:02:05")]
    [InlineData(-5, "\u22120:05")]
    public void A_clock_reads_in_minutes_and_seconds(double seconds, string expected) => Assert.Equal(expected, Words.Clock(seconds));

    [Theory]
    [InlineData(1, "1\u00A0donning")]
    [InlineData(6, "6\u00A0donnings")]
    [InlineData(0, "0\u00A0donnings")]
    public void Counts_agree_with_their_noun(int n, string expected) => Assert.Equal(expected, Words.Count(n, "donning"));
}
