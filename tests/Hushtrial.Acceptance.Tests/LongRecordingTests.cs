using System.Buffers.Binary;
using System.Diagnostics;
using System.Text;

namespace Hushtrial.Acceptance.Tests;

/// <summary>A recording above 4 GiB through the whole command, in a process of its own whose memory is watched.</summary>
public sealed class LongRecordingTests
{
    private const long Most = 150L << 20;

    // 64-bit numbers: the most bytes for the least arithmetic.
    private const int BytesPerFrame = 8;

    [Fact]
    public async Task More_than_4_GiB_are_measured_in_less_than_150_MiB()
    {
        using var folder = new TemporaryFolder();
        var file = folder["long.wav"];
        WriteSparse(file, frames: ((4L << 30) / BytesPerFrame) + 1_000_000);
        using var process = Process.Start(new ProcessStartInfo("dotnet", [typeof(Cli.Edge).Assembly.Location, "levels", file, "--format", "json"]) { UseShellExecute = false, RedirectStandardOutput = true, RedirectStandardError = true })!;
        var output = process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        var error = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        var peak = 0L;
        while (!process.WaitForExit(50))
        {
            process.Refresh();
            try { peak = Math.Max(peak, process.PeakWorkingSet64); }
            catch (InvalidOperationException) { break; } // It ended between the two lines.
        }
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.True(process.ExitCode == 0, await error);
        Assert.Contains("\"calibrated\": false", await output);
        Assert.InRange(peak, 1, Most);
    }

    // Digital silence that takes no room on disk; only the header is written.
    private static void WriteSparse(string file, long frames)
    {
        var data = frames * BytesPerFrame;
        var header = new byte[80];
        Encoding.ASCII.GetBytes("RF64\0\0\0\0WAVEds64").CopyTo(header, 0);
        header.AsSpan(4, 4).Fill(0xFF);
        BinaryPrimitives.WriteInt32LittleEndian(header.AsSpan(16), 28);
        BinaryPrimitives.WriteInt64LittleEndian(header.AsSpan(20), data + 72);
        BinaryPrimitives.WriteInt64LittleEndian(header.AsSpan(28), data);
        BinaryPrimitives.WriteInt64LittleEndian(header.AsSpan(36), frames);
        Encoding.ASCII.GetBytes("fmt ").CopyTo(header, 48);
        BinaryPrimitives.WriteInt32LittleEndian(header.AsSpan(52), 16);
        BinaryPrimitives.WriteInt16LittleEndian(header.AsSpan(56), 3);
        BinaryPrimitives.WriteInt16LittleEndian(header.AsSpan(58), 1);
        BinaryPrimitives.WriteInt32LittleEndian(header.AsSpan(60), 48_000);
        BinaryPrimitives.WriteInt32LittleEndian(header.AsSpan(64), 48_000 * BytesPerFrame);
        BinaryPrimitives.WriteInt16LittleEndian(header.AsSpan(68), BytesPerFrame);
        BinaryPrimitives.WriteInt16LittleEndian(header.AsSpan(70), 64);
        Encoding.ASCII.GetBytes("data").CopyTo(header, 72);
        header.AsSpan(76, 4).Fill(0xFF);
        using var stream = File.Create(file);
        stream.Write(header);
        stream.SetLength(80 + data);
    }
}
