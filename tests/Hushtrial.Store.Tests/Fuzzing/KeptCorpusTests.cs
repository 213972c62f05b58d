using Hushtrial.Fuzzing;
using Hushtrial.Tests;

namespace Hushtrial.Store.Tests.Fuzzing;

/// <summary>The inputs that fuzzing kept, and some thousand changes of them from a fixed seed. The long runs are in bench/Hushtrial.Fuzzing; docs/validation-fuzzing.md records them.</summary>
public sealed class KeptCorpusTests
{
    private static readonly string _corpus = Path.Combine(Reference.Root, "corpus");

    public static TheoryData<string> Targets => [.. FuzzTarget.All.Select(t => t.Name)];

    public static TheoryData<string> Found => [.. FuzzTarget.All.SelectMany(t => KeptCorpus.Found(_corpus, t.Name)).Select(f => Path.GetFileName(f))];

    [Theory, MemberData(nameof(Targets))]
    public void What_was_kept_is_read_as_it_must_be(string name)
    {
        var target = FuzzTarget.All.Single(t => t.Name == name);
        var kept = target.Seeds(_corpus).Concat(KeptCorpus.Read(_corpus, name)).ToList();
        var passed = kept.Count(input => Passes(target, input));
        // An input that no reader looks into tells nothing.
        Assert.True(passed * 10 >= kept.Count, $"{passed} of {kept.Count} pass the first door");
    }

    [Theory, MemberData(nameof(Targets))]
    public void Changes_of_it_are_read_as_they_must_be(string name)
    {
        var target = FuzzTarget.All.Single(t => t.Name == name);
        var kept = target.Seeds(_corpus).Concat(KeptCorpus.Read(_corpus, name)).ToList();
        var dice = new Dice(20_260_514);
        for (var i = 0; i < 200; i++)
        {
            var input = target.Mutate(dice.Of(kept), dice.Of(kept), dice);
            Passes(target, input.Length > target.MostBytes ? input[..target.MostBytes] : input);
        }
    }

    [Theory, MemberData(nameof(Found))]
    public void What_once_went_wrong_does_no_more(string file) =>
        Passes(FuzzTarget.All.Single(t => file.StartsWith(t.Name + ".", StringComparison.Ordinal)), File.ReadAllBytes(Path.Combine(_corpus, "fuzzing", "found", file)));

    [Fact]
    public void A_seed_repeats_a_run()
    {
        var target = FuzzTarget.All.Single(t => t.Name == "recordings");
        var kept = target.Seeds(_corpus);
        var (one, two) = (new Dice(5), new Dice(5));
        for (var i = 0; i < 200; i++) Assert.Equal(target.Mutate(one.Of(kept), one.Of(kept), one), target.Mutate(two.Of(kept), two.Of(kept), two));
    }

    private static bool Passes(FuzzTarget target, byte[] input)
    {
        try
        {
            return target.Execute(input);
        }
        catch (Exception e)
        {
            throw new InvalidOperationException($"{target.Name}: {e.Message} on {Convert.ToBase64String(input)}", e);
        }
    }
}
