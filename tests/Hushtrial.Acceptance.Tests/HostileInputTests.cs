using System.Buffers.Binary;
using System.Diagnostics;
using Hushtrial.Cli;
using Hushtrial.Tests;

namespace Hushtrial.Acceptance.Tests;

/// <summary>Files, links, pipes and disks that mean harm or are worn out, met at the command line: a clear problem, the exit code as documented, nothing half left.</summary>
public sealed class HostileInputTests : IDisposable
{
    private readonly TemporaryFolder _at = new();

    public void Dispose() => _at.Dispose();

    private static string Corpus(string name) => Path.Combine(Reference.Root, "corpus", name);

    [Fact]
    public async Task A_header_that_claims_200_GB_costs_no_memory_and_is_told()
    {
        // RF64 (EBU Tech 3306): the true length stands in the ds64 chunk. 200 GB of 24-bit stereo, of which 3000 bytes are there.
        var file = new byte[12 + 36 + 24 + 8 + 3000];
        "RF64"u8.CopyTo(file);
        BinaryPrimitives.WriteUInt32LittleEndian(file.AsSpan(4), uint.MaxValue);
        "WAVEds64"u8.CopyTo(file.AsSpan(8));
        BinaryPrimitives.WriteUInt32LittleEndian(file.AsSpan(16), 28);
        BinaryPrimitives.WriteInt64LittleEndian(file.AsSpan(20), 200_000_000_072);
        BinaryPrimitives.WriteInt64LittleEndian(file.AsSpan(28), 200_000_000_000);
        "fmt "u8.CopyTo(file.AsSpan(48));
        BinaryPrimitives.WriteUInt32LittleEndian(file.AsSpan(52), 16);
        byte[] format = [1, 0, 2, 0, 0x80, 0xBB, 0, 0, 0, 0x65, 4, 0, 6, 0, 24, 0];
        format.CopyTo(file, 56);
        "data"u8.CopyTo(file.AsSpan(72));
        BinaryPrimitives.WriteUInt32LittleEndian(file.AsSpan(76), uint.MaxValue);
        await File.WriteAllBytesAsync(_at["take.wav"], file, TestContext.Current.CancellationToken);
        // The first run loads the program; the second shows what the file costs.
        _ = await CommandRun.Of("levels", _at["take.wav"]);
        var before = GC.GetTotalAllocatedBytes(precise: true);
        var run = await CommandRun.Of("levels", _at["take.wav"]);
        Assert.True(GC.GetTotalAllocatedBytes(precise: true) - before < 50_000_000);
        Assert.Equal(ExitCode.Problems, run.ExitCode);
        Assert.Contains("take.wav, byte 72: the header claims 200000000000 bytes of data (200.0 GB)", run.Error);
        Assert.Contains("REC-016 error", run.Error);
    }

