using Hushtrial.Web.Pages;
using Hushtrial.Web.Parts;

namespace Hushtrial.Web.Tests.Pages;

/// <summary>What stands in small type says more than what it stands below; formulas have their indices below and their exponents above the line.</summary>
public sealed class FieldHintsTests
{
    [Theory]
    [InlineData("What is measured. It stands on every figure, and the three are never mixed.", "What is measured", true)]
    [InlineData("When and by whom the margin was set.", "When the margin was set, by whom", true)]
    [InlineData("Mass.", "Mass", true)]
    [InlineData("Title of the trial.", "Title", true)]
    [InlineData("Vehicle or machine, by its general type.", "Vehicle", false)]
    [InlineData("Number of the channel in the recordings, from 1.", "Channel number", false)]
    public void A_first_sentence_without_a_word_of_its_own_repeats_the_label(string meaning, string label, bool repeats) =>
        Assert.Equal(repeats, FieldHints.Repeats(meaning, label));

    [Fact]
    public void What_follows_the_first_sentence_stays()
    {
        Assert.Equal("It stands on every figure.", FieldHints.Rest("What is measured. It stands on every figure."));
        Assert.Equal("", FieldHints.Rest("Mass."));
    }

    [Fact]
    public void Indices_stand_below_and_exponents_above_the_line()
    {
        Assert.Equal("IL = L<sub>open</sub>(t)", new Formula("IL = L_open(t)", "", "").Markup);
        Assert.Equal("10<sup>((m<sub>b</sub>)/10)</sup>x", new Formula("10^(((m_b)/10))x", "", "").Markup);
        Assert.DoesNotContain("<i>", new Formula("a_<i>", "", "").Markup, StringComparison.Ordinal);
    }
}
