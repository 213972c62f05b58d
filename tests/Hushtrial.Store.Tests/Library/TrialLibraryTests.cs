using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Tests.Library;

public sealed class TrialLibraryTests : IDisposable
{
    private readonly LibraryFixture _at = new();

    private TrialLibrary Library => _at.Library;

    public void Dispose() => _at.Dispose();

    [Fact]
    public void What_was_created_and_edited_is_there_after_opening_again()
    {
        var trial = _at.Create();
        trial = _at.Edit(trial, new DraftEdit.Add("devices", [new("id", "elm"), new("kind", "over-ear")]));
        _at.Reopen();
        var found = Library.Find(trial.Id)!;
        Assert.Equal((2, trial.Draft.Text, true, false), (found.Revision, found.Draft.Text, found.CanUndo, found.CanRedo));
        var listed = Assert.Single(Library.List());
        Assert.Equal((trial.Id, "Two on a tractor", 2, 1, 0, 0), (listed.Id, listed.Title, listed.Revision, listed.Devices, listed.Takes, listed.Recordings));
        Assert.Equal([("Device elm added", "me", 2, (int?)1, true), ("Begun", "me", 1, null, false)], Library.History(trial.Id).Select(r => (r.Summary, r.Author, r.Number, r.Parent, r.IsHead)));
    }

    [Fact]
    public void Undo_and_redo_follow_the_branch_that_was_left_and_nothing_is_dropped()
    {
        var trial = _at.Create();
        foreach (var title in new[] { "a", "b" }) trial = _at.Edit(trial, new DraftEdit.Set("trial.title", title));
        Assert.Equal("a", Library.Undo(trial.Id)!.Title);
        trial = _at.Edit(Library.Find(trial.Id)!, new DraftEdit.Set("trial.title", "c"));
        Assert.False(trial.CanRedo);
        Assert.Equal("a", Library.Undo(trial.Id)!.Title);
        Assert.Equal("c", Library.Redo(trial.Id)!.Title);
        Assert.Null(Library.Redo(trial.Id));
        var restored = Library.Restore(trial.Id, 3, "you")!;
        Assert.Equal(("b", 5), (restored.Title, restored.Revision));
        Assert.Equal("c", Library.Undo(trial.Id)!.Title);
        Assert.Equal("b", Library.DraftAt(trial.Id, 3)!.Value("trial.title"));
        Assert.Equal([4, 2, 2, 1, null], Library.History(trial.Id).Select(r => r.Parent));
        Library.Undo(trial.Id);
        Library.Undo(trial.Id);
        Assert.Null(Library.Undo(trial.Id));
        Assert.Null(Library.Undo(Guid.NewGuid()));
    }

    [Fact]
    public void An_edit_from_an_older_state_is_merged_where_nobody_touched_the_place_and_is_a_conflict_where_somebody_did()
    {
        var seen = _at.Edit(_at.Create(), new DraftEdit.Add("devices", [new("id", "elm"), new("kind", "over-ear")]));
        var head = _at.Edit(seen, new DraftEdit.Set("devices[elm].kind", "helmet"));
        var merged = Assert.IsType<EditOutcome.Saved>(Library.Edit(seen.Id, seen.Revision, new DraftEdit.Set("devices[elm].mass_g", "300"), "you")).Trial;
        Assert.Equal(("helmet", "300"), (merged.Draft.Value("devices[elm].kind"), merged.Draft.Value("devices[elm].mass_g")));
        var conflict = Assert.IsType<EditOutcome.Conflict>(Library.Edit(seen.Id, seen.Revision, new DraftEdit.Set("devices[elm].kind", "on-ear"), "you"));
        Assert.Equal(("devices[elm].kind", "helmet", "on-ear", merged.Revision), (conflict.Path, conflict.Theirs, conflict.Yours, conflict.Head.Revision));
        Assert.IsType<EditOutcome.Saved>(Library.Edit(seen.Id, seen.Revision, new DraftEdit.Set("devices[elm].kind", "helmet"), "you"));
        _at.Edit(merged, new DraftEdit.Remove("devices", "elm"));
        Assert.Null(Assert.IsType<EditOutcome.Conflict>(Library.Edit(seen.Id, head.Revision, new DraftEdit.Set("devices[elm].mass_g", "1"), "you")).Theirs);
        Assert.IsType<EditOutcome.Conflict>(Library.Edit(seen.Id, seen.Revision, new DraftEdit.Replace("trial: { title: z }"), "you"));
        Assert.Equal("LIB-002", Assert.IsType<EditOutcome.Refused>(Library.Edit(seen.Id, 99, new DraftEdit.Set("trial.title", "x"), "you")).Problem.Code);
    }

