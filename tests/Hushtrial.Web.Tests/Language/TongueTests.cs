using System.Text.RegularExpressions;
using Hushtrial.Web.Language;

namespace Hushtrial.Web.Tests.Language;

public sealed partial class TongueTests
{
    [Fact]
    public void Every_text_that_the_workspace_asks_for_has_its_German()
    {
        Assert.True(AskedTexts.All.Count > 900, $"Only {AskedTexts.All.Count} texts were gathered: the gathering is broken.");
        Assert.Equal([], AskedTexts.All.Where(t => !Tongue.German.Texts.ContainsKey(t.Key)).Select(t => $"{t.Value}: {t.Key}"));
    }

    [Fact]
    public void No_German_is_kept_that_nothing_asks_for() => Assert.Equal([], Tongue.German.Texts.Keys.Where(k => !AskedTexts.All.ContainsKey(k)));

    [Fact]
    public void A_translation_has_the_places_of_its_English() =>
        Assert.Equal([], Tongue.German.Texts.Where(t => !Places(t.Key).SetEquals(Places(t.Value))).Select(t => t.Key));

    [Fact]
    public void German_numbers_have_a_decimal_comma_and_a_true_minus()
    {
        Assert.Equal("−0,4", Tongue.German.Number(-0.42));
        Assert.Equal("0,0", Tongue.German.Number(-0.04));
        Assert.Equal("Wirkung auf das Ergebnis: etwa 1,5 dB", Tongue.German["Effect on the result: about {0} dB", 1.5]);
    }

    private static HashSet<string> Places(string text) => [.. Place().Matches(text).Select(m => m.Value)];

    [GeneratedRegex(@"\{\d+\}", RegexOptions.CultureInvariant)]
    private static partial Regex Place();
}
