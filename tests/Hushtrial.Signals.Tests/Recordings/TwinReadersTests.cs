using System.Buffers.Binary;
using System.Diagnostics;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Recordings;

/// <summary>Independent programs write the same samples in their formats, and read what we write: sox, ffmpeg and libsndfile's converter
/// (Debian packages sox, ffmpeg, sndfile-programs). The project's test command installs them; without them these tests fail.</summary>
public sealed class TwinReadersTests : IDisposable
{
    private const int Frames = 5001, Channels = 2;

    private readonly string _folder = Directory.CreateTempSubdirectory("twins-").FullName;
    private readonly int[] _numbers = Noise();

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    /// <summary>24-bit numbers over the whole range, the extremes first; the congruence of Numerical Recipes, 2nd ed., 7.1.</summary>
    private static int[] Noise()
    {
        var numbers = new int[Frames * Channels];
        uint state = 20240517;
        for (var i = 0; i < numbers.Length; i++)
        {
            state = (1664525 * state) + 1013904223;
            numbers[i] = (int)state >> 8;
        }
        int[] extremes = [8388607, -8388608, 0, 1, -1, 255, -256];
        extremes.CopyTo(numbers, 0);
        return numbers;
    }

    private string At(string name) => Path.Combine(_folder, name);

    private void Run(string program, params string[] arguments) => RunTo(null, program, arguments);

