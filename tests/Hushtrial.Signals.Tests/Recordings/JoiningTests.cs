using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Recordings;

/// <summary>Files that belong together: the same numbers as from one file, or a problem that says why not.</summary>
public sealed class JoiningTests
{
    private const int Rate = 48_000;
    private const long Start = 36_750L * Rate;

    private static Recording[] Split(double[] samples, int channels, WaveSampleFormat format, int[] cuts, Func<int, long?>? reference = null)
    {
        int[] edges = [0, .. cuts, samples.Length / channels];
        return [.. Enumerable.Range(0, cuts.Length + 1).Select(i => WaveBytes.Open($"f1-{i + 1}.wav", samples[(edges[i] * channels)..(edges[i + 1] * channels)], Rate, channels, format, reference?.Invoke(edges[i]), padding: 37 * i))];
    }

    private static string Codes(Recording recording) => string.Join(' ', recording.Problems.Select(p => p.Code));

    [Theory]
    [InlineData(WaveSampleFormat.Integer16, 1), InlineData(WaveSampleFormat.Integer24, 2), InlineData(WaveSampleFormat.Integer24, 5), InlineData(WaveSampleFormat.Float32, 1), InlineData(WaveSampleFormat.Float32, 2)]
    public void A_take_over_the_joins_has_the_levels_of_the_unsplit_file_to_the_last_bit(WaveSampleFormat format, int channels)
    {
        var samples = WaveBytes.Noise(4 * Rate * channels, seed: 1);
        using var whole = WaveBytes.Open("f1.wav", samples, Rate, channels, format);
        // Joins inside a block of 125 ms, one behind the other, and at an odd frame.
        using var joined = Joining.InSequence(Split(samples, channels, format, [70_001, 70_002, 131_313]), "f1-1.wav … f1-4.wav");
        Assert.Equal((4L * Rate, channels, Rate, whole.Encoding), (joined.Frames, joined.Channels, joined.SampleRate, joined.Encoding));
        Assert.True(joined.IsUsable);
        var settings = new LevelSettings { History = true };
        for (var channel = 0; channel < channels; channel++)
        {
            var (a, b) = (LevelAnalysis.Measure(whole.Samples!, channel, 10_000, 150_000, settings, null, TestContext.Current.CancellationToken), LevelAnalysis.Measure(joined.Samples!, channel, 10_000, 150_000, settings, null, TestContext.Current.CancellationToken));
            Assert.Equal(Numbers(a), Numbers(b));
        }
        int[] all = [.. Enumerable.Range(0, channels)];
        var (before, after) = (SignalPass.Measure(whole.Samples!, all, 10_000, 150_000), SignalPass.Measure(joined.Samples!, all, 10_000, 150_000));
        Assert.Equal(before.Shapes.Select(s => (s.Peak, s.AtPeak)), after.Shapes.Select(s => (s.Peak, s.AtPeak)));

        static double[] Numbers(SpanLevels s) => [s.MeanSquare(FrequencyWeighting.A), s.MeanSquare(FrequencyWeighting.C), s.MeanSquare(FrequencyWeighting.Z), s.PeakC, s.MaxMeanSquare(FrequencyWeighting.A, TimeWeighting.Fast),
            .. s.Thirds.Select(t => t.MeanSquare), .. s.Octaves.Select(t => t.MeanSquare), .. s.History!.MeanSquareA.Select(x => (double)x)];
    }

    [Fact]
    public void Any_stretch_of_samples_is_that_of_the_unsplit_file()
    {
        var samples = WaveBytes.Noise(6000, seed: 2);
        using var whole = WaveBytes.Open("f1.wav", samples, Rate, 2, WaveSampleFormat.Integer24);
        using var joined = Joining.InSequence(Split(samples, 2, WaveSampleFormat.Integer24, [1, 2, 1000, 1001]), "f1");
        var random = new Random(3);
        for (var i = 0; i < 500; i++)
        {
            var from = random.Next(3000);
            var (a, b) = (new double[random.Next(3001 - from)], default(double[]));
            b = new double[a.Length];
            whole.Samples!.Read(i % 2, from, a);
            joined.Samples!.Read(i % 2, from, b);
            Assert.Equal(a, b);
        }
        Assert.Throws<ArgumentOutOfRangeException>(() => joined.Samples!.Read(0, 2999, new double[2]));
    }

