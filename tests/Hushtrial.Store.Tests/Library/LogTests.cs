using System.Globalization;
using System.Text;
using Hushtrial.Store.Files;
using Hushtrial.Store.Library;
using Hushtrial.Tests;
using Hushtrial.Trials;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Tests.Library;

/// <summary>Level logs in the library: they come in, are opened, and go out as recordings do.</summary>
public sealed class LogTests : IDisposable
{
    private const string Document = """
        hushtrial: 1
        trial:
          title: A helmet on an air ambulance
          quantity: insertion-loss
          design: sequential
        devices:
          - { id: alder, name: Alder, kind: over-ear }
        conditions:
          - { id: alder, device: alder, mode: passive }
        runs:
          - { id: F1, start: "10:00" }
        takes:
          - { id: T01, condition: open, log: ear, clock_from: "10:01:00", clock_to: "10:01:30" }
          - { id: T02, condition: alder, fit: A1, log: ear, clock_from: "10:02:00", clock_to: "10:02:30" }
          - { id: T03, condition: open, log: ear, clock_from: "10:03:00", clock_to: "10:03:30" }

        """;

    private readonly LibraryFixture _at = new();

    public void Dispose() => _at.Dispose();

    private TrialLibrary Library => _at.Library;

    [Fact]
    public void An_uploaded_log_is_entered_as_the_command_enters_it()
    {
        var trial = Library.Create(TrialDraft.FromText(Document, "trial.yaml").Draft!, "Begun", "me");
        var state = _at.Upload(trial.Id, "my flight/Ear.csv", Ear());
        Assert.Equal((null, true, "Ear", "logs/Ear.csv"), (state.Problem, state.Finished, state.Recording, state.File));
        var stored = Library.Find(trial.Id)!;
        Assert.Equal("logs/Ear.csv", Assert.Single(stored.Files).Name);
        // Where the microphone was no file tells: nothing is confirmed before a person says it.
        Assert.Null(stored.Draft.Value("logs[Ear].sha256"));
        Assert.Equal((null, "{ 1: clock, 2: LAeq, 3: LAFmax }", "1"), (stored.Draft.Value("logs[Ear].where"), stored.Draft.Value("logs[Ear].columns"), stored.Draft.Value("logs[Ear].interval_s")));
        Assert.Empty(stored.Draft.Ids("recordings"));
        Assert.StartsWith("Level log Ear added: Ear.csv", Library.History(trial.Id)[0].Summary, StringComparison.Ordinal);
        // Undone, the entry goes; the file stays for the revision that names it.
        Assert.Empty(Library.Undo(trial.Id)!.Draft.Ids("logs"));
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void A_log_in_UTF_16_without_a_byte_order_mark_is_read(bool bigEndian)
    {
        var trial = _at.Create();
        var state = _at.Upload(trial.Id, "wide.csv", new UnicodeEncoding(bigEndian, byteOrderMark: false).GetBytes(Encoding.UTF8.GetString(Ear())));
        Assert.True(state.Finished, state.Problem?.ToString());
        var draft = Library.Find(trial.Id)!.Draft;
        Assert.Equal((bigEndian ? "utf-16-be" : "utf-16-le", "{ 1: clock, 2: LAeq, 3: LAFmax }"), (draft.Value("logs[wide].encoding"), draft.Value("logs[wide].columns")));
    }

    [Theory]
    [InlineData("bad.leq-without-weighting.csv", "LOG-014")]
    [InlineData("bad.minutes-of-start-or-end.csv", "LOG-021")]
    [InlineData("bad.date-order.csv", "LOG-020")]
    [InlineData("bad.bands-of-unknown-weighting.csv", "LOG-015")]
    [InlineData("bad.two-decimal-marks.csv", "LOG-013")]
    public void What_a_log_leaves_open_is_left_out_and_asked(string file, string code)
    {
        var trial = _at.Create();
        var bytes = File.ReadAllBytes(Path.Combine(Reference.Root, "corpus", "logs", file));
        var state = _at.Upload(trial.Id, file, bytes);
        Assert.True(state.Finished, state.Problem?.ToString());
        var draft = Library.Find(trial.Id)!.Draft;
        var log = Assert.Single(draft.Ids("logs"));
        Assert.Null(draft.Value($"logs[{log}].sha256"));
        // Read as the entry says, the same question is open: nothing was settled by entering it.
        using var content = FileBytes.Open(Library.ContentPath(Library.Find(trial.Id)!.Files[0])!, file, out _)!;
        var proposal = Trials.Logs.LogProposal.Of(content, file, Trials.Logs.LogWishes.Of(draft, log));
        Assert.Contains(proposal.Problems, p => p.Code == code && p.Severity == Quantities.Severity.Error);
        Assert.DoesNotContain(draft.Fields($"logs[{log}].columns"), c => code is "LOG-014" or "LOG-015" && c.Value.StartsWith('L'));
    }

    [Theory]
    [InlineData("page.csv", "<!doctype html>\n<p>1;2\n3;4\n")]
    [InlineData("run.csv", "#!/bin/sh\necho 1;2\n")]
    [InlineData("letter.txt", "Dear crew,\nthe flight at 10 was loud.\nYours\n")]
    [InlineData("table.xlsx", "PK\u0003\u0004 1;2\n")]
    [InlineData("program.csv", "MZ\u0000\u0001\u0000\u0000 1;2\n")]
    public async Task What_is_no_table_is_refused_and_leaves_nothing(string name, string text)
    {
        var trial = _at.Create();
        var state = _at.Upload(trial.Id, name, Encoding.UTF8.GetBytes(text));
        Assert.Equal(("UPL-007", 0L, false), (state.Problem?.Code, state.Offset, state.Finished));
        Assert.Equal((trial.Revision, 0), (Library.Find(trial.Id)!.Revision, Library.Find(trial.Id)!.Files.Count));
        await File.WriteAllTextAsync(_at.At(name), text, TestContext.Current.CancellationToken);
        Assert.Equal("UPL-007", (await Library.AddLocalFileAsync(trial.Id, _at.At(name), "me", null, TestContext.Current.CancellationToken)).Problem?.Code);
    }

    [Fact]
    public void A_trial_of_logs_gives_the_same_through_the_library_as_beside_its_document()
    {
        var folder = Folder();
        using var beside = TrialFolder.Open(folder);
        Assert.True(beside.Readable, string.Join("\n", beside.Problems));
        var outcome = Library.ImportFolder(folder);
        Assert.Empty(outcome.Problems);
        using var inside = Library.Open(outcome.Trial!);
        Assert.True(inside.Readable, string.Join("\n", inside.Problems));
        Assert.Equal(beside.Inputs, inside.Inputs);
        Assert.Equal(beside.Problems, inside.Problems);
        var (expected, found) = (Analysis.Run(beside.ToInputs(), cancellation: TestContext.Current.CancellationToken), Analysis.Run(inside.ToInputs(), cancellation: TestContext.Current.CancellationToken));
        // Built in: 95 dB(A) with the open ear, 73 under the device.
        Assert.Equal([95.0, 73.0, 95.0], found.Takes.Select(t => Math.Round(t.LevelA!.Value, 9)));
        Assert.Equal(expected.Takes.Select(t => t.LevelA), found.Takes.Select(t => t.LevelA));

        using var zip = new MemoryStream();
        Library.ExportZip(outcome.Trial!.Id, zip);
        zip.Position = 0;
        var again = Library.ImportZip(zip, new());
        Assert.Empty(again.Problems);
        Library.ExportFolder(again.Trial!.Id, _at.At("out"));
        Assert.Equal(Ear(), File.ReadAllBytes(_at.At("out/logs/ear.csv")));
        Assert.Equal(File.ReadAllText(Path.Combine(folder, "trial.yaml")), File.ReadAllText(_at.At("out/trial.yaml")));
    }

    [Fact]
    public void A_log_is_missed_awaited_and_told_from_a_recording()
    {
        var folder = Folder();
        File.Delete(Path.Combine(folder, "logs", "ear.csv"));
        var outcome = Library.ImportFolder(folder);
        Assert.Equal(("IMP-011", "logs/ear.csv"), (Assert.Single(outcome.Problems).Code, outcome.Problems[0].Where));
        using (var opened = Library.Open(outcome.Trial!)) Assert.Equal("LIB-004", Assert.Single(opened.Problems, p => p.Severity == Quantities.Severity.Error).Code);
        // It finds its place by its name, without another entry.
        _at.Upload(outcome.Trial!.Id, "ear.csv", Ear());
        var whole = Library.Find(outcome.Trial.Id)!;
        Assert.Equal(("logs/ear.csv", outcome.Trial.Revision), (Assert.Single(whole.Files).Name, whole.Revision));
        using (var opened = Library.Open(whole)) Assert.True(opened.Readable);
        // Another table under its name is not the one whose columns were confirmed.
        File.WriteAllBytes(Path.Combine(folder, "logs", "ear.csv"), [.. Ear(), .. "10:05:00;70.0;71.0\n"u8]);
        using (var opened = Library.Open(Library.ImportFolder(folder).Trial!)) Assert.Contains(opened.Problems, p => p.Code == "LOG-005");
        File.WriteAllBytes(Path.Combine(folder, "logs", "ear.csv"), LibraryFixture.Recording());
        Assert.Equal("IMP-008", Assert.Single(Library.ImportFolder(folder).Problems).Code);
    }

    /// <summary>A folder with the document and its log, entered as 'hushtrial log --into' enters it.</summary>
    private string Folder()
    {
        var folder = _at.At("trial");
        Directory.CreateDirectory(Path.Combine(folder, "logs"));
        File.WriteAllBytes(Path.Combine(folder, "logs", "ear.csv"), Ear());
        File.WriteAllText(Path.Combine(folder, "trial.yaml"), Document);
        using var bytes = FileBytes.Open(Path.Combine(folder, "logs", "ear.csv"), "ear.csv", out _)!;
        var proposal = Trials.Logs.LogProposal.Of(bytes, "ear.csv", new());
        Assert.True(proposal.IsComplete, string.Join("\n", proposal.Problems));
        Assert.Empty(TrialLogs.Add(folder, new("ear", "logs/ear.csv", false, null, null, Signals.Recordings.RecordingHash.Sha256(bytes), proposal.Layout!)));
        return folder;
    }

    /// <summary>Five minutes, a row a second: 95 dB(A) with the open ear; 73 dB(A) in the third minute, under the device.</summary>
    private static byte[] Ear()
    {
        var text = new StringBuilder("Clock;LAeq;LAFmax\n");
        for (var second = 0; second < 300; second++)
        {
            var level = second / 60 == 2 ? 73.0 : 95.0;
            text.Append(CultureInfo.InvariantCulture, $"10:{second / 60:00}:{second % 60:00};{level:0.0};{level + 1.5:0.0}\n");
        }
        return Encoding.UTF8.GetBytes(text.ToString());
    }
}
