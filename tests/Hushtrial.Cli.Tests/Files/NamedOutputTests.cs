using Hushtrial.Cli.Files;
using Hushtrial.Reporting.Exports;
using Hushtrial.Store;
using Hushtrial.Tests;

namespace Hushtrial.Cli.Tests.Files;

/// <summary>What a person has is never written over: documents, recordings and other inputs stay as they are.</summary>
public sealed class NamedOutputTests : IDisposable
{
    private const string Own = "what somebody measured";

    private readonly TemporaryFolder _at = new();

    public NamedOutputTests()
    {
        File.Copy(Path.Combine(Reference.Root, "corpus", "trials", "good.readings-only.yaml"), _at["trial.yaml"]);
        foreach (var name in new[] { "ride.wav", "ride.FLAC", "other.yml", "notes.txt" }) File.WriteAllText(_at[name], Own);
    }

    public void Dispose() => _at.Dispose();

    private string[] Placed(string[] args) => [.. args.Select(a => a.Replace("AT", _at.Path, StringComparison.Ordinal))];

    [Theory]
    [InlineData("ride.wav", "report", "AT", "--out", "AT/ride.wav")]
    [InlineData("ride.FLAC", "report", "AT", "--out", "AT/ride.FLAC")]
    [InlineData("trial.yaml", "report", "AT", "--out", "AT/trial.yaml")]
    [InlineData("other.yml", "report", "AT/trial.yaml", "--out", "AT/other.yml")]
    [InlineData("rep.docx", "report", "AT", "--out", "AT/rep.docx")]
    [InlineData("rep", "report", "AT", "--out", "AT/rep")]
    [InlineData("ride.wav", "plan", "Ash", "Elm", "--out", "AT/ride.wav")]
    [InlineData("trial.yaml", "plan", "Ash", "Elm", "--out", "AT/trial.yaml")]
    [InlineData("notes.txt", "plan", "Ash", "Elm", "--out", "AT/notes.txt")]
    public async Task A_page_is_written_as_a_page_only(string file, params string[] args)
    {
        var before = File.Exists(_at[file]) ? await File.ReadAllBytesAsync(_at[file], TestContext.Current.CancellationToken) : null;
        (await CommandRun.Of(Placed(args))).IsWrongUse(".htm", "nothing was written");
        Assert.Equal(before, File.Exists(_at[file]) ? await File.ReadAllBytesAsync(_at[file], TestContext.Current.CancellationToken) : null);
    }

    [Fact]
    public async Task A_link_with_the_name_of_a_page_does_not_lead_to_a_recording()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        File.CreateSymbolicLink(_at["report.html"], "ride.wav");
        (await CommandRun.Of("report", _at.Path)).IsWrongUse("ride.wav");
        Assert.Equal(Own, await File.ReadAllTextAsync(_at["ride.wav"], TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task Pages_are_written_anew()
    {
        foreach (var name in new[] { "report.html", "cards.HTM" }) await File.WriteAllTextAsync(_at[name], "<html>of yesterday", TestContext.Current.CancellationToken);
        Assert.Equal(0, (await CommandRun.Of("report", _at.Path)).ExitCode);
        Assert.Equal(0, (await CommandRun.Of("plan", "Ash", "Elm", "--out", _at["cards.HTM"])).ExitCode);
        foreach (var name in new[] { "report.html", "cards.HTM" }) Assert.EndsWith("</html>", (await File.ReadAllTextAsync(_at[name], TestContext.Current.CancellationToken)).TrimEnd(), StringComparison.Ordinal);
        if (File.Exists("/dev/null")) Assert.Equal(0, (await CommandRun.Of("plan", "Ash", "Elm", "--out", "/dev/null")).ExitCode);
    }

    /// <summary>A table that somebody keeps in the folder under a name of ours, and one that is an input of the trial.</summary>
    [Fact]
    public async Task Tables_of_others_stay()
    {
        await File.WriteAllTextAsync(_at["bands.csv"], "hz,level\n500,70\n", TestContext.Current.CancellationToken);
        (await CommandRun.Of("analyse", _at.Path, "--out", _at.Path)).IsWrongUse("bands.csv", "nothing was written");
        Assert.False(File.Exists(_at["results.json"]));
        Directory.CreateDirectory(_at["out"]);
        var cabins = _at["out/cabins.csv"];
        await File.WriteAllTextAsync(cabins, "hz,level\n125,90\n250,88\n500,86\n1000,84\n", TestContext.Current.CancellationToken);
        (await CommandRun.Of("analyse", _at.Path, "--out", _at["out"], "--cabins", cabins)).IsWrongUse("cabins.csv' is an input", "nothing was written");
        Assert.Single(Directory.GetFiles(_at["out"]));
    }

    /// <summary>Tables of an earlier version are ours, with columns that it did not have yet.</summary>
    [Fact]
    public void Tables_of_an_earlier_analysis_may_be_replaced()
    {
        ExportFile[] files = [new("pairs.csv", "text/csv", "first,second,verdict,more\n"u8.ToArray()), new("results.json", "application/json", "{\"hushtrial\":{}}"u8.ToArray())];
        File.WriteAllText(_at["pairs.csv"], "first,second,verdict\r\na,b,different\r\n");
        File.WriteAllText(_at["results.json"], "{\n  \"hushtrial\": {\n");
        NamedOutput.MustBeOurs(_at.Path, files);
        File.WriteAllText(_at["results.json"], "{ \"mine\": 1 }");
        Assert.Contains("results.json", Assert.Throws<WrongUseException>(() => NamedOutput.MustBeOurs(_at.Path, files)).Message, StringComparison.Ordinal);
    }
}
