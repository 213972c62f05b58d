using System.Diagnostics;
using System.Text;
using Hushtrial.Store.Files;

namespace Hushtrial.Store.Tests.Files;

/// <summary>A file under its final name is whole, or as it was before; nothing else is left.</summary>
public sealed class OutputTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("output-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private string At(string name) => Path.Combine(_folder, name);

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(4095)]
    [InlineData(100_000)]
    public void A_disk_that_fails_at_any_byte_leaves_what_was_there(int bytes)
    {
        File.WriteAllText(At("old.html"), "as it was");
        foreach (var name in new[] { "old.html", "new.html" })
            Assert.Contains("No space", Assert.Throws<WrongUseException>(() => Output.Write(At(name), to =>
            {
                to.Write(new byte[bytes]);
                throw new IOException("No space left on device");
            })).Message, StringComparison.Ordinal);
        Assert.Equal(["old.html"], Directory.GetFileSystemEntries(_folder).Select(e => Path.GetFileName(e)));
        Assert.Equal("as it was", File.ReadAllText(At("old.html")));
    }

    [Fact]
    public void Whatever_ends_the_writing_nothing_half_is_left()
    {
        Assert.Throws<OperationCanceledException>(() => Output.Write(At("x"), _ => throw new OperationCanceledException()));
        Assert.Empty(Directory.GetFileSystemEntries(_folder));
    }

    [Fact]
    public void A_file_that_another_program_calls_part_is_left_alone()
    {
        File.WriteAllText(At("x.part"), "theirs");
        Output.Write(At("x"), "ours");
        Assert.Equal("theirs", File.ReadAllText(At("x.part")));
        Assert.Equal("ours", File.ReadAllText(At("x")));
    }

    [Fact]
    public void A_link_stays_a_link_and_the_rights_of_a_file_stay()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        if (OperatingSystem.IsWindows()) return;
        Directory.CreateDirectory(At("real"));
        File.WriteAllText(At("real/trial.yaml"), "old");
        File.SetUnixFileMode(At("real/trial.yaml"), UnixFileMode.UserRead | UnixFileMode.UserWrite);
        File.CreateSymbolicLink(At("trial.yaml"), "real/trial.yaml");
        Output.Write(At("trial.yaml"), "new");
        Assert.Equal("real/trial.yaml", new FileInfo(At("trial.yaml")).LinkTarget);
        Assert.Equal("new", File.ReadAllText(At("real/trial.yaml")));
        Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite, File.GetUnixFileMode(At("real/trial.yaml")));
        File.CreateSymbolicLink(At("loop"), "loop");
        Assert.Throws<WrongUseException>(() => Output.Write(At("loop"), "x"));
    }

    [Fact]
    public void Folders_and_files_in_the_way_are_told()
    {
        Directory.CreateDirectory(At("folder"));
        File.WriteAllText(At("file"), "");
        Assert.Throws<WrongUseException>(() => Output.Write(At("folder"), "x"));
        Assert.Throws<WrongUseException>(() => Output.Write(At("file/x"), "x"));
        Assert.Throws<WrongUseException>(() => Output.Write(At(new string('n', 300)), "x"));
        Assert.Equal(2, Directory.GetFileSystemEntries(_folder).Length);
    }

    [Fact]
    public void A_device_is_written_to_and_stays_a_device()
    {
        // Copies of /dev/null and /dev/full: were they replaced, the machine would suffer from it.
        Assert.SkipUnless(OperatingSystem.IsLinux() && Made("null", "3") && Made("full", "7"), "No device can be made here.");
        Output.Write(At("null"), Encoding.UTF8.GetString(new byte[100]));
        Assert.Throws<WrongUseException>(() => Output.Write(At("full"), "x"));
        Assert.True(KindOfPath.IsSpecial(At("null")) && KindOfPath.IsSpecial(At("full")));
        Assert.Equal(2, Directory.GetFileSystemEntries(_folder).Length);
    }

    [Fact]
    public void A_small_file_is_read_and_a_pipe_without_a_writer_does_not_wait()
    {
        File.WriteAllText(At("x"), "\ufeffabc");
        Assert.Equal("abc", SmallFile.ReadText(At("x"), 6));
        Assert.Throws<WrongUseException>(() => SmallFile.Read(At("x"), 5));
        Assert.Equal(2, SmallFile.ReadBeginning(At("x"), 2).Length);
        Assert.Throws<WrongUseException>(() => SmallFile.Read(_folder, 5));
        Assert.Throws<WrongUseException>(() => SmallFile.Read(At("nowhere"), 5));
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Pipes with names are another thing there.");
        Run("mkfifo", At("pipe"));
        var clock = Stopwatch.StartNew();
        Assert.Contains("pipe or a device", Assert.Throws<WrongUseException>(() => SmallFile.Read(At("pipe"), 5)).Message, StringComparison.Ordinal);
        Assert.Null(FileBytes.Open(At("pipe"), "pipe", out _)?.Read(0, new byte[4]) is > 0 ? "read" : null);
        Assert.True(clock.Elapsed < TimeSpan.FromSeconds(5));
    }

    [Theory]
    [InlineData("plain.wav", true)]
    [InlineData("inside.wav", true)]
    [InlineData("out.wav", false)]
    [InlineData("sub/x.wav", false)]
    [InlineData("loop/x.wav", false)]
    [InlineData("up.wav", false)]
    [InlineData("missing.wav", true)]
    public void Links_are_followed_to_their_end_those_of_folders_too(string name, bool inside)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        Directory.CreateDirectory(At("trial"));
        Directory.CreateDirectory(At("elsewhere"));
        File.WriteAllText(At("elsewhere/x.wav"), "");
        File.WriteAllText(At("trial/plain.wav"), "");
        File.CreateSymbolicLink(At("trial/inside.wav"), "plain.wav");
        File.CreateSymbolicLink(At("trial/out.wav"), "../elsewhere/x.wav");
        File.CreateSymbolicLink(At("trial/sub"), At("elsewhere"));
        File.CreateSymbolicLink(At("trial/loop"), "loop");
        File.CreateSymbolicLink(At("trial/up.wav"), "sub/x.wav");
        // The folder itself may be reached by a link.
        File.CreateSymbolicLink(At("door"), "trial");
        Assert.Equal(inside, InsideFolder.Holds(At("trial"), name));
        Assert.Equal(inside, InsideFolder.Holds(At("door"), name));
    }

    private bool Made(string name, string minor) => Run("mknod", At(name), "c", "1", minor) && Opens(At(name));

    private static bool Opens(string path)
    {
        try
        {
            using var stream = new FileStream(path, FileMode.Open, FileAccess.Write);
            return true;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }

    private static bool Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { UseShellExecute = false, RedirectStandardError = true })!;
        process.WaitForExit();
        return process.ExitCode == 0;
    }
}
