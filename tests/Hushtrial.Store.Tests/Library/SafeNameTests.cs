using System.Text;
using CsCheck;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Tests.Library;

public sealed class SafeNameTests
{
    private static readonly string[] _awkward =
    [
        "../../etc/passwd", @"..\..\windows\system.ini", "/etc/shadow", @"C:\takes\flight 1.wav", "CON", "nul.wav", "com1.tar.wav", "LPT9", "COM¹.wav", "aux .wav", ".", "..", "...", "", " ", "\0", "a\nb.wav", "trailing.", "trailing ", ".wav", ".hidden",
        "Bu\u0308gel.wav", "Bügel.wav", "録音.wav", "🎧.wav", "half\ud83c.wav", "a:b.wav", "a*?\"<>|.wav", "take\u202egnp.wav", "\u200b", "~user", "name.with.many.dots.wav", "no-extension", "x.averyveryverylongextension", "con\u00a0.wav", "a/b/c.wav", "-rf", "%2e%2e", "#1.wav", "e\u0301e\u0301.wav",
        new string('x', 112) + " .u3MFHrjJSabcdef",
    ];

    public static TheoryData<int> Awkward => [.. Enumerable.Range(0, _awkward.Length)];

    [Theory, MemberData(nameof(Awkward))]
    public void Awkward_names_become_names_of_files(int index) => Holds(_awkward[index]);

    [Fact]
    public void Any_name_becomes_the_name_of_a_file() => Gen.OneOf(Gen.String[Gen.Char, 0, 300], Gen.String[Gen.Char["./\\: ~aN\u0308ß漢\ud83c\udfa7"], 0, 400]).Sample(Holds, iter: 5_000);

    [Theory]
    [InlineData(@"C:\takes\flight 1.wav", "flight 1.wav")]
    [InlineData("../../etc/passwd", "passwd")]
    [InlineData("nul.wav", "_nul.wav")]
    [InlineData("", "recording")]
    [InlineData("a:b.wav", "a_b.wav")]
    [InlineData("Bügel.wav", "Bügel.wav")]
    [InlineData("Bu\u0308gel.wav", "Bu\u0308gel.wav")]
    public void Names_stay_as_near_as_they_can(string given, string expected) => Assert.Equal(expected, SafeName.Of(given));

    [Fact]
    public void A_taken_name_is_numbered() => Assert.Equal("recordings/a-3.wav", SafeName.Fresh("recordings/a.wav", n => n is "recordings/a.wav" or "recordings/a-2.wav"));

    [Theory]
    [InlineData("flight-1.wav", true)]
    [InlineData("ground/quiet.wav", true)]
    [InlineData("Bügel 2.wav", true)]
    [InlineData("../x", false)]
    [InlineData("a/../x", false)]
    [InlineData("/x", false)]
    [InlineData("a//x", false)]
    [InlineData(@"a\x", false)]
    [InlineData("c:x", false)]
    [InlineData("a/nul.txt", false)]
    [InlineData("a/", false)]
    [InlineData("./a", false)]
    [InlineData("", false)]
    public void Names_in_packages_lead_inside(string name, bool isRelative) => Assert.Equal(isRelative, SafeName.IsRelative(name));

    private static void Holds(string given)
    {
        var name = SafeName.Of(given);
        Assert.True(SafeName.IsRelative(name), name);
        Assert.DoesNotContain('/', name);
        Assert.True(Encoding.UTF8.GetByteCount(name) <= 130, name);
        Assert.Equal(name, SafeName.Of(name));
        // The document takes it, with its folder in front.
        var draft = TrialDraft.Empty("t").Apply(new DraftEdit.Add("recordings", [new("id", TrialDraft.Empty("t").FreshId("recordings", name)), new("file", "recordings/" + name)])).Draft!;
        Assert.DoesNotContain(draft.Read().Problems, p => p.Path.StartsWith("recordings", StringComparison.Ordinal));
    }
}