    [Fact]
    public async Task Pipes_do_not_wait_for_ever()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Pipes with names are another thing there.");
        Shell("mkfifo pipe && mkdir trial && mkfifo trial/trial.yaml");
        Assert.Equal(ExitCode.WrongUse, (await Soon("check", _at["pipe"])).ExitCode);
        Assert.Contains("pipe or a device", (await Soon("analyse", _at["trial"])).Error);
        Assert.Equal(ExitCode.WrongUse, (await Soon("estimate", _at["pipe"])).ExitCode);
        Assert.Equal(ExitCode.WrongUse, (await Soon("loudness", _at["pipe"])).ExitCode);
        var levels = await Soon("levels", _at["pipe"]);
        Assert.Equal(ExitCode.Problems, levels.ExitCode);
        Assert.Contains("REC-001", levels.Error);
        Shell("rm trial/trial.yaml && cp " + Corpus("trials/good.sequential.yaml") + " trial/trial.yaml");
        var name = (await File.ReadAllTextAsync(_at["trial/trial.yaml"], TestContext.Current.CancellationToken)).Split("file: ")[1].Split(' ', ',', '}', '\n')[0];
        Shell($"mkdir -p $(dirname trial/{name}) && mkfifo trial/{name}");
        var trial = await Soon("check", _at["trial"]);
        Assert.Equal(ExitCode.Problems, trial.ExitCode);
        Assert.Contains("REC-001", trial.Error);
    }

    [Fact]
    public async Task Links_that_lead_out_go_round_or_nowhere_are_told_and_those_that_stay_are_followed()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        var document = (await File.ReadAllTextAsync(Corpus("trials/good.sequential.yaml"), TestContext.Current.CancellationToken)).ReplaceLineEndings("\n");
        var name = document.Split("file: ")[1].Split(' ', ',', '}', '\n')[0];
        Directory.CreateDirectory(_at["trial"]);
        await File.WriteAllTextAsync(_at["trial/trial.yaml"], document.Replace(name, "sub/" + name, StringComparison.Ordinal), TestContext.Current.CancellationToken);
        Directory.CreateDirectory(_at["elsewhere"]);
        File.Copy(Corpus("recordings/good.stereo24.wav"), _at["elsewhere/" + name]);
        // The folder on the way is the link, not the file.
        File.CreateSymbolicLink(_at["trial/sub"], "../elsewhere");
        Assert.Contains("REC-045 error: sub/" + name, (await CommandRun.Of("check", _at["trial"])).Error);
        File.Delete(_at["trial/sub"]);
        File.CreateSymbolicLink(_at["trial/sub"], "sub");
        var loop = await CommandRun.Of("check", _at["trial"]);
        Assert.Contains("REC-041 error: sub/" + name, loop.Error);
        Assert.Equal(ExitCode.Problems, loop.ExitCode);
        File.Delete(_at["trial/sub"]);
        Directory.CreateDirectory(_at["trial/sub"]);
        File.CreateSymbolicLink(_at["trial/sub/" + name], "/nowhere/at/all");
        Assert.Contains("REC-041", (await CommandRun.Of("check", _at["trial"])).Error);
        // A document that is a link is a document; one that leads round is none.
        Directory.CreateDirectory(_at["door"]);
        File.CreateSymbolicLink(_at["door/trial.yaml"], "../trial/trial.yaml");
        Assert.DoesNotContain("DOC-0", (await CommandRun.Of("check", _at["door"])).Error);
        File.CreateSymbolicLink(_at["door/round.yaml"], "round.yaml");
        Assert.Equal(ExitCode.WrongUse, (await CommandRun.Of("check", _at["door/round.yaml"])).ExitCode);
    }

    [Fact]
    public async Task Folders_in_the_place_of_files_are_told()
    {
        Directory.CreateDirectory(_at["trial/trial.yaml"]);
        Assert.Equal(ExitCode.WrongUse, (await CommandRun.Of("check", _at["trial"])).ExitCode);
        Assert.Equal(ExitCode.WrongUse, (await CommandRun.Of("loudness", _at["trial"])).ExitCode);
        Assert.Equal(ExitCode.WrongUse, (await CommandRun.Of("estimate", _at["trial"])).ExitCode);
        var levels = await CommandRun.Of("levels", _at["trial"]);
        Assert.Equal(ExitCode.Problems, levels.ExitCode);
        Assert.Contains("REC-042", levels.Error);
    }

    /// <summary>A disk of 16 kB: the report, the tables, the cards, the template and the demo do not fit. Needs the right to mount one, which root has.</summary>
    [Theory]
    [InlineData("report", "TRIAL", "--out", "DISK/report.html")]
    [InlineData("analyse", "TRIAL", "--out", "DISK/out")]
    [InlineData("plan", "Alder", "Birch", "--out", "DISK/cards.html")]
    [InlineData("new", "DISK/trial")]
    [InlineData("demo", "DISK/demo", "--scenario", "tractor")]
    public async Task A_full_disk_is_said_and_no_half_file_bears_a_final_name(params string[] args)
    {
        Directory.CreateDirectory(_at["disk"]);
        Assert.SkipUnless(OperatingSystem.IsLinux() && Try("mount -t tmpfs -o size=16k tmpfs disk"), "No small disk can be mounted here.");
        try
        {
            // Leave one page, so that writing begins and breaks off.
            await File.WriteAllBytesAsync(_at["disk/full"], new byte[12_000], TestContext.Current.CancellationToken);
            var run = await CommandRun.Of([.. args.Select(a => a.Replace("DISK", _at["disk"], StringComparison.Ordinal).Replace("TRIAL", Corpus("trials/good.readings-only.yaml"), StringComparison.Ordinal))]);
            Assert.True(run.ExitCode == ExitCode.WrongUse, $"{run.ExitCode}: {run.Error}");
            Assert.Contains("cannot be written", run.Error);
            Assert.Contains("No space left on device", run.Error);
            foreach (var file in Directory.GetFiles(_at["disk"], "*", SearchOption.AllDirectories).Where(f => Path.GetFileName(f) != "full"))
            {
                Assert.DoesNotContain(".part", file);
                // What did fit is whole.
                var end = (await File.ReadAllTextAsync(file, TestContext.Current.CancellationToken)).TrimEnd();
                Assert.True(Path.GetExtension(file) switch { ".json" => end.EndsWith('}'), ".html" => end.EndsWith("</html>", StringComparison.Ordinal), ".svg" => end.EndsWith("</svg>", StringComparison.Ordinal), ".csv" => end.Length > 0, _ => end.Length > 0 }, file);
            }
        }
        finally
        {
            Shell("umount disk");
        }
    }

    /// <summary>Commands that write into the trial document, which lies on a full disk while the sounds do not: it stays as it was.</summary>
    [Theory]
    [InlineData("log", "LOG", "--where", "outside", "--into", "TRIAL")]
    [InlineData("align", "TRIAL", "--write")]
    [InlineData("find", "TRIAL", "--recording", "f1-recording", "--accept", "all")]
    public async Task A_document_on_a_full_disk_stays_as_it_was(params string[] args)
    {
        var cancellation = TestContext.Current.CancellationToken;
        using var trial = new TemporaryFolder();
        if (args[0] == "find") Assert.Equal(ExitCode.Done, (await CommandRun.Of("demo", trial.Path, "--continuous", "--seed", "4")).ExitCode);
        else AlignCommandTests.Write(trial, args[0] == "align" ? 240 : 60);
        File.Copy(Corpus("logs/good.octaves-already-a-weighted.csv"), trial["seat.csv"]);
        Directory.CreateDirectory(_at["disk"]);
        Assert.SkipUnless(OperatingSystem.IsLinux() && Try("mount -t tmpfs -o size=64k tmpfs disk"), "No small disk can be mounted here.");
        try
        {
            File.Move(trial["trial.yaml"], _at["disk/trial.yaml"]);
            File.CreateSymbolicLink(trial["trial.yaml"], _at["disk/trial.yaml"]);
            Try("cat /dev/zero > disk/full");
            var before = await File.ReadAllBytesAsync(_at["disk/trial.yaml"], cancellation);
            var run = await CommandRun.Of([.. args.Select(a => a.Replace("LOG", trial["seat.csv"], StringComparison.Ordinal).Replace("TRIAL", trial["trial.yaml"], StringComparison.Ordinal))]);
            Assert.True(run.ExitCode == ExitCode.WrongUse, $"{run.ExitCode}: {run.Error}");
            Assert.Contains("trial.yaml' cannot be written: No space left on device", run.Error);
            Assert.Equal(before, await File.ReadAllBytesAsync(_at["disk/trial.yaml"], cancellation));
            Assert.Equal(["full", "trial.yaml"], Directory.GetFileSystemEntries(_at["disk"]).Select(f => Path.GetFileName(f)).Order());
            Assert.DoesNotContain(Directory.GetFiles(trial.Path), f => f.Contains(".part", StringComparison.Ordinal));
            // With room the same command writes; finding twice would cost too much.
            if (args[0] == "find") return;
            File.Delete(_at["disk/full"]);
            Assert.NotEqual(ExitCode.WrongUse, (await CommandRun.Of([.. args.Select(a => a.Replace("LOG", trial["seat.csv"], StringComparison.Ordinal).Replace("TRIAL", trial["trial.yaml"], StringComparison.Ordinal))])).ExitCode);
            Assert.NotEqual(before, await File.ReadAllBytesAsync(_at["disk/trial.yaml"], cancellation));
        }
        finally
        {
            Shell("umount disk");
        }
    }

    /// <summary>The PDF: its own disk full, and the one for what is temporary.</summary>
    [Fact]
    public async Task A_pdf_on_a_full_disk_is_said_and_no_half_file_bears_its_name()
    {
        Assert.SkipUnless(Store.Files.Chromium.Find(Environment.GetEnvironmentVariable("PATH")) is not null, "There is no Chromium here.");
        Directory.CreateDirectory(_at["disk"]);
        Assert.SkipUnless(OperatingSystem.IsLinux() && Try("mount -t tmpfs -o size=16k tmpfs disk"), "No small disk can be mounted here.");
        try
        {
            await File.WriteAllBytesAsync(_at["disk/full"], new byte[12_000], TestContext.Current.CancellationToken);
            var run = await CommandRun.Of("report", Corpus("trials/good.readings-only.yaml"), "--out", _at["disk/report.pdf"]);
            Assert.True(run.ExitCode == ExitCode.WrongUse, $"{run.ExitCode}: {run.Error}");
            Assert.Contains("report.pdf' cannot be written: No space left on device", run.Error);
            Assert.Equal(["full"], Directory.GetFileSystemEntries(_at["disk"]).Select(f => Path.GetFileName(f)));
            Assert.Equal(ExitCode.WrongUse, Exit($"TMPDIR={_at["disk"]} dotnet {Path.Combine(AppContext.BaseDirectory, "hushtrial.dll")} report {Corpus("trials/good.readings-only.yaml")} --out report.pdf 2> error"));
            Assert.Contains("No space left on device", await File.ReadAllTextAsync(_at["error"], TestContext.Current.CancellationToken));
            Assert.False(File.Exists(_at["report.pdf"]));
            Assert.DoesNotContain(Directory.GetFileSystemEntries(_at["disk"]), f => Path.GetFileName(f).Contains("hushtrial", StringComparison.OrdinalIgnoreCase));
        }
        finally
        {
            Shell("umount disk");
        }
    }

    [Theory]
    [InlineData("text", 0)]
    [InlineData("text", 100)]
    [InlineData("json", 0)]
    [InlineData("json", 100)]
    public async Task Standard_output_that_breaks_off_is_wrong_use_and_no_bug(string format, int bytes)
    {
        using var error = new StringWriter();
        using var output = new BreakingOff(bytes);
        var code = await CommandTree.RunAsync(["plan", "Alder", "Birch", "--format", format], new Edge(output, error, TextReader.Null, TimeProvider.System, ErrorIsTerminal: false));
        Assert.Equal(ExitCode.WrongUse, code);
        Assert.Contains("standard output cannot be written", error.ToString());
    }

    [Fact]
    public void The_process_itself_ends_so_too()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux() && File.Exists("/dev/full"), "There is no /dev/full here.");
        var program = $"dotnet {Path.Combine(AppContext.BaseDirectory, "hushtrial.dll")}";
        Assert.Equal(ExitCode.WrongUse, Exit($"{program} plan Alder --format json > /dev/full 2> error"));
        Assert.Contains("standard output cannot be written", File.ReadAllText(_at["error"]));
        // Where standard error is full as well, the exit code alone can say it.
        Assert.Equal(ExitCode.WrongUse, Exit($"{program} plan Alder > /dev/full 2> /dev/full"));
        Assert.Equal(ExitCode.WrongUse, Exit($"{program} check nowhere 2> /dev/full"));
    }

    private static Task<CommandRun> Soon(params string[] args) => Task.Run(() => CommandRun.Of(args)).WaitAsync(TimeSpan.FromSeconds(60), TestContext.Current.CancellationToken);

    private void Shell(string command) => Assert.True(Try(command), command);

    private bool Try(string command) => Exit(command) == 0;

    private int Exit(string command)
    {
        using var process = Process.Start(new ProcessStartInfo("/bin/sh", ["-c", command]) { UseShellExecute = false, WorkingDirectory = _at.Path, RedirectStandardError = true, RedirectStandardOutput = true })!;
        process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return process.ExitCode;
    }

    private sealed class BreakingOff(int bytes) : MemoryStream
    {
        public override void Write(ReadOnlySpan<byte> buffer)
        {
            if (Length + buffer.Length > bytes) throw new IOException("No space left on device");
            base.Write(buffer);
        }

        public override void Write(byte[] buffer, int offset, int count) => Write(buffer.AsSpan(offset, count));

        public override void WriteByte(byte value) => Write([value]);
    }
}
