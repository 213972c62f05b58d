using System.Globalization;
using Hushtrial.Store.Library;
using Hushtrial.Store.Victim;
using Hushtrial.Trials.Document;

// The process that KillTests kills: it works on one trial of a library and says what it is about to do and what is done.
// Nothing is said to be done before it is on disk; the parent holds it to that.
if (args is ["capture", ..])
{
    VictimCapture.Run(args[1], Guid.Parse(args[2]), Guid.Parse(args[3]));
    return;
}
var (folder, trial, seed) = (args[0], Guid.Parse(args[1]), uint.Parse(args[2], CultureInfo.InvariantCulture));
using var library = TrialLibrary.Open(folder, TimeProvider.System);
using var output = new StreamWriter(Console.OpenStandardOutput()) { AutoFlush = true };
var random = seed;
for (var n = 0; ; n++)
{
    switch (Next(8))
    {
        case < 3:
            Edit(string.Create(CultureInfo.InvariantCulture, $"title {seed} {n}"));
            break;
        case 3:
            output.WriteLine("try undo");
            Head("undo", library.Undo(trial));
            break;
        case 4:
            output.WriteLine("try redo");
            Head("redo", library.Redo(trial));
            break;
        default:
            await UploadAsync();
            break;
    }
}

void Edit(string title)
{
    output.WriteLine("try edit");
    var outcome = (EditOutcome.Saved)library.Edit(trial, library.Find(trial)!.Revision, new DraftEdit.Set("trial.title", title), "victim");
    output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"edit {outcome.Trial.Revision} {title}"));
}

void Head(string what, StoredTrial? stored) => output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{what} {(stored ?? library.Find(trial)!).Revision}"));

// Goes on with the first upload that is not whole, or begins one; a piece at a time.
async Task UploadAsync()
{
    output.WriteLine("try upload");
    var state = library.Uploads(trial).FirstOrDefault(u => !u.Finished);
    if (state is null)
    {
        var (sender, length) = (random, 30_000 + (int)Next(60_000));
        var name = string.Create(CultureInfo.InvariantCulture, $"take-{sender}-{length}.wav");
        state = library.Upload(library.BeginUpload(trial, name, length).Upload!.Value)!;
        output.WriteLine($"begun {state.Id} {name}");
    }
    if (state.Offset < state.Length)
    {
        var piece = (int)Math.Min(state.Length - state.Offset, 1 + Next(25_000));
        var bytes = VictimBytes.Of(state.Name)[(int)state.Offset..((int)state.Offset + piece)];
        state = (await library.AppendAsync(state.Id, state.Offset, new MemoryStream(bytes), CancellationToken.None))!;
    }
    output.WriteLine(state.Finished ? $"whole {state.Id} {state.Sha256}" : string.Create(CultureInfo.InvariantCulture, $"offset {state.Id} {state.Offset}"));
    // With the last piece the document got an entry: a revision.
    Head("head", null);
    if (state.Problem is not null) output.WriteLine($"problem {state.Problem}");
}

uint Next(uint below) => (random = (1664525 * random) + 1013904223) / 65536 % below;
