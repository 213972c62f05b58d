using System.Diagnostics;
using System.Globalization;
using System.Security.Cryptography;
using Hushtrial.Store.Library;
using Hushtrial.Store.Victim;
using Microsoft.Data.Sqlite;

namespace Hushtrial.Store.Tests.Library;

/// <summary>Processes that work on a library are killed at any moment, several at once. What they had said to be done must be there.</summary>
/// <remarks>A killed process loses what it had not given to the system, not what the system had not written: that a commit waits for
/// the disk is held by <see cref="DurabilityTests"/>.</remarks>
public sealed class KillTests : IDisposable
{
    /// <summary>HUSHTRIAL_KILLS asks for another number; the proof of a release takes 200.</summary>
    private static readonly int _kills = int.Parse(Environment.GetEnvironmentVariable("HUSHTRIAL_KILLS") ?? "12", CultureInfo.InvariantCulture);

    private const int AtOnce = 3;

    private readonly LibraryFixture _at = new();

    public void Dispose() => _at.Dispose();

    [Fact]
    public async Task Nothing_that_was_acknowledged_is_lost_by_a_kill()
    {
        var trials = Enumerable.Range(0, AtOnce).Select(n => new Ledger(_at.Create($"trial {n}").Id)).ToList();
        var kills = 0;
        await Task.WhenAll(trials.Select(async (ledger, worker) =>
        {
            for (var n = worker; n < _kills; n += AtOnce)
            {
                await KillOneAsync(ledger, n);
                Interlocked.Increment(ref kills);
                ledger.Check(_at.Library);
            }
        }));
        Assert.Equal(_kills, kills);
        Assert.True(trials.Sum(t => t.Edits) > _kills && trials.Sum(t => t.Heads) > _kills / 4 && trials.Sum(t => t.Pieces) > _kills && trials.Sum(t => t.Whole) > _kills / 10,
            $"{trials.Sum(t => t.Edits)} edits, {trials.Sum(t => t.Heads)} moves of the head, {trials.Sum(t => t.Pieces)} pieces, {trials.Sum(t => t.Whole)} whole uploads acknowledged in {kills} kills");
        TestContext.Current.SendDiagnosticMessage($"{trials.Sum(t => t.Edits)} edits, {trials.Sum(t => t.Heads)} moves of the head, {trials.Sum(t => t.Pieces)} pieces, {trials.Sum(t => t.Whole)} whole uploads acknowledged in {kills} kills");
        _at.Reopen();
        foreach (var ledger in trials) ledger.Check(_at.Library);
        Integrity();
        Contents();
    }

    private async Task KillOneAsync(Ledger ledger, int n)
    {
        var start = new ProcessStartInfo(Environment.ProcessPath is { } host && Path.GetFileNameWithoutExtension(host) == "dotnet" ? host : "dotnet",
            [Path.Combine(AppContext.BaseDirectory, "Hushtrial.Store.Victim.dll"), _at.Library.Folder, ledger.Trial.ToString(), string.Create(CultureInfo.InvariantCulture, $"{n + 1}")]) { RedirectStandardOutput = true, UseShellExecute = false };
        start.Environment["DOTNET_TieredPGO"] = "0";
        using var victim = Process.Start(start)!;
        // Some die while they open the library; most after some work, in the middle of the next.
        var moment = n % 8 == 7 ? Task.Delay((n * 37) % 700) : null;
        var patience = Task.Delay(TimeSpan.FromMinutes(3));
        var toCome = 1 + (n * 7 % 15);
        while (true)
        {
            var line = victim.StandardOutput.ReadLineAsync();
            if (await Task.WhenAny(line, moment ?? patience) != line) { victim.Kill(); if (await line is { } late) ledger.Note(late); break; }
            if (await line is not { } said) break;
            ledger.Note(said);
            if (said.StartsWith("head ", StringComparison.Ordinal) || said.StartsWith("edit ", StringComparison.Ordinal)) toCome--;
            if (toCome == 0) moment ??= Task.Delay((n * 53) % 60);
        }
        while (await victim.StandardOutput.ReadLineAsync() is { } rest) ledger.Note(rest);
        await victim.WaitForExitAsync();
        Assert.True(moment is not null, "The victim said nothing for three minutes.");
        Assert.Equal(137, victim.ExitCode);
    }

