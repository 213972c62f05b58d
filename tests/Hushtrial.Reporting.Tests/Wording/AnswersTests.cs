using System.Text.RegularExpressions;
using Hushtrial.Reporting.Report;
using Hushtrial.Reporting.Wording;
using Hushtrial.Tests.Samples;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Wording;

public sealed partial class AnswersTests
{
    [Theory]
    [InlineData("One sentence.", "One sentence.")]
    [InlineData("From Alder (with spectacles) 16.0 dB to 27.0 dB. The order is the same.", "From Alder (with spectacles) 16.0 dB to 27.0 dB.")]
    [InlineData("The week is below 87 dB(A) (EU directive 2003/10/EC). NIOSH knows no week.", "The week is below 87 dB(A) (EU directive 2003/10/EC).")]
    [InlineData("Worn by J. Doe all day. It was loud.", "Worn by J. Doe all day.")]
    [InlineData("Was it loud? ‘Duty day’ was.", "Was it loud?")]
    [InlineData("", "")]
    public void A_short_answer_is_the_first_sentence(string answer, string first) => Assert.Equal(first, Answers.FirstSentence(answer));

    [Fact]
    public async Task Every_short_answer_leads_to_a_heading_and_stands_there_again()
    {
        foreach (var results in new[] { Meaning.Results(), Heard.Results(), Helicopter.Results() })
        {
            var html = await HtmlReport.RenderAsync(results);
            var digest = Digest().Match(html);
            if (!InShort.HasAny(results))
            {
                Assert.False(digest.Success);
                continue;
            }
            var links = Link().Matches(digest.Value);
            Assert.Equal(Answers.OfMeaning(results).Count + Answers.OfListening(results).Count, links.Count);
            foreach (Match link in links) Assert.Contains($"<h3 id=\"{link.Groups[1].Value}\">{link.Groups[2].Value}</h3>", html[(digest.Index + digest.Length)..], StringComparison.Ordinal);
            var below = Regex.Replace(html[(digest.Index + digest.Length)..], "<[^>]+>", "");
            foreach (Match said in Said().Matches(digest.Value)) Assert.Contains(said.Groups[1].Value, below, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Where_nothing_is_calibrated_no_day_week_peak_or_loudness_is_answered()
    {
        var relative = Meaning.Results() with { Mode = TrialMode.Relative, RelativeReason = "Tried out.", Calibrations = [] };
        Assert.Contains(Answers.OfMeaning(Meaning.Results()), a => a.Id == "exposure");
        Assert.DoesNotContain(Answers.OfMeaning(relative), a => a.Id is "exposure" or "week" or "peaks" or "loudness");
        Assert.Contains(Answers.OfMeaning(relative), a => a.Id == "claims");
    }

    [GeneratedRegex("<dl class=\"in-short\">.*?</dl>", RegexOptions.Singleline)]
    private static partial Regex Digest();

    [GeneratedRegex("<dt><a href=\"#([^\"]+)\">([^<]+)</a></dt>")]
    private static partial Regex Link();

    [GeneratedRegex("<dd dir=\"auto\">([^<]+)</dd>")]
    private static partial Regex Said();
}