    private void RunTo(string? output, string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { UseShellExecute = false, RedirectStandardOutput = output is not null, RedirectStandardError = true, WorkingDirectory = _folder })!;
        var complaints = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        if (output is not null)
        {
            using var file = File.Create(At(output));
            process.StandardOutput.BaseStream.CopyTo(file);
        }
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, $"{program} {string.Join(' ', arguments)}: {complaints.Result}");
    }

    private void WriteRaw()
    {
        var raw = new byte[3 * _numbers.Length];
        for (var i = 0; i < _numbers.Length; i++)
        {
            raw[3 * i] = (byte)_numbers[i];
            raw[(3 * i) + 1] = (byte)(_numbers[i] >> 8);
            raw[(3 * i) + 2] = (byte)(_numbers[i] >> 16);
        }
        File.WriteAllBytes(At("raw.s24"), raw);
    }

    private static readonly string[] _soxRaw = ["-D", "-t", "raw", "-r", "48000", "-e", "signed-integer", "-b", "24", "-c", "2", "raw.s24"];
    private static readonly string[] _ffmpegRaw = ["-v", "error", "-f", "s24le", "-ar", "48000", "-ac", "2", "-i", "raw.s24"];

    private void AssertSame(string file, ContainerFormat container, double tolerance, params string[] expectedCodes)
    {
        using var recording = Recording.Open(new BufferedBytes(File.ReadAllBytes(At(file))), file);
        Assert.Equal(container, recording.Container);
        Assert.Equal(expectedCodes, recording.Problems.Select(p => p.Code));
        Assert.Equal((48000, Channels, (long)Frames), (recording.SampleRate, recording.Channels, recording.Frames));
        var samples = new double[Frames];
        for (var c = 0; c < Channels; c++)
        {
            recording.Samples!.Read(c, 0, samples);
            for (var i = 0; i < Frames; i++) Assert.InRange(samples[i] - (_numbers[(i * Channels) + c] / 8388608.0), -tolerance, tolerance);
        }
    }

    // 24 bits, 32 bits and both floats hold 24-bit numbers exactly. Narrower ones are rounded by sox: half a step, a whole one at the
    // upper end, where the rounded number does not exist.
    [Theory]
    [InlineData("out.wav", ContainerFormat.Wave, 0, "-e", "signed-integer", "-b", "24")]
    [InlineData("out.wav", ContainerFormat.Wave, 0, "-e", "signed-integer", "-b", "32")]
    [InlineData("out.wav", ContainerFormat.Wave, 1 / 32768.0, "-e", "signed-integer", "-b", "16")]
    [InlineData("out.wav", ContainerFormat.Wave, 1 / 128.0, "-e", "unsigned-integer", "-b", "8")]
    [InlineData("out.wav", ContainerFormat.Wave, 0, "-e", "floating-point", "-b", "32")]
    [InlineData("out.wav", ContainerFormat.Wave, 0, "-e", "floating-point", "-b", "64")]
    [InlineData("out.aiff", ContainerFormat.Aiff, 0, "-b", "24")]
    [InlineData("out.aiff", ContainerFormat.Aiff, 1 / 32768.0, "-b", "16")]
    [InlineData("out.aifc", ContainerFormat.AiffC, 0, "-b", "24")]
    [InlineData("out.aiff", ContainerFormat.Aiff, 1 / 128.0, "-b", "8")]
    public void What_sox_writes_is_read_alike(string file, ContainerFormat container, double tolerance, params string[] format)
    {
        WriteRaw();
        Run("sox", [.. _soxRaw, .. format, file]);
        AssertSame(file, container, tolerance);
    }

    [Theory]
    [InlineData("out.wav", ContainerFormat.Wave, 0, "-c:a", "pcm_s24le")]
    [InlineData("out.wav", ContainerFormat.Wave, 0, "-c:a", "pcm_f64le")]
    [InlineData("out.wav", ContainerFormat.Rf64, 0, "-c:a", "pcm_s24le", "-rf64", "always")]
    [InlineData("out.wav", ContainerFormat.Wave, 0, "-c:a", "pcm_s24le", "-rf64", "auto", "-write_bext", "1", "-metadata", "time_reference=123456789")]
    [InlineData("out.w64", ContainerFormat.Wave64, 0, "-c:a", "pcm_s24le")]
    [InlineData("out.w64", ContainerFormat.Wave64, 0, "-c:a", "pcm_f32le")]
    [InlineData("out.aiff", ContainerFormat.Aiff, 0, "-c:a", "pcm_s24be")]
    [InlineData("out.aiff", ContainerFormat.AiffC, 0, "-c:a", "pcm_f32be")]
    [InlineData("out.aiff", ContainerFormat.AiffC, 0, "-c:a", "pcm_f64be")]
    [InlineData("out.aiff", ContainerFormat.AiffC, 1 / 32768.0, "-c:a", "pcm_s16le")]
    public void What_ffmpeg_writes_is_read_alike(string file, ContainerFormat container, double tolerance, params string[] format)
    {
        WriteRaw();
        Run("ffmpeg", [.. _ffmpegRaw, .. format, file]);
        AssertSame(file, container, tolerance);
    }

    [Theory]
    [InlineData("out.rf64", ContainerFormat.Rf64, "-pcm24")]
    [InlineData("out.w64", ContainerFormat.Wave64, "-pcm24")]
    [InlineData("out.w64", ContainerFormat.Wave64, "-float64")]
    [InlineData("out.aifc", ContainerFormat.AiffC, "-float32")]
    [InlineData("out.aiff", ContainerFormat.Aiff, "-pcm24")]
    [InlineData("out.wav", ContainerFormat.Wave, "-pcm32")]
    public void What_libsndfile_writes_is_read_alike(string file, ContainerFormat container, string format)
    {
        WriteRaw();
        Run("sox", [.. _soxRaw, "-b", "24", "in.wav"]);
        Run("sndfile-convert", format, "in.wav", file);
        AssertSame(file, container, 0);
    }

    [Fact]
    public void What_ffmpeg_writes_to_a_pipe_has_no_length_and_is_read_to_its_end()
    {
        WriteRaw();
        RunTo("out.wav", "ffmpeg", [.. _ffmpegRaw, "-c:a", "pcm_s24le", "-f", "wav", "-"]);
        AssertSame("out.wav", ContainerFormat.Wave, 0, "REC-015");
    }

    [Fact]
    public void The_time_reference_that_ffmpeg_writes_is_found()
    {
        WriteRaw();
        Run("ffmpeg", [.. _ffmpegRaw, "-c:a", "pcm_s24le", "-write_bext", "1", "-metadata", "time_reference=123456789012", "-metadata", "origination_date=2024-05-17", "out.wav"]);
        using var recording = Recording.Open(new BufferedBytes(File.ReadAllBytes(At("out.wav"))), "out.wav");
        Assert.Equal(123456789012, recording.SamplesSinceMidnight);
        Assert.Equal("2024-05-17", recording.Origin!.Date);
    }

    [Theory]
    [InlineData(uint.MaxValue)]
    [InlineData(0)]
    public void What_we_write_is_read_alike_by_ffmpeg_and_libsndfile(long promoteAbove)
    {
        using (var file = File.Create(At("ours.wav")))
        using (var writer = new WaveWriter(file, 48000, Channels, WaveSampleFormat.Integer24, promoteAbove))
            writer.Write([.. _numbers.Select(n => n / 8388608.0)]);
        WriteRaw();
        var raw = File.ReadAllBytes(At("raw.s24"));
        Run("ffmpeg", "-v", "error", "-i", "ours.wav", "-f", "s24le", "-c:a", "pcm_s24le", "ffmpeg.raw");
        Assert.Equal(raw, File.ReadAllBytes(At("ffmpeg.raw")));
        Run("sndfile-convert", "-pcm24", "ours.wav", "sndfile.aiff");
        AssertSame("sndfile.aiff", ContainerFormat.Aiff, 0);
    }

    /// <summary>Recordings of a voice and of noise that the Debian package alsa-utils ships; ffmpeg decodes them as the reference.</summary>
    [Theory]
    [InlineData("Front_Center.wav")]
    [InlineData("Noise.wav")]
    [InlineData("Side_Left.wav")]
    public void Real_recordings_are_read_as_ffmpeg_reads_them(string file)
    {
        var source = Path.Combine("/usr/share/sounds/alsa", file);
        using var recording = Recording.Open(new BufferedBytes(File.ReadAllBytes(source)), file);
        Assert.True(recording.IsUsable, string.Join('\n', recording.Problems));
        Run("ffmpeg", "-v", "error", "-i", source, "-f", "s16le", "-c:a", "pcm_s16le", "real.raw");
        var raw = File.ReadAllBytes(At("real.raw"));
        Assert.Equal(raw.Length, 2 * recording.Channels * recording.Frames);
        var samples = new double[recording.Frames];
        recording.Samples!.Read(0, 0, samples);
        for (var i = 0; i < samples.Length; i++)
            Assert.Equal(BinaryPrimitives.ReadInt16LittleEndian(raw.AsSpan(2 * i * recording.Channels)) / 32768.0, samples[i]);
    }
}