    private void Integrity()
    {
        using var connection = new SqliteConnection($"Data Source={Path.Combine(_at.Library.Folder, "library.db")}");
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = "PRAGMA integrity_check";
        Assert.Equal("ok", command.ExecuteScalar());
        command.CommandText = "PRAGMA foreign_key_check";
        Assert.Null(command.ExecuteScalar());
    }

    private void Contents()
    {
        foreach (var file in _at.Library.List().SelectMany(t => _at.Library.Find(t.Id)!.Files))
            Assert.Equal(file.Sha256, Hash(File.ReadAllBytes(_at.Library.ContentPath(file)!)));
    }

    private static string Hash(byte[] bytes) => Convert.ToHexStringLower(SHA256.HashData(bytes));

    /// <summary>What victims have said of one trial.</summary>
    private sealed class Ledger(Guid trial)
    {
        private readonly Dictionary<int, string> _titles = [];
        private readonly Dictionary<Guid, (string Name, long Offset, string? Sha)> _uploads = [];
        private int _head = 1;
        private string? _trying;

        public Guid Trial { get; } = trial;

        public int Edits { get; private set; }

        public int Heads { get; private set; }

        public int Pieces { get; private set; }

        public int Whole { get; private set; }

        public void Note(string line)
        {
            var words = line.Split(' ', 3);
            if (words[0] is "edit" or "undo" or "redo" or "head") _trying = null;
            switch (words[0])
            {
                case "try": _trying = words[1]; break;
                case "edit":
                    (_head, Edits) = (Number(words[1]), Edits + 1);
                    _titles[_head] = words[2];
                    break;
                case "undo" or "redo": (_head, Heads) = (Number(words[1]), Heads + 1); break;
                case "begun": _uploads[Guid.Parse(words[1])] = (words[2], 0, null); break;
                case "offset": (_uploads[Guid.Parse(words[1])], Pieces) = (_uploads.GetValueOrDefault(Guid.Parse(words[1])) with { Offset = Number(words[2]) }, Pieces + 1); break;
                case "whole":
                    (_uploads[Guid.Parse(words[1])], Whole) = (_uploads.GetValueOrDefault(Guid.Parse(words[1])) with { Sha = words[2] }, Whole + 1);
                    break;
                case "head": _head = Number(words[1]); break;
                default: Assert.Fail(line); break;
            }
        }

        public void Check(TrialLibrary library)
        {
            var (stored, history) = (library.Find(Trial)!, library.History(Trial));
            foreach (var (revision, title) in _titles) Assert.Equal(title, library.DraftAt(Trial, revision)?.Value("trial.title"));
            // The head is where it was said to be, or where the one thing that was being done has brought it.
            var parents = history.ToDictionary(r => r.Number, r => r.Parent);
            var possible = _trying switch
            {
                "undo" => [_head, parents[_head] ?? _head],
                // Two at most: an upload that an earlier kill had interrupted is finished first.
                "upload" => [_head, .. history.Where(r => r.Parent == _head || (r.Parent is { } p && parents[p] == _head)).Select(r => r.Number)],
                "redo" or "edit" => [_head, .. history.Where(r => r.Parent == _head).Select(r => r.Number)],
                _ => new List<int> { _head },
            };
            Assert.Contains(stored.Revision, possible);
            (_head, _trying) = (stored.Revision, null);
            foreach (var (id, (name, offset, sha)) in _uploads)
            {
                var state = library.Upload(id);
                Assert.NotNull(state);
                Assert.True(state.Offset >= offset, $"{state.Offset} of an upload that stood at {offset}.");
                // A victim that is killed before it says what it has begun leaves an upload that the next one goes on with.
                var bytes = VictimBytes.Of(name ?? state.Name);
                if (sha is not null) Assert.Equal((true, sha, Hash(bytes)), (state.Finished, state.Sha256, sha));
                if (state.Finished) Assert.Equal(Hash(bytes), Hash(File.ReadAllBytes(library.ContentPath(stored.Files.Concat(library.Find(Trial)!.Files).First(f => f.Name == state.File))!)));
                else Assert.Equal(bytes[..(int)state.Offset], state.Offset == 0 ? [] : File.ReadAllBytes(Path.Combine(library.Folder, "uploads", id.ToString("N") + ".part"))[..(int)state.Offset]);
            }
            _head = library.Find(Trial)!.Revision;
        }

        private static int Number(string word) => int.Parse(word, CultureInfo.InvariantCulture);
    }
}
