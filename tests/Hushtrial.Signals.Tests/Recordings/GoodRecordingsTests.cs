using Hushtrial.Signals.Recordings;
using Hushtrial.Tests;

namespace Hushtrial.Signals.Tests.Recordings;

/// <summary>corpus/recordings/good.*: made by make.py from the formats' descriptions, one known sound in many dresses.</summary>
public class GoodRecordingsTests
{
    private static readonly double[] _peaks = [Math.Pow(10, -6 / 20.0), Math.Pow(10, -12 / 20.0)];
    private static readonly double[] _frequencies = [1000, 500];

    internal static string Folder { get; } = Path.Combine(Reference.Root, "corpus", "recordings");

    internal static Recording Open(string file) => Recording.Open(new BufferedBytes(File.ReadAllBytes(Path.Combine(Folder, file))), file);

    [Theory]
    [InlineData("good.pcm8.wav", ContainerFormat.Wave, "8-bit integer", 48000, 1, 2400)]
    [InlineData("good.pcm16.wav", ContainerFormat.Wave, "16-bit integer", 48000, 1, 2400)]
    [InlineData("good.pcm24.wav", ContainerFormat.Wave, "24-bit integer", 48000, 1, 2400)]
    [InlineData("good.pcm32.wav", ContainerFormat.Wave, "32-bit integer", 48000, 1, 2400)]
    [InlineData("good.pcm12-in-16.wav", ContainerFormat.Wave, "12-bit integer in 16 bits", 48000, 1, 2400)]
    [InlineData("good.float32.wav", ContainerFormat.Wave, "32-bit floating point", 48000, 1, 2400)]
    [InlineData("good.float64.wav", ContainerFormat.Wave, "64-bit floating point", 48000, 1, 2400)]
    [InlineData("good.stereo16.wav", ContainerFormat.Wave, "16-bit integer", 48000, 2, 2400)]
    [InlineData("good.stereo24.wav", ContainerFormat.Wave, "24-bit integer", 48000, 2, 2400)]
    [InlineData("good.six-channels24.wav", ContainerFormat.Wave, "24-bit integer", 48000, 6, 2400)]
    [InlineData("good.rate192.wav", ContainerFormat.Wave, "16-bit integer", 192000, 1, 2400)]
    [InlineData("good.rate44.wav", ContainerFormat.Wave, "16-bit integer", 44100, 1, 2400)]
    [InlineData("good.extensible24.wav", ContainerFormat.Wave, "24-bit integer", 48000, 2, 2400)]
    [InlineData("good.extensible20-in-24.wav", ContainerFormat.Wave, "20-bit integer in 24 bits", 48000, 1, 2400)]
    [InlineData("good.extensible-float.wav", ContainerFormat.Wave, "32-bit floating point", 48000, 1, 2400)]
    [InlineData("good.broadcast24.wav", ContainerFormat.Wave, "24-bit integer", 48000, 1, 2400)]
    [InlineData("good.cues16.wav", ContainerFormat.Wave, "16-bit integer", 48000, 1, 2400)]
    [InlineData("good.list-before-fmt.wav", ContainerFormat.Wave, "16-bit integer", 48000, 1, 2400)]
    [InlineData("good.list-behind-data.wav", ContainerFormat.Wave, "16-bit integer", 48000, 1, 2400)]
    [InlineData("good.odd-chunk.wav", ContainerFormat.Wave, "16-bit integer", 48000, 1, 2400)]
    [InlineData("good.odd-data.wav", ContainerFormat.Wave, "24-bit integer", 48000, 1, 2399)]
    [InlineData("good.data-before-fmt.wav", ContainerFormat.Wave, "16-bit integer", 48000, 1, 2400)]
    [InlineData("good.zero-filled-sector.wav", ContainerFormat.Wave, "16-bit integer", 48000, 1, 2400)]
    [InlineData("good.rf64.wav", ContainerFormat.Rf64, "24-bit integer", 48000, 2, 2400)]
    [InlineData("good.bw64.wav", ContainerFormat.Bw64, "24-bit integer", 48000, 2, 2400)]
    [InlineData("good.wave64-24.w64", ContainerFormat.Wave64, "24-bit integer", 48000, 1, 2400)]
    [InlineData("good.wave64-float.w64", ContainerFormat.Wave64, "32-bit floating point", 48000, 1, 2400)]
    [InlineData("good.aiff8.aiff", ContainerFormat.Aiff, "8-bit integer", 48000, 1, 2400)]
    [InlineData("good.aiff16.aiff", ContainerFormat.Aiff, "16-bit integer", 48000, 2, 2400)]
    [InlineData("good.aiff24.aiff", ContainerFormat.Aiff, "24-bit integer", 48000, 1, 2400)]
    [InlineData("good.aiff20.aiff", ContainerFormat.Aiff, "20-bit integer in 24 bits", 48000, 1, 2400)]
    [InlineData("good.aifc-sowt16.aifc", ContainerFormat.AiffC, "16-bit integer", 48000, 1, 2400)]
    [InlineData("good.aifc-float32.aifc", ContainerFormat.AiffC, "32-bit floating point", 48000, 1, 2400)]
    [InlineData("good.aifc-float64.aifc", ContainerFormat.AiffC, "64-bit floating point", 48000, 1, 2400)]
    [InlineData("good.aifc-in24.aifc", ContainerFormat.AiffC, "24-bit integer", 48000, 1, 2400)]
    [InlineData("good.markers.aiff", ContainerFormat.Aiff, "16-bit integer", 48000, 1, 2400)]
    public void Every_dress_gives_the_same_sound(string file, ContainerFormat container, string encoding, int rate, int channels, int frames)
    {
        using var recording = Open(file);
        Assert.Empty(recording.Problems);
        Assert.Empty(SampleScan.Of(recording, cancellation: TestContext.Current.CancellationToken));
        Assert.True(recording.IsUsable);
        Assert.Equal((container, encoding, rate, channels, (long)frames), (recording.Container, recording.Encoding.ToString(), recording.SampleRate, recording.Channels, recording.Frames));
        Assert.Equal((double)frames / rate, recording.Duration.TotalSeconds, 6);
        var bits = recording.Encoding!.Value is { Kind: not SampleKind.FloatingPoint } integer ? integer.ValidBits : 24;
        // A rounded sample is at most half a step off; 32-bit floats have 24 bits.
        var halfStep = Math.Pow(2, -bits) * 1.0000001;
        for (var c = 0; c < channels; c++)
        {
            var samples = new double[frames];
            recording.Samples!.Read(c, 0, samples);
            for (var n = 0; n < frames; n++)
                Assert.InRange(samples[n] - (_peaks[c % 2] * Math.Sin(2 * Math.PI * _frequencies[c % 2] * n / rate)), -halfStep, halfStep);
            // A sine whose peak is 6 (12) dB below full scale: 3.01 dB less. Rounding noise of 8 and 12 bits moves it by thousandths;
            // 44.1 and 192 kHz, and 2399 frames, do not hold whole periods.
            var level = 10 * Math.Log10(samples.Sum(x => x * x) / frames);
            var whole = rate == 48000 && frames == 2400;
            Assert.InRange(level - (c % 2 == 0 ? -9.0103 : -15.0103), whole && bits >= 16 ? -0.0002 : -0.03, whole && bits >= 16 ? 0.0002 : 0.03);
        }
    }

