using System.Diagnostics;
using System.Globalization;
using Hushtrial.Store.Captures;
using Hushtrial.Store.Tests.Library;
using Hushtrial.Store.Victim;

namespace Hushtrial.Store.Tests.Captures;

/// <summary>A capturing process is killed again and again in the middle; what it had acknowledged is there, and the capture goes on.</summary>
public sealed class CaptureKillTests : IDisposable
{
    private const int Kills = 4;

    private readonly LibraryFixture _at = new();

    public void Dispose() => _at.Dispose();

    [Fact]
    public async Task Nothing_that_was_acknowledged_is_lost_by_a_kill()
    {
        var stop = TestContext.Current.CancellationToken;
        var trial = _at.Create();
        var capture = Guid.Empty;
        long kept = 0;
        for (var n = 0; n < Kills; n++)
        {
            var start = new ProcessStartInfo("dotnet", [Path.Combine(AppContext.BaseDirectory, "Hushtrial.Store.Victim.dll"), "capture", _at.Library.Folder, trial.Id.ToString(), capture.ToString()]) { RedirectStandardOutput = true, UseShellExecute = false };
            using var victim = Process.Start(start)!;
            var toCome = 3 + (n * 5 % 7);
            while (await victim.StandardOutput.ReadLineAsync(stop) is { } line)
            {
                var words = line.Split(' ');
                if (words[0] == "begun") capture = Guid.Parse(words[1]);
                else kept = long.Parse(words[1], CultureInfo.InvariantCulture);
                if (toCome-- == 0) victim.Kill();
            }
            await victim.WaitForExitAsync(stop);
            Assert.Equal(137, victim.ExitCode);
        }
        using var shelf = new CaptureShelf(_at.Library, TimeProvider.System);
        var state = Assert.Single(shelf.Of(trial.Id));
        Assert.InRange(state.Frames, kept, kept + VictimCapture.Piece);
        Assert.True(kept >= Kills * 3 * VictimCapture.Piece, $"{kept} frames in {Kills} kills");
        // One mark was noted for every piece that was acknowledged; the last piece before each kill may have come without its mark.
        Assert.InRange(state.Marks.Count, (state.Frames / VictimCapture.Piece) - Kills, state.Frames / VictimCapture.Piece);
        var (file, _) = (await shelf.FinishAsync(capture, "", stop)).GetValueOrDefault();
        using var opened = _at.Library.Open(file.Trial!);
        var recording = opened.Recording(file.Recording!)!.Recording!;
        Assert.Equal(state.Frames, recording.Frames);
        var expected = System.Runtime.InteropServices.MemoryMarshal.Cast<byte, float>(VictimCapture.Frames(0, (int)state.Frames)).ToArray();
        var read = new double[state.Frames];
        for (var channel = 0; channel < 2; channel++)
        {
            recording.Samples!.Read(channel, 0, read);
            for (var i = 0; i < read.Length; i++) Assert.Equal(expected[(2 * i) + channel], read[i]);
        }
    }
}
