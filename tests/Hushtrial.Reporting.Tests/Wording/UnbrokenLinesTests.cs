using Hushtrial.Reporting.Wording;

namespace Hushtrial.Tests.Wording;

/// <summary>What belongs together stays in one line; what a person or a program wrote stays as it is.</summary>
public sealed class UnbrokenLinesTests
{
    [Theory]
    [InlineData("<p>26.7 dB, A-weighted (95 %: 25.3 to 28.2)</p>", "<p>26.7\u00A0dB, A\u2011weighted (95\u00A0%: 25.3 to 28.2)</p>")]
    [InlineData("<p>4 kHz, 12 s and 3 hours in 2 sets</p>", "<p>4\u00A0kHz, 12\u00A0s and 3 hours in 2 sets</p>")]
    [InlineData("<p>A-bewertet, E-mail, LA-1</p>", "<p>A\u2011bewertet, E-mail, LA-1</p>")]
    [InlineData("<input value=\"95 %\"><textarea>95 % of 3 dB</textarea><code>--level 94 dB</code>", "<input value=\"95 %\"><textarea>95 % of 3 dB</textarea><code>--level 94 dB</code>")]
    [InlineData("<title>94 dB</title><svg><text>94 dB</text></svg><script>var a = '94 dB'</script>", "<title>94 dB</title><svg><text>94 dB</text></svg><script>var a = '94 dB'</script>")]
    public void A_unit_stays_with_its_number(string page, string expected) => Assert.Equal(expected, UnbrokenLines.In(page));
}
