using System.Diagnostics;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Tests.Files;

/// <summary>Recordings of several files on disk, split by programs of others: sox, ffmpeg, flac and libsndfile's tools (Debian packages of these names; sndfile-programs).</summary>
public sealed class SplitFilesTests : IDisposable
{
    private const int Rate = 48_000;

    private readonly string _folder = Directory.CreateTempSubdirectory("split-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private void Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { UseShellExecute = false, RedirectStandardError = true, WorkingDirectory = _folder })!;
        var complaints = process.StandardError.ReadToEnd();
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, complaints);
    }

    /// <summary>Three seconds of two channels in 24 bits.</summary>
    private void Write(string name, int channels = 2)
    {
        var random = new Random(12);
        using var file = File.Create(Path.Combine(_folder, name));
        using var writer = new WaveWriter(file, Rate, channels, WaveSampleFormat.Integer24);
        writer.Write([.. Enumerable.Range(0, 3 * Rate * channels).Select(i => 0.3 * ((2 * random.NextDouble()) - 1) * (1 + Math.Sin(i / 20_000.0)))]);
    }

    private OpenedRecording Open(params IReadOnlyList<TrackFiles> tracks) => OpenedRecording.Open(new("f1", tracks[0].Parts[0], null, null) { Tracks = tracks }, _folder);

    private static double[] Levels(Recording recording, int channel)
    {
        var levels = LevelAnalysis.Measure(recording.Samples!, channel, 20_000, 100_000, new LevelSettings(), null, TestContext.Current.CancellationToken);
        return [levels.MeanSquare(FrequencyWeighting.A), levels.MeanSquare(FrequencyWeighting.C), levels.MeanSquare(FrequencyWeighting.Z), levels.PeakC, .. levels.Thirds.Select(t => t.MeanSquare)];
    }

    [Theory]
    [InlineData("sox"), InlineData("ffmpeg"), InlineData("flac")]
    public void Parts_cut_by_others_have_the_levels_of_the_whole(string by)
    {
        Write("whole.wav");
        var ending = by == "flac" ? "flac" : "wav";
        foreach (var (part, from, frames) in new[] { (1, 0, 50_001), (2, 50_001, 333), (3, 50_334, (3 * Rate) - 50_334) })
        {
            var name = $"part-{part}.wav";
            if (by == "ffmpeg") Run("ffmpeg", "-v", "error", "-i", "whole.wav", "-af", $"atrim=start_sample={from}:end_sample={from + frames}", "-c:a", "pcm_s24le", "-write_bext", "1", "-metadata", $"time_reference={(1_000_000L * Rate) + from - (950_000L * Rate)}", name);
            else Run("sox", "-D", "whole.wav", name, "trim", $"{from}s", $"{frames}s");
            if (by == "flac") Run("flac", "--silent", "--delete-input-file", name);
        }
        using var whole = Open(new TrackFiles(1, ["whole.wav"]));
        using var split = Open(new TrackFiles(1, [$"part-1.{ending}", $"part-2.{ending}", $"part-3.{ending}"]));
        Assert.Empty(split.Problems);
        Assert.Equal(whole.Recording!.Frames, split.Recording!.Frames);
        for (var channel = 0; channel < 2; channel++) Assert.Equal(Levels(whole.Recording, channel), Levels(split.Recording, channel));
        Assert.Equal([$"part-1.{ending}", $"part-2.{ending}", $"part-3.{ending}"], split.Inputs.Select(i => i.File));
        Assert.Equal(3, split.Inputs.Select(i => i.Sha256).Distinct(StringComparer.Ordinal).Count());
        Assert.DoesNotContain(split.Sha256, split.Inputs.Select(i => i.Sha256));
        Assert.Equal(whole.Inputs[0].Sha256, whole.Sha256);
        if (by == "ffmpeg") Assert.Equal(50_000L * Rate, split.Recording.SamplesSinceMidnight);
    }

    [Fact]
    public void A_time_reference_written_by_libsndfile_shows_the_missing_part()
    {
        Write("whole.wav", channels: 1);
        foreach (var (part, from) in new[] { (1, 0), (2, 96_000) })
        {
            Run("sox", "-D", "whole.wav", $"plain-{part}.wav", "trim", $"{from}s", "48000s");
            Run("sndfile-metadata-set", "--bext-description", "flight", "--bext-originator", "recorder", "--bext-orig-date", "2026-05-14", "--bext-orig-time", "10:12:30", "--bext-time-ref", $"{1_764_000_000L + from}", $"plain-{part}.wav", $"part-{part}.wav");
        }
        using var split = Open(new TrackFiles(1, ["part-1.wav", "part-2.wav"]));
        var problem = Assert.Single(split.Problems);
        Assert.Equal("REC-061", problem.Code);
        Assert.Contains("1000 ms (48000 frames)", problem.Found, StringComparison.Ordinal);
    }

    [Fact]
    public void Channels_taken_apart_by_sox_are_put_together_with_one_of_them_split()
    {
        Write("whole.wav", channels: 3);
        Run("sox", "-D", "whole.wav", "ears.wav", "remix", "1", "2");
        Run("sox", "-D", "whole.wav", "seat.wav", "remix", "3");
        Run("sox", "-D", "seat.wav", "seat-1.wav", "trim", "0s", "70001s");
        Run("sox", "-D", "seat.wav", "seat-2.wav", "trim", "70001s");
        using var whole = Open(new TrackFiles(1, ["whole.wav"]));
        using var together = Open(new TrackFiles(1, ["ears.wav"]), new TrackFiles(3, ["seat-1.wav", "seat-2.wav"]));
        Assert.Empty(together.Problems);
        Assert.Equal(3, together.Recording!.Channels);
        for (var channel = 0; channel < 3; channel++) Assert.Equal(Levels(whole.Recording!, channel), Levels(together.Recording, channel));
        Assert.Equal(["ears.wav", "seat-1.wav", "seat-2.wav"], together.Inputs.Select(i => i.File));
    }

    [Fact]
    public void A_part_that_is_not_there_is_named()
    {
        Write("part-1.wav");
        using var split = Open(new TrackFiles(1, ["part-1.wav", "part-2.wav"]));
        var problem = Assert.Single(split.Problems);
        Assert.Equal(("REC-041", "part-2.wav"), (problem.Code, problem.Where));
        Assert.Null(split.Recording!.Samples);
    }

    [Fact]
    public void Files_whose_references_adjoin_are_proposed_until_the_document_joins_them()
    {
        Write("whole.wav", channels: 1);
        foreach (var (part, from) in new[] { ("alpha", 0), ("beta", 48_000), ("gamma", 96_000) })
        {
            Run("sox", "-D", "whole.wav", "plain.wav", "trim", $"{from}s", "48000s");
            Run("sndfile-metadata-set", "--bext-description", "flight", "--bext-orig-date", "2026-05-14", "--bext-time-ref", $"{1_764_000_000L + from}", "plain.wav", $"{part}.wav");
        }
        var proposal = Assert.Single(BelongingFiles.Proposals(_folder, null));
        Assert.Equal(("REC-068", Severity.Note), (proposal.Code, proposal.Severity));
        Assert.Contains("files: [alpha.wav, beta.wav, gamma.wav]", proposal.Remedy, StringComparison.Ordinal);
        using var joined = Open(new TrackFiles(1, ["alpha.wav", "beta.wav", "gamma.wav"]));
        Assert.Empty(joined.Problems);
        Assert.Equal(3L * Rate, joined.Recording!.Frames);
        var (document, _) = TrialDocumentReader.Read("""
            hushtrial: 1
            trial: { title: split, quantity: insertion-loss, design: sequential }
            channels: [{ id: ear, where: ear, number: 1 }]
            recordings: [{ id: f1, files: [alpha.wav, beta.wav, gamma.wav], run: F1 }]
            devices: [{ id: elm, kind: over-ear }]
            conditions: [{ id: elm, device: elm }]
            runs: [{ id: F1 }]
            takes: []
            """, "trial.yaml");
        Assert.Empty(BelongingFiles.Proposals(_folder, document));
        // A trial in a folder begins by the recorder's clock.
        File.WriteAllText(Path.Combine(_folder, "trial.yaml"), TrialDocumentWriter.Write(document!));
        using var folder = TrialFolder.Open(_folder);
        Assert.Equal((1_764_000_000.0 / Rate, 0.0), (folder.Document!.Runs[0].StartOfDay, folder.Document.Recordings[0].StartClock!.Value));
        Assert.Equal(4, folder.Inputs.Count);
    }
}