    [Fact]
    public void Every_good_file_is_tried()
    {
        var tried = typeof(GoodRecordingsTests).GetMethod(nameof(Every_dress_gives_the_same_sound))!.GetCustomAttributes(typeof(InlineDataAttribute), false)
            .Select(a => (string)((InlineDataAttribute)a).Data[0]!).Order(StringComparer.Ordinal);
        Assert.Equal(Directory.GetFiles(Folder, "good.*").Select(f => Path.GetFileName(f)).Order(StringComparer.Ordinal), tried);
    }

    [Fact]
    public void The_broadcast_extension_tells_the_time_of_day()
    {
        using var recording = Open("good.broadcast24.wav");
        Assert.Equal(new RecordingOrigin("Cabin, channel 1 at the ear", "Recorder", "2024-05-17", "09:30:00", 48000L * 34200), recording.Origin);
        // 34200 s after midnight is half past nine, as the origination time says too.
        Assert.Equal(9.5, recording.SamplesSinceMidnight!.Value / (3600.0 * recording.SampleRate));
    }

    [Theory]
    [InlineData("good.cues16.wav", "device off")]
    [InlineData("good.markers.aiff", "off")]
    public void Markers_come_in_order_with_their_labels(string file, string second)
    {
        using var recording = Open(file);
        Assert.Equal([new Marker(480, "open ear"), new Marker(1920, second)], recording.Markers);
    }

    [Fact]
    public void Frames_that_do_not_exist_are_the_callers_error()
    {
        using var recording = Open("good.stereo24.wav");
        var samples = recording.Samples!;
        Assert.Throws<ArgumentOutOfRangeException>(() => samples.Read(2, 0, new double[1]));
        Assert.Throws<ArgumentOutOfRangeException>(() => samples.Read(-1, 0, new double[1]));
        Assert.Throws<ArgumentOutOfRangeException>(() => samples.Read(0, 2400, new double[1]));
        Assert.Throws<ArgumentOutOfRangeException>(() => samples.Read(0, -1, new double[1]));
        samples.Read(0, 2400, []);
    }

    [Fact]
    public void The_hash_is_that_of_the_published_test_vector()
    {
        // FIPS 180-4 example: SHA-256 of the three bytes 'abc'.
        using var bytes = new BufferedBytes("abc"u8.ToArray());
        Assert.Equal("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", RecordingHash.Sha256(bytes, cancellation: TestContext.Current.CancellationToken));
    }
}
