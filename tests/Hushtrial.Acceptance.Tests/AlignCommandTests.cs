using System.Globalization;
using Hushtrial.Cli;
using Hushtrial.Signals.Recordings;
using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Acceptance.Tests;

/// <summary>Two recorders and a logger in one cabin, with clocks set by different watches. Invented data.</summary>
public sealed class AlignCommandTests
{
    private const int Rate = 16_000;
    private const double Seconds = 600;
    private const double Late = 41.37;
    private const double LogLate = 20.4;

    /// <summary>Level of the cabin every 25 ms: it moves by a decibel within seconds.</summary>
    private static double[] Cabin(double seconds)
    {
        var random = new SeededGenerator(11);
        var (levels, fast) = (new double[(int)(((1.1 * seconds) + 60) / 0.025)], 0.0);
        for (var i = 0; i < levels.Length; i++) levels[i] = -30 + (fast = (0.98 * fast) + (0.2 * random.NextNormal()));
        return levels;
    }

    private static void Record(string path, double[] cabin, double begins, double seconds, ulong seed)
    {
        var random = new SeededGenerator(seed);
        using var file = File.Create(path);
        using var writer = new WaveWriter(file, Rate, 1, WaveSampleFormat.Integer16);
        writer.Write([.. Enumerable.Range(0, (int)(seconds * Rate)).Select(n => Math.Pow(10, cabin[(int)((begins + ((double)n / Rate)) / 0.025)] / 20) * random.NextNormal())]);
    }

    internal static void Write(TemporaryFolder folder, double seconds)
    {
        var cabin = Cabin(seconds);
        Record(folder["ear.wav"], cabin, 0, seconds, 1);
        Record(folder["seat.wav"], cabin, Late, seconds, 2);
        // The logger's clock is 7 s fast.
        File.WriteAllLines(folder["log.csv"], Enumerable.Range(0, (int)seconds - 50).Select(i => string.Create(CultureInfo.InvariantCulture,
            $"{TimeSpan.FromSeconds(36_000 + 20 + 7 + i):hh\\:mm\\:ss};{100 + (10 * Math.Log10(Enumerable.Range(0, 40).Average(k => Math.Pow(10, cabin[(int)((LogLate + i) / 0.025) + k] / 10)))):0.0}")));
        File.WriteAllText(folder["trial.yaml"], """
            hushtrial: 1
            trial: { title: Two recorders and a logger, quantity: insertion-loss, design: sequential }   # invented
            channels:
              - { id: ear, where: ear, number: 1 }
            recordings:
              - { id: ear, file: ear.wav, run: F1, starts: 10:00:00 }
              - { id: seat, file: seat.wav, run: F1, starts: 10:00:55 }   # by another watch
            logs:
              - id: log
                file: log.csv
                where: outside
                run: F1
                delimiter: semicolon
                first_line: 1
                stamp: start
                interval_s: 1
                columns: { 1: clock, 2: LAeq }
            devices: [{ id: elm, kind: over-ear }]
            conditions: [{ id: elm, device: elm }]
            runs: [{ id: F1 }]
            takes:
              - { id: T1, condition: open, recording: ear, from: 10, to: 20 }
              - { id: T2, condition: elm, fit: D1, recording: ear, from: 40, to: 50 }
            """);
    }

    [Fact]
    public async Task Clocks_are_found_written_and_then_hold()
    {
        using var folder = new TemporaryFolder();
        Write(folder, Seconds);
        var before = await File.ReadAllTextAsync(folder["trial.yaml"], TestContext.Current.CancellationToken);
        var found = await CommandRun.Of("align", folder.Path, "--format", "json");
        Assert.Equal(ExitCode.Done, found.ExitCode);
        Assert.Equal(before, await File.ReadAllTextAsync(folder["trial.yaml"], TestContext.Current.CancellationToken));
        var pairs = found.Json.GetProperty("pairs").EnumerateArray().ToList();
        Assert.Equal(["seat on ear", "log on ear", "log on seat"], pairs.Select(p => $"{p.GetProperty("other")} on {p.GetProperty("reference")}"));
        Assert.Equal(Late, pairs[0].GetProperty("offset_s").GetDouble(), 0.1);
        Assert.Equal(LogLate, pairs[1].GetProperty("offset_s").GetDouble(), 0.1);
        Assert.Equal(LogLate - Late, pairs[2].GetProperty("offset_s").GetDouble(), 0.15);
        Assert.All(pairs, p => Assert.InRange(p.GetProperty("residual_rms_s").GetDouble(), 0, 0.2));
        Assert.Contains(found.Json.GetProperty("problems").EnumerateArray(), p => p.GetProperty("code").GetString() == "ALG-002");

        var written = await CommandRun.Of("align", folder.Path, "--write");
        Assert.Equal(ExitCode.Done, written.ExitCode);
        var after = await File.ReadAllTextAsync(folder["trial.yaml"], TestContext.Current.CancellationToken);
        Assert.Contains("# by another watch", after, StringComparison.Ordinal);
        Assert.Contains("clock_offset_s: -13.", after, StringComparison.Ordinal);
        var again = await CommandRun.Of("align", folder.Path, "--format", "json");
        Assert.All(again.Json.GetProperty("pairs").EnumerateArray(), p => Assert.InRange(p.GetProperty("document_error_s").GetDouble(), 0, 0.1));
        Assert.DoesNotContain(again.Json.GetProperty("problems").EnumerateArray(), p => p.GetProperty("code").GetString() == "ALG-002");
    }

    [Fact]
    public async Task A_reference_that_is_not_there_is_wrong_use()
    {
        using var folder = new TemporaryFolder();
        Write(folder, 60);
        var run = await CommandRun.Of("align", folder.Path, "--reference", "tail");
        Assert.Equal(ExitCode.WrongUse, run.ExitCode);
    }

    [Fact]
    public async Task A_split_recording_gives_the_results_of_the_whole()
    {
        using var folder = new TemporaryFolder();
        Write(folder, 60);
        using (var whole = Recording.Open(new BufferedBytes(await File.ReadAllBytesAsync(folder["ear.wav"], TestContext.Current.CancellationToken)), "ear.wav"))
        {
            var samples = new double[whole.Frames];
            whole.Samples!.Read(0, 0, samples);
            foreach (var (name, from, to) in new[] { ("ear-1.wav", 0, 35 * Rate), ("ear-2.wav", 35 * Rate, samples.Length) })
            {
                using var file = File.Create(folder[name]);
                using var writer = new WaveWriter(file, Rate, 1, WaveSampleFormat.Integer16);
                writer.Write(samples.AsSpan(from, to - from));
            }
        }
        var one = await CommandRun.Of("analyse", folder.Path, "--format", "json");
        await File.WriteAllTextAsync(folder["trial.yaml"], (await File.ReadAllTextAsync(folder["trial.yaml"], TestContext.Current.CancellationToken)).Replace("file: ear.wav", "files: [ear-1.wav, ear-2.wav]", StringComparison.Ordinal), TestContext.Current.CancellationToken);
        var two = await CommandRun.Of("analyse", folder.Path, "--format", "json");
        Assert.Equal(one.Json.GetProperty("conditions").GetRawText(), two.Json.GetProperty("conditions").GetRawText());
        Assert.Equal(["ear-1.wav", "ear-2.wav"], two.Json.GetProperty("inputs").EnumerateArray().Select(i => i.GetProperty("file").GetString()).Where(f => f!.StartsWith("ear", StringComparison.Ordinal)));
    }
}
