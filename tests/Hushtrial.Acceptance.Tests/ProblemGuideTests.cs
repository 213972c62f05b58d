using System.Text.RegularExpressions;
using Hushtrial.Tests;

namespace Hushtrial.Acceptance.Tests;

public sealed partial class ProblemGuideTests
{
    [Fact]
    public void Every_code_of_a_problem_is_in_the_guide_and_none_is_there_in_vain()
    {
        var source = Directory.GetFiles(Path.Combine(Reference.Root, "src"), "*.cs", SearchOption.AllDirectories)
            .SelectMany(f => Code().Matches(File.ReadAllText(f)).Select(m => m.Groups["code"].Value)).ToHashSet();
        var guide = GuideCode().Matches(File.ReadAllText(Path.Combine(Reference.Root, "docs", "guide", "problems.md"))).Select(m => m.Groups["code"].Value).ToHashSet();
        Assert.True(source.Count > 150);
        Assert.Equal([], source.Except(guide).Order());
        Assert.Equal([], guide.Except(source).Order());
    }

    [GeneratedRegex("\"(?<code>(?!SHA)[A-Z]{3}-[0-9]{3})\"", RegexOptions.ExplicitCapture)]
    private static partial Regex Code();

    [GeneratedRegex(@"^\| (?<code>[A-Z]{3}-[0-9]{3}) ", RegexOptions.Multiline | RegexOptions.ExplicitCapture)]
    private static partial Regex GuideCode();
}
