using CsCheck;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

public sealed class KnownWordsTests
{
    /// <summary>The example pair of every text on edit distance: kitten → sitting needs 3 edits (Levenshtein's distance).</summary>
    [Theory]
    [InlineData("kitten", "sitting", 3)]
    [InlineData("", "abc", 3)]
    [InlineData("abc", "abc", 0)]
    [InlineData("titel", "title", 1)]
    [InlineData("ca", "abc", 3)]
    public void Distances_are_the_published_ones(string a, string b, int distance) => Assert.Equal(distance, KnownWords.Distance(a, b));

    [Theory]
    [InlineData("titel", "title")]
    [InlineData("Insertion Loss", "insertion-loss")]
    [InlineData("mass", "mass_g")]
    [InlineData("altitude", "altitude_ft")]
    [InlineData("opn", "open")]
    [InlineData("sponsor", null)]
    [InlineData("x", null)]
    [InlineData("", null)]
    public void The_nearest_word_is_named_only_when_it_is_near(string word, string? near) =>
        Assert.Equal(near, KnownWords.Nearest(word, ["title", "insertion-loss", "mass_g", "altitude_ft", "open", "funding", "id"]));

    [Fact]
    public void Distance_is_symmetric_and_bounded() => Gen.Select(Gen.String[Gen.Char['a', 'e'], 0, 12], Gen.String[Gen.Char['a', 'e'], 0, 12]).Sample((a, b) =>
        KnownWords.Distance(a, b) == KnownWords.Distance(b, a)
        && KnownWords.Distance(a, b) <= Math.Max(a.Length, b.Length) && KnownWords.Distance(a, b) >= Math.Abs(a.Length - b.Length)
        && KnownWords.Distance(a, b) == 0 == (a == b));
}