    [Fact]
    public void Two_that_add_the_same_identity_are_in_conflict()
    {
        var seen = _at.Create();
        _at.Edit(seen, new DraftEdit.Add("devices", [new("id", "elm"), new("kind", "over-ear")]));
        var conflict = Assert.IsType<EditOutcome.Conflict>(Library.Edit(seen.Id, seen.Revision, new DraftEdit.Add("devices", [new("id", "elm"), new("kind", "helmet")]), "you"));
        Assert.Equal("devices[elm]", conflict.Path);
        Assert.IsType<EditOutcome.Saved>(Library.Edit(seen.Id, seen.Revision, new DraftEdit.Add("devices", [new("id", "fir"), new("kind", "helmet")]), "you"));
    }

    [Fact]
    public void An_ordinal_means_another_entry_where_somebody_moved_the_list()
    {
        var seen = _at.Edit(_at.Create(), new DraftEdit.Several([new DraftEdit.Add("calibrations", [new("level_db", "94")]), new DraftEdit.Add("calibrations", [new("level_db", "94")])]));
        _at.Edit(seen, new DraftEdit.Remove("calibrations", "#0"));
        Assert.Equal("calibrations", Assert.IsType<EditOutcome.Conflict>(Library.Edit(seen.Id, seen.Revision, new DraftEdit.Set("calibrations[#0].level_db", "114"), "you")).Path);
    }

