using System.Text.Json;
using Hushtrial.Cli;
using Hushtrial.Signals.Recordings;
using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Acceptance.Tests;

/// <summary>Levels are kept beside a trial's recordings; the sound goes when it is asked for by name, and the results stay. Invented data.</summary>
public sealed class KeepCommandTests
{
    private const int Rate = 16_000;

    [Fact]
    public async Task Results_stay_when_the_sound_goes_and_nothing_goes_unasked()
    {
        using var folder = new TemporaryFolder();
        Write(folder);
        var before = await CommandRun.Of("analyse", folder.Path, "--format", "json");
        Assert.Equal(ExitCode.Done, before.ExitCode);
        var kept = await CommandRun.Of("keep", folder.Path);
        Assert.Equal(ExitCode.Done, kept.ExitCode);
        Assert.Contains("--delete-sound", kept.Out, StringComparison.Ordinal);
        Assert.True(File.Exists(folder["ear.wav"]) && File.Exists(folder["tone.wav"]) && File.Exists(folder["ear.wav.levels.json"]) && File.Exists(folder["tone.wav.levels.json"]));
        // The sound still counts before what was kept.
        Assert.DoesNotContain("PRV-003", (await CommandRun.Of("analyse", folder.Path, "--format", "json")).Out, StringComparison.Ordinal);

        var document = await File.ReadAllTextAsync(folder["trial.yaml"], TestContext.Current.CancellationToken);
        var deleted = await CommandRun.Of("keep", folder.Path, "--delete-sound", "--format", "json");
        Assert.Equal(ExitCode.Done, deleted.ExitCode);
        Assert.Equal((true, "ear.wav, tone.wav", 0), (deleted.Json.GetProperty("sound_deleted").GetBoolean(), string.Join(", ", deleted.Json.GetProperty("deleted").EnumerateArray().Select(f => f.GetString())), deleted.Json.GetProperty("left").GetArrayLength()));
        Assert.Equal(["ear.wav.levels.json", "tone.wav.levels.json", "trial.yaml"], Directory.GetFiles(folder.Path).Select(f => Path.GetFileName(f)!).Order(StringComparer.Ordinal));
        Assert.Equal(document, await File.ReadAllTextAsync(folder["trial.yaml"], TestContext.Current.CancellationToken));
        var after = await CommandRun.Of("analyse", folder.Path, "--format", "json");
        Assert.Equal(ExitCode.Done, after.ExitCode);
        Assert.Contains("PRV-003", after.Out, StringComparison.Ordinal);
        var (first, second) = (Numbers(before.Json), Numbers(after.Json));
        Assert.Equal(first.Count, second.Count);
        Assert.All(first.Zip(second), p => Assert.Equal(p.First, p.Second, 0.01));
        // There is no sound any more to keep levels of.
        Assert.Equal(ExitCode.WrongUse, (await CommandRun.Of("keep", folder.Path)).ExitCode);
    }

    [Fact]
    public async Task What_a_link_leads_to_goes_with_it_and_a_trial_with_errors_stays_whole()
    {
        using var folder = new TemporaryFolder();
        Write(folder);
        Directory.CreateDirectory(folder["sound"]);
        File.Move(folder["ear.wav"], folder["sound/first.wav"]);
        File.CreateSymbolicLink(folder["ear.wav"], Path.Combine("sound", "first.wav"));
        var deleted = await CommandRun.Of("keep", folder.Path, "--delete-sound");
        Assert.Equal(ExitCode.Done, deleted.ExitCode);
        Assert.False(File.Exists(folder["sound/first.wav"]) || new FileInfo(folder["ear.wav"]).LinkTarget is not null);

        using var faulty = new TemporaryFolder();
        Write(faulty);
        await File.WriteAllTextAsync(faulty["trial.yaml"], (await File.ReadAllTextAsync(faulty["trial.yaml"], TestContext.Current.CancellationToken)).Replace("condition: elm", "condition: ash", StringComparison.Ordinal), TestContext.Current.CancellationToken);
        Assert.Equal(ExitCode.Problems, (await CommandRun.Of("keep", faulty.Path, "--delete-sound")).ExitCode);
        Assert.Equal(["ear.wav", "tone.wav", "trial.yaml"], Directory.GetFiles(faulty.Path).Select(f => Path.GetFileName(f)!).Order(StringComparer.Ordinal));
    }

    /// <summary>Levels of the takes, and losses of the conditions with their intervals, in the order written.</summary>
    private static List<double> Numbers(JsonElement results)
    {
        var numbers = new List<double>();
        void Gather(JsonElement e)
        {
            if (e.ValueKind == JsonValueKind.Number) numbers.Add(e.GetDouble());
            else if (e.ValueKind == JsonValueKind.Object) foreach (var member in e.EnumerateObject().Where(m => m.Name is not "findings")) Gather(member.Value);
            else if (e.ValueKind == JsonValueKind.Array) foreach (var item in e.EnumerateArray()) Gather(item);
        }
        foreach (var part in new[] { "takes", "conditions" }) Gather(results.GetProperty(part));
        Assert.True(numbers.Count > 50, "Too few numbers to compare.");
        return numbers;
    }

    private static void Write(TemporaryFolder folder)
    {
        var random = new SeededGenerator(4);
        Sound(folder["ear.wav"], 40, n => (n / Rate / 8 % 2 == 0 ? 0.1 : 0.01) * random.NextNormal());
        Sound(folder["tone.wav"], 6, n => 0.05 * Math.Sqrt(2) * Math.Sin(2 * Math.PI * 1000 * n / Rate));
        File.WriteAllText(folder["trial.yaml"], """
            hushtrial: 1
            trial: { title: Sound that goes, quantity: insertion-loss, design: sequential }   # invented
            channels: [{ id: ear, where: ear, number: 1 }]
            recordings: [{ id: ear, file: ear.wav, run: F1, starts: 10:00:00 }, { id: tone, file: tone.wav }]
            calibrations: [{ channel: ear, kind: tone, recording: tone, from: 0:01, to: 0:05, level_db: 94, hertz: 1000, when: before }]
            devices: [{ id: elm, kind: over-ear }]
            conditions: [{ id: elm, device: elm }]
            runs: [{ id: F1 }]
            takes:
              - { id: T1, condition: open, recording: ear, from: 1, to: 7 }
              - { id: T2, condition: elm, fit: D1, recording: ear, from: 9, to: 15 }
              - { id: T3, condition: open, recording: ear, from: 17, to: 23 }
              - { id: T4, condition: elm, fit: D2, recording: ear, from: 25, to: 31 }
              - { id: T5, condition: open, recording: ear, from: 33, to: 39 }
            """);
    }

    private static void Sound(string path, int seconds, Func<int, double> sample)
    {
        using var file = File.Create(path);
        using var writer = new WaveWriter(file, Rate, 1, WaveSampleFormat.Integer16);
        writer.Write([.. Enumerable.Range(0, seconds * Rate).Select(sample)]);
    }
}
