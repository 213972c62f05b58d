namespace Hushtrial.Cli.Tests.Files;

/// <summary>'hear' writes over its own sounds and over nobody else's. Invented data.</summary>
public sealed class HeardFolderTests : IDisposable
{
    private const string Trial = """
        hushtrial: 1
        trial: { title: A muff on a tractor, quantity: insertion-loss, design: readings-only }
        devices: [{ id: oak, name: Oak, kind: over-ear }]
        conditions: [{ id: oak, device: oak }]
        runs: [{ id: R }]
        takes:
          - { id: T1, condition: open, reading_bands: { 125: 90, 250: 88, 500: 86, 1000: 84, 2000: 80, 4000: 74 } }
          - { id: T2, condition: oak, fit: D1, reading_bands: { 125: 82, 250: 74, 500: 62, 1000: 54, 2000: 48, 4000: 40 } }
          - { id: T3, condition: open, reading_bands: { 125: 90, 250: 88, 500: 86, 1000: 84, 2000: 80, 4000: 74 } }
        """;

    private readonly TemporaryFolder _at = new();

    public HeardFolderTests() => File.WriteAllText(_at["trial.yaml"], Trial);

    public void Dispose() => _at.Dispose();

    [Theory]
    [InlineData("00-cabin.wav")]
    [InlineData("all-in-order.wav")]
    [InlineData("read-first.txt")]
    public async Task A_file_of_somebody_else_stops_it(string name)
    {
        await File.WriteAllTextAsync(_at[name], "what somebody recorded", TestContext.Current.CancellationToken);
        (await CommandRun.Of("hear", _at.Path, "--to", _at.Path)).IsWrongUse(name, "nothing was written", "new or an empty folder");
        Assert.Equal(new[] { name, "trial.yaml" }.Order(), Directory.GetFiles(_at.Path).Select(f => Path.GetFileName(f)).Order());
        Assert.Equal("what somebody recorded", await File.ReadAllTextAsync(_at[name], TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task Its_own_sounds_are_written_anew()
    {
        Assert.Equal(0, (await CommandRun.Of("hear", _at.Path, "--to", _at["sounds"])).ExitCode);
        Assert.Equal(0, (await CommandRun.Of("hear", _at.Path, "--to", _at["sounds"])).ExitCode);
    }
}
