using System.Diagnostics;
using System.Text;
using Hushtrial.Store.Files;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Store.Tests.Files;

/// <summary>Files on disk and the decoder: needs the Debian packages ffmpeg, flac, sndfile-programs and sox, which the test command installs.</summary>
public sealed class RecordingFilesTests : IDisposable
{
    private const int Frames = 48000;

    private readonly string _folder = Directory.CreateTempSubdirectory("files-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private string At(string name) => Path.Combine(_folder, name);

    private void Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { UseShellExecute = false, RedirectStandardError = true, WorkingDirectory = _folder })!;
        var complaints = process.StandardError.ReadToEnd();
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, complaints);
    }

    /// <summary>One second of two channels: a 997 Hz sine, and noise in 24 bits.</summary>
    private double[] WriteTake(string name = "take.wav")
    {
        var samples = new double[2 * Frames];
        uint state = 7;
        for (var n = 0; n < Frames; n++)
        {
            state = (1664525 * state) + 1013904223;
            samples[2 * n] = Math.Round(0.5 * Math.Sin(2 * Math.PI * 997 * n / 48000) * 8388608) / 8388608;
            samples[(2 * n) + 1] = ((int)state >> 10) / 8388608.0;
        }
        using var file = File.Create(At(name));
        using var writer = new WaveWriter(file, 48000, 2, WaveSampleFormat.Integer24);
        writer.Write(samples);
        return samples;
    }

    private Recording Open(string name, Truncation truncation = Truncation.IsError) => RecordingFiles.Open(At(name), name, truncation, TestContext.Current.CancellationToken);

    private static double LevelOf(Recording recording, int channel)
    {
        var samples = new double[recording.Frames];
        recording.Samples!.Read(channel, 0, samples);
        return 10 * Math.Log10(samples.Average(x => x * x));
    }

    private static string Only(Recording recording) => $"{Assert.Single(recording.Problems).Code} {recording.Problems[0].Severity}";

    [Fact]
    public void A_wave_file_is_opened_natively_and_left_untouched()
    {
        var samples = WriteTake();
        var before = (File.GetLastWriteTimeUtc(At("take.wav")), new FileInfo(At("take.wav")).Length);
        using (var recording = RecordingFiles.Open(At("take.wav"), "day1/take.wav", Truncation.IsError, searchPath: "", TestContext.Current.CancellationToken))
        {
            Assert.Equal(("day1/take.wav", ContainerFormat.Wave, (long)Frames), (recording.Name, recording.Container, recording.Frames));
            Assert.Empty(recording.Problems);
            var read = new double[Frames];
            recording.Samples!.Read(1, 0, read);
            for (var n = 0; n < Frames; n++) Assert.Equal(samples[(2 * n) + 1], read[n]);
        }
        Assert.Equal(before, (File.GetLastWriteTimeUtc(At("take.wav")), new FileInfo(At("take.wav")).Length));
    }

    [Fact]
    public void Many_threads_read_the_same_samples()
    {
        var samples = WriteTake();
        using var recording = Open("take.wav");
        Parallel.For(0, 64, i =>
        {
            var read = new double[3000];
            var first = i * 700;
            recording.Samples!.Read(i % 2, first, read);
            for (var n = 0; n < read.Length; n++) Assert.Equal(samples[(2 * (first + n)) + (i % 2)], read[n]);
        });
    }

    // Lossless codecs give back every 24-bit number; WAV in another container likewise. The extension lies: only the bytes count.
    [Theory]
    [InlineData("take.flac", ContainerFormat.Flac, "flac")]
    [InlineData("take.wv", ContainerFormat.WavPack, "wavpack")]
    [InlineData("take.caf", ContainerFormat.Caf, "pcm_s24le")]
    [InlineData("take.au", ContainerFormat.Au, "pcm_s24be")]
    [InlineData("take.m4a", ContainerFormat.Mpeg4, "alac")]
    [InlineData("take.mka", ContainerFormat.Matroska, "flac")]
    public void Lossless_files_are_decoded_exactly_and_without_a_warning(string name, ContainerFormat container, string codec)
    {
        var samples = WriteTake();
        string[] sampleFormat = codec is "flac" or "wavpack" or "alac" ? ["-sample_fmt", codec == "flac" ? "s32" : "s32p"] : [];
        Run("ffmpeg", ["-v", "error", "-i", "take.wav", "-c:a", codec, .. sampleFormat, name]);
        File.Move(At(name), At("hidden.wav"));
        using var recording = Open("hidden.wav");
        Assert.Equal((container, false, (long)Frames), (recording.Container, recording.Lossy, recording.Frames));
        Assert.Empty(recording.Problems);
        var read = new double[Frames];
        for (var c = 0; c < 2; c++)
        {
            recording.Samples!.Read(c, 0, read);
            for (var n = 0; n < Frames; n++) Assert.Equal(samples[(2 * n) + c], read[n]);
        }
    }

    [Fact]
    public void The_flac_program_writes_what_is_decoded_exactly()
    {
        var samples = WriteTake();
        Run("flac", "--silent", "take.wav");
        using var recording = Open("take.flac");
        Assert.Empty(recording.Problems);
        var read = new double[Frames];
        recording.Samples!.Read(1, 0, read);
        for (var n = 0; n < Frames; n++) Assert.Equal(samples[(2 * n) + 1], read[n]);
    }

    [Theory]
    [InlineData("take.mp3", ContainerFormat.Mpeg)]
    [InlineData("take.ogg", ContainerFormat.Ogg)]
    [InlineData("take.opus", ContainerFormat.Ogg)]
    [InlineData("take.m4a", ContainerFormat.Mpeg4)]
    [InlineData("take.aac", ContainerFormat.Adts)]
    [InlineData("take.wma", ContainerFormat.Asf)]
    public void Lossy_files_are_decoded_with_a_warning(string name, ContainerFormat container)
    {
        WriteTake();
        // ffmpeg's .ogg would hold FLAC where the Vorbis library is missing.
        string[] codec = name == "take.ogg" ? ["-c:a", "libvorbis"] : [];
        Run("ffmpeg", ["-v", "error", "-i", "take.wav", "-b:a", "192k", .. codec, name]);
        using var recording = Open(name);
        Assert.Equal((container, true, "REC-035 Warning"), (recording.Container, recording.Lossy, Only(recording)));
        Assert.Contains("timing and broadband levels only", recording.Problems[0].Remedy, StringComparison.Ordinal);
        Assert.True(recording.IsUsable);
        // A codec pads or cuts the ends by up to some frames of 2048 samples and moves the level by tenths of a dB (the padding by 0.2).
        Assert.InRange(recording.Duration.TotalSeconds, 0.95, 1.15);
        Assert.InRange(LevelOf(recording, 0) - (10 * Math.Log10(0.125)), -1, 1);
    }

    // libsndfile writes stereo packets of loud noise with more than 16 bits wrongly (its own program reads them wrongly as well); what it writes rightly is read.
    [Theory]
    [InlineData("-alac24", 1, "REC-057 Error")]
    [InlineData("-alac16", 1, "")]
    [InlineData("-alac24", 0.001, "")]
    public void Apple_Lossless_in_CAF_is_read_exactly_or_refused(string option, double loudness, string expected)
    {
        var samples = new double[2 * 9000];
        uint state = 7;
        var step = option == "-alac16" ? 32768.0 : 8388608;
        for (var n = 0; n < samples.Length; n++)
        {
            state = (1664525 * state) + 1013904223;
            samples[n] = Math.Round(loudness * ((int)state / 2147483648.0) * (step - 1)) / step;
        }
        Write("noise.wav", samples, 2);
        Run("sndfile-convert", option, "noise.wav", "noise.caf");
        using var recording = Open("noise.caf");
        Assert.Equal(expected, recording.Problems.Count == 0 ? "" : Only(recording));
        Assert.Equal(expected.Length == 0, recording.IsUsable);
        if (expected.Length > 0) return;
        var read = new double[9000];
        for (var c = 0; c < 2; c++)
        {
            recording.Samples!.Read(c, 0, read);
            for (var n = 0; n < read.Length; n++) Assert.Equal(samples[(2 * n) + c], read[n]);
        }
    }

    [Fact]
    public void Four_channels_of_Apple_Lossless_in_CAF_are_read_in_their_order_or_refused()
    {
        // Every channel another level, so that an exchange shows.
        var samples = Enumerable.Range(0, 4 * 9000).Select(i => Math.Round(Math.Sin(0.1 * (i / 4)) * (1 + (i % 4)) * 1_000_000) / 8388608).ToArray();
        Write("four.wav", samples, 4);
        Run("sndfile-convert", "-alac24", "four.wav", "four.caf");
        using var refused = Open("four.caf");
        Assert.Equal("REC-056 Error", Only(refused));
        Assert.False(refused.IsUsable);
        Run("ffmpeg", "-v", "error", "-i", "four.wav", "-c:a", "alac", "-sample_fmt", "s32p", "named.caf");
        using var named = Open("named.caf");
        Assert.Empty(named.Problems);
        var read = new double[9000];
        for (var c = 0; c < 4; c++)
        {
            named.Samples!.Read(c, 0, read);
            for (var n = 0; n < read.Length; n++) Assert.Equal(samples[(4 * n) + c], read[n]);
        }
    }

    private void Write(string name, double[] samples, int channels)
    {
        using var file = File.Create(At(name));
        using var writer = new WaveWriter(file, 48000, channels, WaveSampleFormat.Integer24);
        writer.Write(samples);
    }

    [Fact]
    public void Without_the_decoder_the_problem_says_what_to_install()
    {
        WriteTake();
        Run("flac", "--silent", "take.wav");
        using var recording = RecordingFiles.Open(At("take.flac"), "take.flac", Truncation.IsError, searchPath: "/nowhere:.", TestContext.Current.CancellationToken);
        Assert.Equal("REC-050 Error", Only(recording));
        Assert.Contains("apt install ffmpeg", recording.Problems[0].Remedy, StringComparison.Ordinal);
        Assert.Null(recording.Samples);
    }

    [Fact]
    public void A_broken_compressed_file_is_told_and_its_readable_part_is_read()
    {
        WriteTake();
        Run("flac", "--silent", "take.wav");
        var whole = File.ReadAllBytes(At("take.flac"));
        File.WriteAllBytes(At("half.flac"), whole[..(whole.Length / 2)]);
        using var refused = Open("half.flac");
        using var allowed = Open("half.flac", Truncation.IsAllowed);
        Assert.False(refused.IsUsable);
        Assert.True(allowed.IsUsable, string.Join('\n', allowed.Problems));
        Assert.Equal("REC-054", refused.Problems[^1].Code);
        Assert.InRange(allowed.Duration.TotalSeconds, 0.3, 0.7);
        // No memory address or path of the machine in what people read, and the same words each time.
        Assert.All(refused.Problems, p => Assert.DoesNotContain("0x", p.ToString(), StringComparison.Ordinal));
        Assert.All(refused.Problems, p => Assert.DoesNotContain(_folder, p.ToString(), StringComparison.Ordinal));

        File.WriteAllBytes(At("stump.flac"), whole[..60]);
        using var stump = Open("stump.flac");
        Assert.False(stump.IsUsable);
        Assert.Null(stump.Samples);
    }

    [Fact]
    public void A_video_without_sound_is_told()
    {
        Run("ffmpeg", "-v", "error", "-f", "lavfi", "-i", "color=black:s=16x16:d=0.2", "-c:v", "mpeg4", "silent.mp4");
        using var recording = Open("silent.mp4");
        Assert.Equal("REC-052 Error", Only(recording));
    }

    [Fact]
    public void A_playlist_that_calls_itself_a_recording_never_reaches_the_decoder()
    {
        File.WriteAllText(At("list.wav"), "#EXTM3U\n#EXTINF:1,\nhttp://127.0.0.1:9/x.ts\n");
        using var recording = Open("list.wav");
        Assert.Equal("REC-002 Error", Only(recording));
    }

    [Fact]
    public void Nothing_stays_in_the_temporary_folder()
    {
        WriteTake();
        Run("flac", "--silent", "take.wav");
        var before = Directory.GetDirectories(Path.GetTempPath(), "hushtrial-*").Length;
        for (var i = 0; i < 3; i++)
            using (Open("take.flac")) { }
        File.WriteAllBytes(At("stump.flac"), File.ReadAllBytes(At("take.flac"))[..60]);
        using (Open("stump.flac")) { }
        // Another test may decode at this moment, one folder each.
        Assert.InRange(Directory.GetDirectories(Path.GetTempPath(), "hushtrial-*").Length, 0, before + 1);
    }

    [Fact]
    public void A_name_that_looks_like_an_option_or_a_protocol_is_a_name()
    {
        WriteTake();
        Run("flac", "--silent", "take.wav");
        foreach (var name in new[] { "-y.flac", "http:x%d 'q' $(id).flac" })
        {
            File.Copy(At("take.flac"), At(name));
            using var recording = Open(name);
            Assert.Empty(recording.Problems);
            Assert.Equal(Frames, recording.Frames);
        }
    }

    [Fact]
    public void Folders_missing_files_devices_and_empty_files_are_told()
    {
        File.WriteAllBytes(At("empty.wav"), []);
        Run("mkfifo", "pipe.wav");
        Assert.Equal("REC-042 Error", Only(RecordingFiles.Open(_folder, "folder", cancellation: TestContext.Current.CancellationToken)));
        Assert.Equal("REC-041 Error", Only(Open("none.wav")));
        Assert.Equal("REC-001 Error", Only(Open("empty.wav")));
        Assert.Equal("REC-001 Error", Only(Open("pipe.wav")));
        Assert.Equal("REC-001 Error", Only(RecordingFiles.Open("/dev/zero", "zero", cancellation: TestContext.Current.CancellationToken)));
        Assert.StartsWith("REC-04", Only(RecordingFiles.Open(At("a\0b.wav"), "strange", cancellation: TestContext.Current.CancellationToken)), StringComparison.Ordinal);
    }

    [Fact]
    public void An_RF64_file_of_5_GiB_is_opened_and_read_near_its_end_in_flat_memory()
    {
        const long frames = (5L << 30) / 3, data = frames * 3;
        using (var file = File.Create(At("long.wav")))
        {
            file.Write("RF64"u8);
            using var head = new BinaryWriter(file, Encoding.ASCII, leaveOpen: true);
            head.Write(uint.MaxValue);
            head.Write("WAVEds64"u8);
            head.Write(28);
            head.Write(data + 72);
            head.Write(data);
            head.Write(frames);
            head.Write(0);
            head.Write("fmt "u8);
            head.Write(16);
            head.Write((short)1);
            head.Write((short)1);
            head.Write(48000);
            head.Write(144000);
            head.Write((short)3);
            head.Write((short)24);
            head.Write("data"u8);
            head.Write(uint.MaxValue);
            head.Flush();
            // Sparse: only the header and the last samples take room on the disk.
            file.SetLength(file.Position + data - 6);
            file.Position = file.Length;
            file.Write([0, 0, 0x40, 0, 0, 0xE0]);
        }
        // Warm up, then measure.
        using (var first = Open("long.wav")) Assert.True(first.IsUsable, string.Join('\n', first.Problems));
        var block = new double[48000];
        // Of this thread alone: other tests run beside this one.
        GC.Collect();
        var (allocated, working) = (GC.GetAllocatedBytesForCurrentThread(), Environment.WorkingSet);
        using var recording = Open("long.wav");
        Assert.Equal((ContainerFormat.Rf64, frames), (recording.Container, recording.Frames));
        Assert.Empty(recording.Problems);
        recording.Samples!.Read(0, frames - 2, block.AsSpan(0, 2));
        Assert.Equal([0.5, -0.25], block[..2]);
        for (var second = 0; second < 600; second++) recording.Samples.Read(0, frames - 48000 - (second * 48000L), block);
        // 86 MB were read.
        Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - allocated, 0, 4L << 20);
        Assert.InRange(Environment.WorkingSet - working, long.MinValue, 64L << 20);
    }

    [Fact]
    public void A_plain_WAV_beyond_4_GiB_whose_length_wrapped_is_read_whole()
    {
        const long data = (1L << 32) + 12_000;
        using (var file = File.Create(At("wrapped.wav")))
        {
            using var head = new BinaryWriter(file, Encoding.ASCII, leaveOpen: true);
            head.Write("RIFF"u8);
            head.Write(unchecked((uint)(data + 36)));
            head.Write("WAVEfmt "u8);
            head.Write(16);
            head.Write((short)1);
            head.Write((short)2);
            head.Write(48000);
            head.Write(192000);
            head.Write((short)4);
            head.Write((short)16);
            head.Write("data"u8);
            head.Write(unchecked((uint)data));
            head.Flush();
            file.SetLength(file.Position + data);
        }
        using var recording = Open("wrapped.wav");
        Assert.Equal("REC-033 Warning", Only(recording));
        Assert.Equal(data / 4, recording.Frames);
    }

    [Fact]
    public void Cancelling_ends_the_decoder()
    {
        WriteTake();
        Run("flac", "--silent", "take.wav");
        using var cancelled = new CancellationTokenSource();
        cancelled.Cancel();
        Assert.Throws<OperationCanceledException>(() => RecordingFiles.Open(At("take.flac"), "take.flac", Truncation.IsError, cancelled.Token));
    }
}
