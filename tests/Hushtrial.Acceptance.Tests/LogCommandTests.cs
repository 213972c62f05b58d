using System.Globalization;
using System.Text;
using Hushtrial.Cli;
using Hushtrial.Tests;

namespace Hushtrial.Acceptance.Tests;

public sealed class LogCommandTests
{
    private const double OpenLevel = 95;
    private const double Loss = 20;

    [Fact]
    public async Task A_log_with_an_open_question_prints_both_readings_and_no_entry()
    {
        var run = await CommandRun.Of("log", Path.Combine(Reference.Root, "corpus", "logs", "bad.date-order.csv"));
        Assert.Equal(ExitCode.Problems, run.ExitCode);
        Assert.Contains("LOG-020 error", run.Error);
        Assert.DoesNotContain("columns:", run.Out);
    }

    [Fact]
    public async Task Json_gives_roles_with_evidence_levels_and_the_entry()
    {
        var run = await CommandRun.Of("log", Path.Combine(Reference.Root, "corpus", "logs", "good.octaves-already-a-weighted.csv"), "--where", "outside", "--format", "json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        var third = run.Json.GetProperty("columns")[4];
        Assert.Equal("LAeq 125 Hz octave", third.GetProperty("role").GetString());
        Assert.Contains(third.GetProperty("evidence").EnumerateArray(), e => e.GetString()!.Contains("taken as A", StringComparison.Ordinal));
        Assert.Equal(60, run.Json.GetProperty("rows").GetInt64());
        Assert.Contains("where: outside", run.Json.GetProperty("section").GetString());
    }

    [Theory]
    [InlineData("--column", "two=LAeq")]
    [InlineData("--column", "2=loud")]
    [InlineData("--run-zone", "summer")]
    [InlineData("--interval", "0")]
    public async Task Wrong_use_is_named(string option, string value)
    {
        var run = await CommandRun.Of("log", Path.Combine(Reference.Root, "corpus", "logs", "good.midnight.csv"), option, value);
        Assert.Equal(ExitCode.WrongUse, run.ExitCode);
        Assert.Contains(option, run.Error);
    }

    [Fact]
    public async Task A_trial_of_logs_gives_the_loss_that_was_built_in()
    {
        using var folder = new TemporaryFolder();
        WriteLogs(folder);
        Assert.Equal(ExitCode.Done, (await CommandRun.Of("log", folder["ear.csv"], "--stamp", "start", "--into", folder.Path)).ExitCode);
        Assert.Equal(ExitCode.Done, (await CommandRun.Of("log", folder["seat.csv"], "--where", "outside", "--into", folder.Path)).ExitCode);
        var written = File.ReadAllText(folder["trial.yaml"]);
        Assert.StartsWith("# A remark that stays.\n", written);
        // The same name again is refused, and nothing is touched.
        var again = await CommandRun.Of("log", folder["seat.csv"], "--where", "outside", "--into", folder.Path);
        Assert.Contains("LOG-050", again.Error);
        Assert.Equal(written, File.ReadAllText(folder["trial.yaml"]));

        var run = await CommandRun.Of("analyse", folder.Path, "--out", folder["out"], "--format", "json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        var loss = run.Json.GetProperty("conditions")[0].GetProperty("loss");
        // The cabin rises by 6 dB from the open ear to the device; only the log outside can know it. Levels are written in tenths.
        Assert.Equal(Loss, loss.GetProperty("a").GetProperty("estimate").GetDouble(), 0.1);
        Assert.Equal(Loss, loss.GetProperty("bands").EnumerateArray().Single(b => b.GetProperty("midband_hz").GetDouble() == 125).GetProperty("estimate").GetDouble(), 0.1);
        Assert.Equal(["trial.yaml", "ear.csv", "seat.csv"], run.Json.GetProperty("inputs").EnumerateArray().Select(i => i.GetProperty("file").GetString()!));
        Assert.All(run.Json.GetProperty("inputs").EnumerateArray(), i => Assert.Matches("^[0-9a-f]{64}$", i.GetProperty("sha256").GetString()!));

        File.AppendAllText(folder["seat.csv"], "10:15:00;90;80;70\n");
        var changed = await CommandRun.Of("check", folder.Path);
        Assert.Equal(ExitCode.Problems, changed.ExitCode);
        Assert.Contains("LOG-005 error: seat.csv", changed.Error);
    }

    [Fact]
    public async Task Maxima_are_refused_as_takes_with_the_reason()
    {
        using var folder = new TemporaryFolder();
        WriteLogs(folder, "LAFmax");
        await CommandRun.Of("log", folder["ear.csv"], "--stamp", "start", "--column", "3=other", "4=other", "--into", folder.Path);
        await CommandRun.Of("log", folder["seat.csv"], "--where", "outside", "--into", folder.Path);
        var run = await CommandRun.Of("check", folder.Path);
        Assert.Equal(ExitCode.Problems, run.ExitCode);
        Assert.Contains("LOG-040 error: trial.yaml", run.Error);
        Assert.Contains("LAFmax", run.Error);
    }

    [Fact]
    public async Task A_date_unlike_the_run_s_is_said_and_the_time_of_day_used()
    {
        using var folder = new TemporaryFolder();
        WriteLogs(folder, date: "2000-01-01 ");
        await CommandRun.Of("log", folder["ear.csv"], "--stamp", "start", "--into", folder.Path);
        await CommandRun.Of("log", folder["seat.csv"], "--where", "outside", "--into", folder.Path);
        var run = await CommandRun.Of("check", folder.Path);
        Assert.Equal(ExitCode.Done, run.ExitCode);
        Assert.Contains("LOG-029 warning: ear.csv", run.Error);
    }

    /// <summary>A log at the ear and one outside, a row a second from 9:59: open, device, open, device, open, two minutes each, while the cabin gets louder.</summary>
    private static void WriteLogs(TemporaryFolder folder, string header = "LAeq", string date = "")
    {
        var (ear, seat) = (new StringBuilder($"Start time;{header};LZeq 125 Hz;LZeq 250 Hz\n"), new StringBuilder("Start time;LAeq;LZeq 125 Hz;LZeq 250 Hz\n"));
        for (var second = 0; second < 720; second++)
        {
            var block = (second - 60) / 120;
            var cabin = block * 1.5;
            var covered = block % 2 == 1;
            var clock = TimeSpan.FromSeconds((9 * 3600) + (59 * 60) + second);
            void Row(StringBuilder text, double level) => text.Append(CultureInfo.InvariantCulture, $"{date}{clock:hh\\:mm\\:ss};{level:F1};{level + 3:F1};{level - 2:F1}\n");
            Row(ear, OpenLevel + cabin - (covered ? Loss : 0));
            Row(seat, OpenLevel + 1 + cabin);
        }
        File.WriteAllText(folder["ear.csv"], ear.ToString());
        File.WriteAllText(folder["seat.csv"], seat.ToString());
        File.WriteAllText(folder["trial.yaml"], """
            # A remark that stays.
            hushtrial: 1
            trial: { title: Logs at the ear and outside, quantity: insertion-loss, design: outside-channel, meter_uncertainty_db: 0.7, date: 2026-05-14 }
            devices:
              - { id: alder, kind: over-ear }
            conditions:
              - { id: alder, device: alder }
            runs:
              - { id: F1, start: 10:00 }
            takes:
              - { id: T1, condition: open, log: ear, clock_from: 10:00:20, clock_to: 10:01:20 }
              - { id: T2, condition: alder, fit: A1, log: ear, clock_from: 10:02:20, clock_to: 10:03:20 }
              - { id: T3, condition: open, log: ear, line_from: 322, line_to: 381 }
              - { id: T4, condition: alder, fit: A2, log: ear, clock_from: 10:06:20, clock_to: 10:07:20 }
              - { id: T5, condition: open, log: ear, clock_from: 10:08:20, clock_to: 10:09:20 }

            """);
    }
}
