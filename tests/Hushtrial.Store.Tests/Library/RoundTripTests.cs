using Hushtrial.Store.Library;
using Hushtrial.Tests;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Tests.Library;

public sealed class RoundTripTests : IDisposable
{
    private readonly LibraryFixture _at = new();

    public void Dispose() => _at.Dispose();

    [Fact]
    public void Every_good_document_goes_in_and_out_as_it_was_written()
    {
        var documents = Directory.GetFiles(Path.Combine(Reference.Root, "corpus", "trials"), "good.*.yaml");
        Assert.True(documents.Length > 5);
        foreach (var document in documents)
        {
            var folder = _at.At(Path.GetFileName(document));
            Directory.CreateDirectory(folder);
            File.Copy(document, Path.Combine(folder, "trial.yaml"));
            var outcome = _at.Library.ImportFolder(folder);
            Assert.True(outcome.Trial is not null, string.Join("\n", outcome.Problems));
            Assert.All(outcome.Problems, p => Assert.Equal("IMP-011", p.Code));
            _at.Library.ExportFolder(outcome.Trial.Id, folder + ".out");
            Assert.Equal(File.ReadAllText(document), File.ReadAllText(Path.Combine(folder + ".out", "trial.yaml")));
            using var zip = new MemoryStream();
            _at.Library.ExportZip(outcome.Trial.Id, zip);
            zip.Position = 0;
            Assert.Equal(File.ReadAllText(document), _at.Library.ImportZip(zip, new()).Trial!.Draft.Text);
        }
    }

    [Fact]
    public void A_document_that_was_changed_outside_becomes_the_newest_revision()
    {
        var trial = _at.Edit(_at.Create(), new DraftEdit.Set("trial.purpose", "which is better"));
        _at.Library.ExportFolder(trial.Id, _at.At("out"));
        var text = File.ReadAllText(_at.At("out/trial.yaml")) + "# looked at in the field\n";
        File.WriteAllText(_at.At("out/trial.yaml"), text);
        var again = _at.Library.ImportFolder(_at.At("out"), "me").Trial!;
        Assert.Equal((3, text), (again.Revision, again.Draft.Text));
        Assert.Equal(["Document changed outside the library", "Trial: purpose which is better", "Begun"], _at.Library.History(again.Id).Select(r => r.Summary));
        Assert.Equal(trial.Draft.Text, _at.Library.Undo(again.Id)!.Draft.Text);
    }

    [Fact]
    public void A_recording_that_was_changed_outside_is_taken_and_named()
    {
        var trial = _at.Create();
        _at.Upload(trial.Id, "a.wav", LibraryFixture.Recording());
        _at.Library.ExportFolder(trial.Id, _at.At("out"));
        File.WriteAllBytes(_at.At("out/recordings/a.wav"), LibraryFixture.Recording(seed: 9));
        var outcome = _at.Library.ImportFolder(_at.At("out"));
        Assert.Equal("IMP-012", Assert.Single(outcome.Problems).Code);
        Assert.NotEqual(_at.Library.Find(trial.Id)!.Files[0].Sha256, outcome.Trial!.Files[0].Sha256);
    }

    [Fact]
    public void Nothing_is_written_over()
    {
        var trial = _at.Create();
        Directory.CreateDirectory(_at.At("full"));
        File.WriteAllText(_at.At("full/notes.txt"), "mine");
        Assert.Throws<WrongUseException>(() => _at.Library.ExportFolder(trial.Id, _at.At("full")));
        Assert.Equal("mine", File.ReadAllText(Assert.Single(Directory.GetFiles(_at.At("full")))));
        Assert.Throws<WrongUseException>(() => _at.Library.ExportZip(Guid.NewGuid(), Stream.Null));
    }
}