    [Theory]
    [InlineData(44_100, 1, WaveSampleFormat.Integer24), InlineData(48_000, 2, WaveSampleFormat.Integer24), InlineData(48_000, 1, WaveSampleFormat.Integer16), InlineData(48_000, 1, WaveSampleFormat.Float32)]
    public void Parts_unlike_in_rate_channels_or_coding_are_refused_by_name(int rate, int channels, WaveSampleFormat format)
    {
        var samples = WaveBytes.Noise(2000, seed: 4);
        using var joined = Joining.InSequence([WaveBytes.Open("a.wav", samples, Rate, 1, WaveSampleFormat.Integer24), WaveBytes.Open("b.wav", samples, rate, channels, format)], "a.wav … b.wav");
        var problem = Assert.Single(joined.Problems);
        Assert.Equal(("REC-060", "b.wav"), (problem.Code, problem.Where));
        Assert.Contains("a.wav", problem.Found, StringComparison.Ordinal);
        Assert.Null(joined.Samples);
    }

    [Fact]
    public void Time_references_that_adjoin_are_silent_over_midnight_too()
    {
        var samples = WaveBytes.Noise(9000, seed: 5);
        foreach (var start in new[] { Start, (86_400L * Rate) - 4000 })
        {
            using var joined = Joining.InSequence(Split(samples, 1, WaveSampleFormat.Integer16, [3001, 6000], at => (start + at) % (86_400L * Rate)), "f1");
            Assert.Empty(joined.Problems);
            Assert.Equal(start, joined.SamplesSinceMidnight);
        }
    }

    [Theory]
    [InlineData(480, "REC-061", "10 ms (480 frames)"), InlineData(1, "REC-061", "0.021 ms (1 frames)"), InlineData(-4800, "REC-062", "100 ms (4800 frames)")]
    public void A_gap_and_an_overlap_are_told_with_their_size(int shift, string code, string size)
    {
        using var joined = Joining.InSequence(Split(WaveBytes.Noise(9000, seed: 6), 1, WaveSampleFormat.Integer16, [3000, 6000], at => Start + 1 + at + (at > 4000 ? shift : 0)), "f1");
        var problem = Assert.Single(joined.Problems);
        Assert.Equal((code, Severity.Error, "f1-3.wav"), (problem.Code, problem.Severity, problem.Where));
        Assert.Contains(size, problem.Found, StringComparison.Ordinal);
    }

    [Fact]
    public void A_wrong_order_is_told_with_the_one_that_fits()
    {
        var parts = Split(WaveBytes.Noise(9000, seed: 7), 1, WaveSampleFormat.Integer16, [3000, 6000], at => (86_400L * Rate) - 4000 + at is var x && x >= 86_400L * Rate ? x - (86_400L * Rate) : x);
        using var joined = Joining.InSequence([parts[2], parts[0], parts[1]], "f1");
        var problem = Assert.Single(joined.Problems);
        Assert.Equal("REC-063", problem.Code);
        Assert.Contains("f1-1.wav, f1-2.wav, f1-3.wav", problem.Expected, StringComparison.Ordinal);
    }

    [Fact]
    public void References_that_say_nothing_are_not_held_against_the_parts()
    {
        // The start of the whole in every part, or none; and whole seconds alone, behind a part that ends inside one.
        foreach (var reference in new Func<int, long?>[] { _ => 0, _ => Start, _ => null, at => (Start + at) / Rate * Rate })
        {
            using var joined = Joining.InSequence(Split(WaveBytes.Noise(200_000, seed: 8), 1, WaveSampleFormat.Integer16, [70_000, 140_000], reference), "f1");
            Assert.Empty(joined.Problems);
        }
    }

    [Fact]
    public void A_part_without_its_end_is_told_unless_it_is_the_last()
    {
        var samples = WaveBytes.Noise(9000, seed: 9);
        Recording Cut(string name) => Recording.Open(new BufferedBytes(WaveBytes.Of(samples, Rate, 1, WaveSampleFormat.Integer16).AsMemory(0, 10_000)), name, Truncation.IsAllowed);
        using var middle = Joining.InSequence([Cut("a.wav"), WaveBytes.Open("b.wav", samples, Rate, 1, WaveSampleFormat.Integer16)], "a");
        Assert.Equal("REC-014 REC-064", Codes(middle));
        using var last = Joining.InSequence([WaveBytes.Open("b.wav", samples, Rate, 1, WaveSampleFormat.Integer16), Cut("a.wav")], "a");
        Assert.Equal("REC-014", Codes(last));
    }

