using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Tests.Library;

public sealed class ConcurrencyTests : IDisposable
{
    private const int Threads = 6;
    private const int Each = 12;

    private readonly LibraryFixture _at = new();

    public void Dispose() => _at.Dispose();

    [Fact]
    public void Many_that_edit_one_trial_from_old_states_lose_nothing()
    {
        var trial = _at.Create();
        // Half of them through a library of their own, as another process would.
        using var other = TrialLibrary.Open(_at.Library.Folder, TimeProvider.System);
        Parallel.For(0, Threads, new ParallelOptions { MaxDegreeOfParallelism = Threads }, worker =>
        {
            var library = worker % 2 == 0 ? _at.Library : other;
            for (var n = 0; n < Each; n++)
                Assert.IsType<EditOutcome.Saved>(library.Edit(trial.Id, trial.Revision, new DraftEdit.Add("devices", [new("id", $"d{worker}-{n}"), new("kind", "helmet")]), $"{worker}"));
        });
        var stored = _at.Library.Find(trial.Id)!;
        Assert.Equal(1 + (Threads * Each), stored.Revision);
        Assert.Equal(Enumerable.Range(0, Threads).SelectMany(w => Enumerable.Range(0, Each).Select(n => $"d{w}-{n}")).Order(StringComparer.Ordinal), stored.Draft.Ids("devices").Order(StringComparer.Ordinal));
        var history = _at.Library.History(trial.Id).Reverse().ToList();
        for (var i = 1; i < history.Count; i++) Assert.Equal(history[i - 1].Number, history[i].Parent);
    }

    [Fact]
    public void Of_many_that_set_one_place_from_one_state_one_is_saved()
    {
        var trial = _at.Create();
        var outcomes = Enumerable.Range(0, Threads).AsParallel().WithDegreeOfParallelism(Threads).Select(w => _at.Library.Edit(trial.Id, trial.Revision, new DraftEdit.Set("trial.title", $"title {w}"), "")).ToList();
        var saved = Assert.Single(outcomes.OfType<EditOutcome.Saved>());
        Assert.All(outcomes.OfType<EditOutcome.Conflict>(), c => Assert.Equal((saved.Trial.Title, "trial.title"), (c.Theirs, c.Path)));
        Assert.Equal(Threads - 1, outcomes.OfType<EditOutcome.Conflict>().Count());
    }

    [Fact]
    public void Uploads_edits_undoing_and_erasing_at_once_leave_contents_and_rows_in_step()
    {
        var shared = LibraryFixture.Recording(2000);
        var keeper = _at.Create("keeper");
        Parallel.For(0, Threads, new ParallelOptions { MaxDegreeOfParallelism = Threads }, worker =>
        {
            using var library = TrialLibrary.Open(_at.Library.Folder, TimeProvider.System);
            for (var n = 0; n < 5; n++)
            {
                var trial = library.Create(TrialDraft.Empty($"trial {worker} {n}"), "Begun");
                var upload = library.BeginUpload(trial.Id, "take.wav", shared.Length).Upload!.Value;
                Assert.True(library.AppendAsync(upload, 0, new MemoryStream(shared), CancellationToken.None).GetAwaiter().GetResult()!.Finished);
                library.Undo(trial.Id);
                library.Redo(trial.Id);
                library.Edit(keeper.Id, 1, new DraftEdit.Add("wearers", [new("id", $"w{worker}-{n}")]), "");
                if (n == 4 && worker == 0) continue;
                library.Erase(trial.Id);
            }
        });
        var left = Assert.Single(_at.Library.List(), t => t.Id != keeper.Id);
        var file = Assert.Single(_at.Library.Find(left.Id)!.Files);
        Assert.Equal(shared, File.ReadAllBytes(_at.Library.ContentPath(file)!));
        Assert.Single(Directory.GetFiles(Path.Combine(_at.Library.Folder, "recordings"), "*", SearchOption.AllDirectories));
        Assert.Equal(Threads * 5, _at.Library.Find(keeper.Id)!.Draft.Ids("wearers").Count);
    }

    [Fact]
    public void Many_that_open_a_new_folder_at_once_make_one_library()
    {
        Parallel.For(0, Threads, new ParallelOptions { MaxDegreeOfParallelism = Threads }, n =>
        {
            using var library = TrialLibrary.Open(_at.At("fresh"), TimeProvider.System);
            library.Create(TrialDraft.Empty($"trial {n}"), "Begun");
        });
        using var last = TrialLibrary.Open(_at.At("fresh"), TimeProvider.System);
        Assert.Equal(Threads, last.List().Count);
    }
}
