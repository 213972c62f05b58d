using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Recordings;

/// <summary>corpus/recordings/bad.* (an error) and odd.* (readable, with a warning or note): one fault each; messages.txt pins what is said of them.</summary>
public class BadRecordingsTests
{
    private static IEnumerable<string> Files => new[] { "bad.*", "odd.*" }.SelectMany(kind => Directory.GetFiles(GoodRecordingsTests.Folder, kind)).Select(f => Path.GetFileName(f)!).Order(StringComparer.Ordinal);

    private static IEnumerable<Problem> Problems(Recording recording) => recording.Problems.Concat(SampleScan.Of(recording, cancellation: TestContext.Current.CancellationToken));

    [Fact]
    public void Every_fault_is_told_in_the_pinned_words()
    {
        var told = new StringBuilder();
        foreach (var file in Files)
        {
            using var recording = GoodRecordingsTests.Open(file);
            told.Append(file).Append(recording.Samples is null ? ": not read\n" : $": {recording.Frames} frames\n");
            foreach (var problem in Problems(recording)) told.Append("  ").Append(problem).Append('\n');
        }
        // To pin new words: look at what is told, then copy it beside the recordings.
        File.WriteAllText(Path.Combine(AppContext.BaseDirectory, "messages.received.txt"), told.ToString());
        Assert.Equal(File.ReadAllText(Path.Combine(GoodRecordingsTests.Folder, "messages.txt")), told.ToString());
    }

    [Fact]
    public void Every_bad_file_has_a_problem_with_a_place_and_a_remedy()
    {
        Assert.InRange(Files.Count(), 25, 200);
        foreach (var file in Files)
        {
            using var recording = GoodRecordingsTests.Open(file);
            Assert.NotEmpty(Problems(recording));
            Assert.All(Problems(recording), p =>
            {
                Assert.StartsWith(file, p.Where, StringComparison.Ordinal);
                Assert.True(p.Found.Length > 0 && p.Expected.Length > 0 && p.Remedy.EndsWith('.'), p.ToString());
            });
            Assert.Equal(file.StartsWith("bad.", StringComparison.Ordinal), Problems(recording).Any(p => p.Severity == Severity.Error));
            // What cannot be read has an error that says why.
            if (recording.Samples is null) Assert.Contains(recording.Problems, p => p.Severity == Severity.Error);
        }
    }

    [Theory]
    [InlineData("bad.truncated.wav", 1800)]
    [InlineData("bad.truncated.w64", 1500)]
    [InlineData("bad.truncated.aiff", 1000)]
    [InlineData("bad.claims-200-gb.wav", 2400)]
    public void A_truncated_recording_is_an_error_until_it_is_allowed_and_its_readable_part_is_read(string file, int frames)
    {
        var bytes = File.ReadAllBytes(Path.Combine(GoodRecordingsTests.Folder, file));
        using var refused = Recording.Open(new BufferedBytes(bytes), file);
        using var allowed = Recording.Open(new BufferedBytes(bytes), file, Truncation.IsAllowed);
        Assert.False(refused.IsUsable);
        Assert.True(allowed.IsUsable);
        Assert.Equal(Severity.Warning, Assert.Single(allowed.Problems).Severity);
        Assert.Equal((long)frames, allowed.Frames);
        Assert.Equal(allowed.Frames, refused.Frames);
        var read = new double[frames];
        allowed.Samples!.Read(0, 0, read);
        // The same sine as in the good files; half a step of 16 bits.
        for (var n = 0; n < frames; n++) Assert.InRange(read[n] - (Math.Pow(10, -0.3) * Math.Sin(2 * Math.PI * n / 48)), -1 / 65536.0, 1 / 65536.0);
    }

    [Theory]
    [InlineData("odd.power-lost.wav")]
    [InlineData("odd.piped.wav")]
    public void A_recording_without_a_length_is_read_to_its_end(string file)
    {
        using var recording = GoodRecordingsTests.Open(file);
        Assert.True(recording.IsUsable);
        Assert.Equal(2400, recording.Frames);
    }

    [Fact]
    public void Values_that_are_no_numbers_are_read_as_zero()
    {
        using var recording = GoodRecordingsTests.Open("bad.not-numbers.wav");
        var samples = new double[2400];
        recording.Samples!.Read(0, 0, samples);
        Assert.Equal([0, 0, 0], samples[1200..1203]);
        Assert.All(samples, x => Assert.True(double.IsFinite(x)));
    }
}