    [Fact]
    public void Channels_of_files_of_their_own_are_those_of_one_file()
    {
        var samples = WaveBytes.Noise(3 * 5000, seed: 10);
        double[] Channel(params int[] which) => [.. Enumerable.Range(0, 5000).SelectMany(n => which.Select(c => samples[(3 * n) + c]))];
        using var whole = WaveBytes.Open("f1.wav", samples, Rate, 3, WaveSampleFormat.Integer24);
        using var together = Joining.SideBySide([(3, WaveBytes.Open("seat.wav", Channel(2), Rate, 1, WaveSampleFormat.Integer24)), (1, WaveBytes.Open("ears.wav", Channel(0, 1), Rate, 2, WaveSampleFormat.Integer24, padding: 99))], "f1");
        Assert.Empty(together.Problems);
        Assert.Equal((3, 5000L), (together.Channels, together.Frames));
        for (var c = 0; c < 3; c++)
        {
            var (a, b) = (new double[5000], new double[5000]);
            whole.Samples!.Read(c, 0, a);
            together.Samples!.Read(c, 0, b);
            Assert.Equal(a, b);
        }
    }

    [Fact]
    public void Channels_unlike_in_rate_length_start_or_number_are_told()
    {
        var samples = WaveBytes.Noise(5000, seed: 11);
        Recording File(string name, int length = 5000, int rate = Rate, long? at = null) => WaveBytes.Open(name, samples[..length], rate, 1, WaveSampleFormat.Integer24, at);
        using var length = Joining.SideBySide([(1, File("a.wav")), (2, File("b.wav", 4520))], "f1");
        Assert.Equal("REC-065", Codes(length));
        Assert.Contains("10 ms (480 frames) more than b.wav", length.Problems[0].Found, StringComparison.Ordinal);
        Assert.Equal(4520, length.Frames);
        using var rate = Joining.SideBySide([(1, File("a.wav")), (2, File("b.wav", rate: 96_000))], "f1");
        Assert.Equal(("REC-060", false), (Codes(rate), rate.IsUsable));
        using var number = Joining.SideBySide([(1, File("a.wav")), (3, File("b.wav"))], "f1");
        Assert.Equal(("REC-066", false), (Codes(number), number.IsUsable));
        using var start = Joining.SideBySide([(1, File("a.wav", at: Start)), (2, File("b.wav", at: Start + 48))], "f1");
        Assert.Equal("REC-067", Codes(start));
        Assert.Contains("1 ms (48 frames) after", start.Problems[0].Found, StringComparison.Ordinal);
    }
}

/// <summary>Which files look like parts of one recording.</summary>
public sealed class SplitSequencesTests
{
    private const int Rate = 48_000;

    private static readonly double[] _samples = WaveBytes.Noise(1000, seed: 1);

    private static (Recording, long) File(string name, long? at = null, long bytes = 2000, int channels = 1) => (WaveBytes.Open(name, _samples, Rate, channels, WaveSampleFormat.Integer16, at), bytes);

    private static string Found(params (Recording, long)[] files) => string.Join("; ", SplitSequences.Find(files).Select(s => string.Join(" ", s.Parts)));

    [Fact]
    public void Time_references_that_adjoin_make_a_sequence_whatever_the_names() =>
        Assert.Equal("m.wav c.wav x.wav", Found(File("c.wav", 601_000), File("x.wav", 602_000), File("m.wav", 600_000), File("other.wav", 603_001)));

    [Theory]
    [InlineData(2_147_480_000, "f1-9.wav", "f1-10.wav", true), InlineData(4_294_900_000, "f1.wav", "f1-2.wav", true), InlineData(4_294_900_000, "f1.wav", "f1_0001.wav", true)]
    [InlineData(1_500_000_000, "f1-9.wav", "f1-10.wav", false), InlineData(2_147_480_000, "f1-9.wav", "f1-11.wav", false), InlineData(2_147_480_000, "f1-9.wav", "f2-10.wav", false)]
    public void Numbered_names_make_one_where_the_first_ends_at_a_size_of_recorders(long bytes, string first, string second, bool is_one) =>
        Assert.Equal(is_one ? $"{first} {second}" : "", Found(File(second), File(first, bytes: bytes)));

    [Fact]
    public void References_that_do_not_adjoin_and_unlike_formats_speak_against_it()
    {
        Assert.Equal("", Found(File("f1-1.wav", 600_000, 2_147_480_000), File("f1-2.wav", 700_000)));
        Assert.Equal("", Found(File("f1-1.wav", bytes: 2_147_480_000), File("f1-2.wav", channels: 2)));
        Assert.Equal("", Found(File("take-01.wav"), File("take-02.wav"), File("take-03.wav")));
    }
}
