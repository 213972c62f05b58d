using Hushtrial.Cli;
using Hushtrial.Signals.Recordings;
using Hushtrial.Tests;

namespace Hushtrial.Acceptance.Tests;

public sealed class LevelsCommandTests
{
    [Fact]
    public async Task A_sine_that_just_reaches_full_scale_has_an_unweighted_level_of_3_dB_below_full_scale()
    {
        using var folder = new TemporaryFolder();
        WriteSine(folder["sine.wav"], amplitude: 1);
        var run = await CommandRun.Of("levels", folder["sine.wav"], "--from", "1", "--format", "json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        var leq = run.Json.GetProperty("leq");
        // 10 lg (1/2); 24-bit steps and the filters' ripple at 1 kHz stay below 0.01 dB.
        Assert.Equal(-3.0103, leq.GetProperty("z").GetDouble(), 0.01);
        Assert.Equal(-3.0103, leq.GetProperty("a").GetDouble(), 0.01);
        Assert.False(run.Json.GetProperty("calibrated").GetBoolean());
        Assert.Equal(31, run.Json.GetProperty("bands").GetArrayLength());
        Assert.Equal(10, run.Json.GetProperty("octaves").GetArrayLength());
    }

    [Fact]
    public async Task Flat_tops_in_the_measured_span_are_a_warning()
    {
        using var folder = new TemporaryFolder();
        // An 80 Hz sine 1.6 times full scale from second 1 on.
        WriteSine(folder["clip.wav"], amplitude: 1.6, hertz: 80, from: 1);
        var run = await CommandRun.Of("levels", folder["clip.wav"], "--from", "1", "--format", "json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        var problem = Assert.Single(run.Json.GetProperty("problems").EnumerateArray());
        Assert.Equal(("TAK-010", "warning"), (problem.GetProperty("code").GetString(), problem.GetProperty("severity").GetString()));
        Assert.EndsWith("clip.wav, channel 1", problem.GetProperty("where").GetString(), StringComparison.Ordinal);
        var before = await CommandRun.Of("levels", folder["clip.wav"], "--to", "0.9", "--format", "json");
        Assert.Empty(before.Json.GetProperty("problems").EnumerateArray());
    }

    [Fact]
    public async Task The_level_of_full_scale_is_added_and_a_calibrators_recording_gives_its_own_level_back()
    {
        using var folder = new TemporaryFolder();
        WriteSine(folder["tone.wav"], amplitude: 0.01);
        var stated = await CommandRun.Of("levels", folder["tone.wav"], "--from", "1", "--full-scale-db", "137.0103", "--format", "json");
        Assert.Equal(94, stated.Json.GetProperty("leq").GetProperty("z").GetDouble(), 0.01);
        Assert.True(stated.Json.GetProperty("calibrated").GetBoolean());
        var toned = await CommandRun.Of("levels", folder["tone.wav"], "--from", "1", "--calibration", folder["tone.wav"], "--calibration-level", "94", "--format", "json");
        Assert.Equal(94, toned.Json.GetProperty("leq").GetProperty("a").GetDouble(), 0.01);
    }

    [Fact]
    public async Task The_history_has_one_row_per_step_and_one_column_per_band()
    {
        using var folder = new TemporaryFolder();
        WriteSine(folder["sine.wav"], amplitude: 0.5);
        var run = await CommandRun.Of("levels", folder["sine.wav"], "--history", "--format", "json");
        var history = run.Json.GetProperty("history");
        Assert.Equal(0.125, history.GetProperty("step_s").GetDouble());
        Assert.Equal(24, history.GetProperty("leq_a").GetArrayLength());
        Assert.Equal(24, history.GetProperty("bands").GetArrayLength());
        Assert.Equal(31, history.GetProperty("bands")[0].GetArrayLength());
    }

    public static TheoryData<string> BrokenRecordings() =>
        [.. Directory.GetFiles(Path.Combine(Reference.Root, "corpus", "recordings"), "bad.*").Select(f => Path.GetFileName(f)!).Order()];

    [Theory, MemberData(nameof(BrokenRecordings))]
    public async Task A_broken_recording_gives_exit_code_1_and_a_problem_never_a_stack_trace(string file)
    {
        var run = await CommandRun.Of("levels", Path.Combine(Reference.Root, "corpus", "recordings", file));
        Assert.Equal(ExitCode.Problems, run.ExitCode);
        Assert.Matches(@"^(REC|CAL)-\d{3} ", run.Error);
        Assert.Contains("; expected ", run.Error);
        Assert.DoesNotContain("   at ", run.Error);
    }

    public static TheoryData<string> OddRecordings() =>
        [.. Directory.GetFiles(Path.Combine(Reference.Root, "corpus", "recordings"), "odd.*").Select(f => Path.GetFileName(f)!).Order()];

    [Theory, MemberData(nameof(OddRecordings))]
    public async Task An_odd_recording_is_measured_and_what_is_odd_is_said(string file)
    {
        var run = await CommandRun.Of("levels", Path.Combine(Reference.Root, "corpus", "recordings", file));
        Assert.Equal(ExitCode.Done, run.ExitCode);
        Assert.Matches(@"^REC-\d{3} (warning|note)", run.Error);
        Assert.Contains("LAeq", run.Out);
    }

    [Fact]
    public void There_are_at_least_25_broken_recordings() => Assert.True(BrokenRecordings().Count >= 25);

    [Theory]
    [InlineData("levels")]
    [InlineData("levels", "x.wav", "--from", "abc")]
    [InlineData("levels", "x.wav", "--calibration", "y.wav")]
    [InlineData("nonsense")]
    [InlineData("check", "no-such-folder")]
    public async Task Wrong_use_gives_exit_code_2(params string[] args) => Assert.Equal(ExitCode.WrongUse, (await CommandRun.Of(args)).ExitCode);

    private static void WriteSine(string path, double amplitude, double hertz = 1000, double from = 0)
    {
        using var stream = File.Create(path);
        using var writer = new WaveWriter(stream, 48_000, 1, WaveSampleFormat.Integer24);
        var samples = new double[3 * 48_000];
        for (var i = 0; i < samples.Length; i++) samples[i] = (i < from * 48_000 ? 0.1 : 1) * amplitude * Math.Sin(2 * Math.PI * hertz * i / 48_000);
        writer.Write([.. samples.Select(s => Math.Clamp(s, -1, 1))]);
    }
}