    [Fact]
    public void An_upload_becomes_a_recording_of_the_document()
    {
        var trial = _at.Create();
        var bytes = LibraryFixture.Recording();
        var state = _at.Upload(trial.Id, @"C:\Takes\Flight 1: cruise.WAV", bytes);
        Assert.Null(state.Problem);
        Assert.Equal((true, "recordings/Flight 1_ cruise.WAV", "Flight-1_-cruise"), (state.Finished, state.File, state.Recording));
        Assert.Equal(Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(bytes)), state.Sha256);
        var found = Library.Find(trial.Id)!;
        Assert.Equal("recordings/Flight 1_ cruise.WAV", found.Draft.Value("recordings[Flight-1_-cruise].file"));
        Assert.Equal(bytes, File.ReadAllBytes(Library.ContentPath(Assert.Single(found.Files))!));
        using var opened = Library.Open(found);
        Assert.False(opened.Readable);
        Assert.Equal(4800, opened.Recording("Flight-1_-cruise")!.Recording!.Frames);
        var twin = _at.Upload(trial.Id, "Flight 1: cruise.WAV", bytes);
        Assert.Equal(("recordings/Flight 1_ cruise-2.WAV", "Flight-1_-cruise-2"), (twin.File, twin.Recording));
        Assert.Single(Directory.GetFiles(Path.Combine(Library.Folder, "recordings"), "*", SearchOption.AllDirectories));
        Assert.Empty(Directory.GetFiles(Path.Combine(Library.Folder, "uploads")));
    }

    [Fact]
    public void An_upload_finds_the_place_that_the_document_keeps_for_it()
    {
        var trial = _at.Edit(_at.Create(), new DraftEdit.Add("recordings", [new("id", "f1"), new("file", "ground/Quiet.wav")]));
        var state = _at.Upload(trial.Id, "quiet.wav", LibraryFixture.Recording());
        Assert.Equal(("ground/Quiet.wav", "f1"), (state.File, state.Recording));
        Assert.Equal(trial.Revision, Library.Find(trial.Id)!.Revision);
    }

    [Fact]
    public void Erasing_deletes_what_no_other_trial_has()
    {
        var (first, second) = (_at.Create("first"), _at.Create("second"));
        var (shared, own) = (LibraryFixture.Recording(), LibraryFixture.Recording(seed: 8));
        _at.Upload(first.Id, "a.wav", shared);
        _at.Upload(first.Id, "b.wav", own);
        _at.Upload(second.Id, "c.wav", shared);
        var half = Library.BeginUpload(first.Id, "d.wav", 100).Upload!.Value;
        _at.Append(half, 0, new byte[10]);
        Library.Remove(first.Id);
        Assert.NotNull(Library.Find(first.Id)!.Removed);
        Assert.IsType<EditOutcome.Refused>(Library.Edit(first.Id, 1, new DraftEdit.Set("trial.title", "x"), ""));
        Library.BringBack(first.Id);
        Assert.Null(Library.Find(first.Id)!.Removed);
        Library.Erase(first.Id);
        Assert.Null(Library.Find(first.Id));
        Assert.Empty(Library.History(first.Id));
        Assert.Null(Library.Upload(half));
        Assert.Equal([Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(shared))], Directory.GetFiles(Path.Combine(Library.Folder, "recordings"), "*", SearchOption.AllDirectories).Select(Path.GetFileName));
        Assert.Empty(Directory.GetFiles(Path.Combine(Library.Folder, "uploads")));
    }

    [Fact]
    public async Task A_file_of_this_computer_is_copied_in()
    {
        var cancellation = TestContext.Current.CancellationToken;
        var trial = _at.Create();
        await File.WriteAllBytesAsync(_at.At("ground.wav"), LibraryFixture.Recording(), cancellation);
        var added = await Library.AddLocalFileAsync(trial.Id, _at.At("ground.wav"), "me", null, cancellation);
        Assert.Null(added.Problem);
        Assert.Equal(("ground", "recordings/ground.wav"), (added.Recording, added.Trial!.Draft.Value("recordings[ground].file")));
        Assert.True(File.Exists(_at.At("ground.wav")));
        await File.WriteAllTextAsync(_at.At("notes.wav"), "no sound at all, only words", cancellation);
        Assert.Equal("UPL-007", (await Library.AddLocalFileAsync(trial.Id, _at.At("notes.wav"), "", null, cancellation)).Problem!.Code);
        Assert.Equal("REC-041", (await Library.AddLocalFileAsync(trial.Id, _at.At("none.wav"), "", null, cancellation)).Problem!.Code);
        Assert.Empty(Directory.GetFiles(Path.Combine(Library.Folder, "uploads")));
    }

    [Fact]
    public void A_trial_goes_out_and_comes_in_again_with_its_history()
    {
        var trial = _at.Create();
        _at.Upload(trial.Id, "a.wav", LibraryFixture.Recording());
        Library.Undo(trial.Id);
        trial = _at.Edit(Library.Find(trial.Id)!, new DraftEdit.Set("trial.title", "other branch"));
        trial = Library.Undo(trial.Id)!;
        using var zip = new MemoryStream();
        Library.ExportZip(trial.Id, zip);
        zip.Position = 0;
        var fromZip = Library.ImportZip(zip, new ImportLimits());
        Library.ExportFolder(trial.Id, _at.At("out"));
        var fromFolder = Library.ImportFolder(_at.At("out"));
        foreach (var outcome in new[] { fromZip, fromFolder })
        {
            Assert.Empty(outcome.Problems);
            var again = outcome.Trial!;
            Assert.Equal((trial.Revision, trial.Draft.Text, trial.CanUndo, trial.CanRedo, trial.Created), (again.Revision, again.Draft.Text, again.CanUndo, again.CanRedo, again.Created));
            Assert.Equal(trial.Files, again.Files);
            Assert.Equal(Library.History(trial.Id), Library.History(again.Id));
            Assert.Equal("other branch", Library.Redo(again.Id)!.Title);
        }
    }
}
