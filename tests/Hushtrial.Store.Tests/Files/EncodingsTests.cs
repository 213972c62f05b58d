using System.Diagnostics;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Files;

namespace Hushtrial.Store.Tests.Files;

/// <summary>One take of 24 bits as the usual programs write it, encoding by encoding: which are read to the sample, which are rounded, which are refused and why. Needs the
/// Debian packages sox, ffmpeg, flac and sndfile-programs, which the test command installs.</summary>
public sealed class EncodingsTests : IDisposable
{
    private const int Frames = 4800, Channels = 2;

    private readonly string _folder = Directory.CreateTempSubdirectory("encodings-").FullName;
    private readonly double[] _samples = new double[Frames * Channels];

    public EncodingsTests()
    {
        // The congruence of Numerical Recipes, 2nd ed., 7.1; at most half of full scale, so that rounding never meets the end, but for one sample at the very end of the
        // range: libsndfile's converter would else stretch floating point to it.
        uint state = 20260514;
        for (var i = 0; i < _samples.Length; i++) _samples[i] = ((int)(state = (1664525 * state) + 1013904223) >> 9) / 8388608.0;
        _samples[0] = -1;
        using var file = File.Create(Path.Combine(_folder, "in.wav"));
        using var writer = new WaveWriter(file, 48000, Channels, WaveSampleFormat.Integer24);
        writer.Write(_samples);
    }

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    /// <param name="command">The program and its arguments; the last one is the file.</param>
    /// <param name="container">What its first bytes say.</param>
    /// <param name="bits">Bits that are left of the 24; 24 where all are, also in floating point.</param>
    [Theory]
    [InlineData("sox -D in.wav -e unsigned-integer -b 8 x.wav", ContainerFormat.Wave, 8)]
    [InlineData("sox -D in.wav -b 16 x.wav", ContainerFormat.Wave, 16)]
    [InlineData("sox -D in.wav -b 24 x.wav", ContainerFormat.Wave, 24)]
    [InlineData("sox -D in.wav -b 32 x.wav", ContainerFormat.Wave, 24)]
    [InlineData("sox -D in.wav -e floating-point -b 32 x.wav", ContainerFormat.Wave, 24)]
    [InlineData("sox -D in.wav -e floating-point -b 64 x.wav", ContainerFormat.Wave, 24)]
    [InlineData("sox -D in.wav -b 8 x.aiff", ContainerFormat.Aiff, 8)]
    [InlineData("sox -D in.wav -b 16 x.aiff", ContainerFormat.Aiff, 16)]
    [InlineData("sox -D in.wav -b 24 x.aiff", ContainerFormat.Aiff, 24)]
    [InlineData("sox -D in.wav -b 32 x.aiff", ContainerFormat.Aiff, 24)]
    [InlineData("sox -D in.wav -b 24 x.au", ContainerFormat.Au, 24)]
    [InlineData("sox -D in.wav -b 24 x.caf", ContainerFormat.Caf, 24)]
    [InlineData("sox -D in.wav x.flac", ContainerFormat.Flac, 24)]
    [InlineData("ffmpeg -v error -i in.wav -c:a pcm_s16le x.wav", ContainerFormat.Wave, 16)]
    [InlineData("ffmpeg -v error -i in.wav -c:a pcm_s32le x.wav", ContainerFormat.Wave, 24)]
    [InlineData("ffmpeg -v error -i in.wav -c:a pcm_f32le -rf64 always x.wav", ContainerFormat.Rf64, 24)]
    [InlineData("ffmpeg -v error -i in.wav -c:a pcm_s32le -rf64 always x.wav", ContainerFormat.Rf64, 24)]
    [InlineData("ffmpeg -v error -i in.wav -c:a pcm_s16le x.w64", ContainerFormat.Wave64, 16)]
    [InlineData("ffmpeg -v error -i in.wav -c:a pcm_s32le x.w64", ContainerFormat.Wave64, 24)]
    [InlineData("ffmpeg -v error -i in.wav -c:a pcm_f64le x.w64", ContainerFormat.Wave64, 24)]
    [InlineData("ffmpeg -v error -i in.wav -c:a pcm_s16be x.aiff", ContainerFormat.Aiff, 16)]
    [InlineData("ffmpeg -v error -i in.wav -c:a pcm_s32be x.aiff", ContainerFormat.Aiff, 24)]
    [InlineData("ffmpeg -v error -i in.wav -c:a pcm_s24be x.caf", ContainerFormat.Caf, 24)]
    [InlineData("ffmpeg -v error -i in.wav -c:a pcm_f32be x.au", ContainerFormat.Au, 24)]
    [InlineData("sndfile-convert -pcmu8 in.wav x.wav", ContainerFormat.Wave, 8)]
    [InlineData("sndfile-convert -pcms8 in.wav x.aiff", ContainerFormat.Aiff, 8)]
    [InlineData("sndfile-convert -pcm16 in.wav x.rf64", ContainerFormat.Rf64, 16)]
    [InlineData("sndfile-convert -float64 in.wav x.rf64", ContainerFormat.Rf64, 24)]
    [InlineData("sndfile-convert -pcm32 in.wav x.w64", ContainerFormat.Wave64, 24)]
    [InlineData("sndfile-convert -float64 in.wav x.aifc", ContainerFormat.AiffC, 24)]
    [InlineData("sndfile-convert -pcm16 in.wav x.caf", ContainerFormat.Caf, 16)]
    [InlineData("sndfile-convert -float32 in.wav x.caf", ContainerFormat.Caf, 24)]
    [InlineData("sndfile-convert -pcm16 in.wav x.flac", ContainerFormat.Flac, 16)]
    [InlineData("sndfile-convert -pcm24 in.wav x.flac", ContainerFormat.Flac, 24)]
    [InlineData("sndfile-convert -pcm24 in.wav x.au", ContainerFormat.Au, 24)]
    [InlineData("flac -s in.wav -o x.flac", ContainerFormat.Flac, 24)]
    [InlineData("flac -s --ogg in.wav -o x.oga", ContainerFormat.Ogg, 24)]
    public void What_keeps_the_samples_is_read_to_the_sample(string command, ContainerFormat container, int bits)
    {
        using var recording = Made(command);
        Assert.Equal(container, recording.Container);
        Assert.Equal([], recording.Problems.Select(p => p.Code));
        Assert.Equal((48000, Channels, (long)Frames, false), (recording.SampleRate, recording.Channels, recording.Frames, recording.Lossy));
        // Rounded or cut off: up to one step.
        var tolerance = bits == 24 ? 0 : Math.Pow(2, 1 - bits);
        var read = new double[Frames];
        var worst = 0.0;
        for (var c = 0; c < Channels; c++)
        {
            recording.Samples!.Read(c, 0, read);
            for (var i = 0; i < Frames; i++) worst = Math.Max(worst, Math.Abs(read[i] - _samples[(i * Channels) + c]));
        }
        Assert.InRange(worst, bits == 24 ? 0 : tolerance / 8, tolerance);
    }

