using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Tests.Library;

/// <summary>A recording of several files in the library: its parts come in, are opened as one, and go out and in again.</summary>
public sealed class SplitRecordingTests : IDisposable
{
    private const string Document = """
        hushtrial: 1
        trial: { title: Split on the way, quantity: insertion-loss, design: sequential }
        channels: [{ id: ear, where: ear, number: 1 }]
        recordings:
          - { id: f1, files: [f1-1.wav, f1-2.wav], run: F1 }
          - { id: f2, channel_files: { 1: a.wav, 3: [b-1.wav, b-2.wav] }, run: F1 }
        devices: [{ id: elm, kind: over-ear }]
        conditions: [{ id: elm, device: elm }]
        runs: [{ id: F1 }]
        takes: []
        """;

    private static readonly string[] _names = ["f1-1.wav", "f1-2.wav", "a.wav", "b-1.wav", "b-2.wav"];

    private readonly LibraryFixture _at = new();

    public void Dispose() => _at.Dispose();

    private StoredTrial Whole()
    {
        var trial = _at.Library.Create(TrialDraft.FromText(Document, "trial.yaml").Draft!, "Begun", "me");
        foreach (var (seed, name) in _names.Index())
        {
            var state = _at.Upload(trial.Id, name, LibraryFixture.Recording(name is "b-1.wav" ? 1800 : name is "b-2.wav" ? 3000 : 4800, (uint)(seed + 1)));
            Assert.Equal((null, name), (state.Problem, state.File));
        }
        return _at.Library.Find(trial.Id)!;
    }

    [Fact]
    public void Parts_that_the_document_awaits_take_their_places_and_are_opened_as_one()
    {
        var trial = Whole();
        Assert.Equal(["f1", "f2"], trial.Draft.Ids("recordings"));
        using var opened = _at.Library.Open(trial);
        Assert.True(opened.Readable, string.Join('\n', opened.Problems));
        Assert.Equal((9600L, 2), (opened.Recording("f1")!.Recording!.Frames, opened.Recording("f1")!.Recording!.Channels));
        Assert.Equal((4800L, 4), (opened.Recording("f2")!.Recording!.Frames, opened.Recording("f2")!.Recording!.Channels));
        Assert.Equal(_names, opened.Inputs.Skip(1).Select(i => i.File));
        Assert.Equal(2, new[] { "f1", "f2" }.Select(id => opened.Recording(id)!.Sha256).Except(opened.Inputs.Select(i => i.Sha256)).Count());
    }

    [Fact]
    public void Export_and_import_carry_every_part()
    {
        var trial = Whole();
        using var zip = new MemoryStream();
        _at.Library.ExportZip(trial.Id, zip);
        zip.Position = 0;
        var outcome = _at.Library.ImportZip(zip, new());
        Assert.Empty(outcome.Problems);
        Assert.Equal(trial.Files.Select(f => (f.Name, f.Sha256)).Order(), outcome.Trial!.Files.Select(f => (f.Name, f.Sha256)).Order());
        using var opened = _at.Library.Open(outcome.Trial);
        Assert.Equal(9600L, opened.Recording("f1")!.Recording!.Frames);
    }

    [Fact]
    public void A_part_that_is_not_here_is_told()
    {
        var trial = _at.Library.Create(TrialDraft.FromText(Document, "trial.yaml").Draft!, "Begun", "me");
        _at.Upload(trial.Id, "f1-1.wav", LibraryFixture.Recording());
        using var opened = _at.Library.Open(_at.Library.Find(trial.Id)!);
        Assert.Null(opened.Recording("f1"));
        Assert.Contains(opened.Problems, p => p.Code == "LIB-004" && p.Where.Contains("f1-2.wav", StringComparison.Ordinal));
    }
}