    // ITU-T G.711 and ADPCM change band levels: the remedy says how to convert, and that it does not bring back what is lost. The numbers of RIFX stand the other way round.
    [Theory]
    [InlineData("sox -D in.wav -e mu-law x.wav", "REC-027", "µ-law")]
    [InlineData("sox -D in.wav -e a-law x.wav", "REC-027", "A-law")]
    [InlineData("sox -D in.wav -e ima-adpcm x.wav", "REC-027", "ADPCM")]
    [InlineData("ffmpeg -v error -i in.wav -c:a pcm_mulaw x.w64", "REC-027", "µ-law")]
    [InlineData("sndfile-convert -ulaw in.wav x.aiff", "REC-027", "µ-law")]
    [InlineData("sndfile-convert -alaw in.wav x.w64", "REC-027", "A-law")]
    [InlineData("sox -D in.wav -B x.wav", "REC-003", "big-endian WAV (RIFX)")]
    public void What_changes_them_is_refused_in_words(string command, string code, string words)
    {
        using var recording = Made(command);
        var problem = Assert.Single(recording.Problems);
        Assert.Equal(code, problem.Code);
        Assert.Contains(words, problem.Found, StringComparison.Ordinal);
        Assert.Null(recording.Samples);
    }

    private Recording Made(string command)
    {
        var words = command.Split(' ');
        using (var process = Process.Start(new ProcessStartInfo(words[0], words[1..]) { UseShellExecute = false, RedirectStandardError = true, RedirectStandardOutput = true, WorkingDirectory = _folder })!)
        {
            var said = process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
            var complaints = process.StandardError.ReadToEnd();
            process.WaitForExit();
            Assert.True(process.ExitCode == 0, $"{command}: {complaints}{said.Result}");
        }
        return RecordingFiles.Open(Path.Combine(_folder, words[^1]), words[^1], Truncation.IsError, TestContext.Current.CancellationToken);
    }
}
