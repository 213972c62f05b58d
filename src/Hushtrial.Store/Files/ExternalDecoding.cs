using System.Text.RegularExpressions;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Store.Files;

/// <summary>Turns recordings of other formats into WAVE by the ffmpeg program, where it is installed.</summary>
/// <remarks>The decoded samples lie in a temporary file while the recording is open: 0.7 GB for an hour of 48 kHz stereo. Integers
/// stay exact; lossy codecs decode to 32-bit floating point.</remarks>
public static partial class ExternalDecoding
{
    private const string Decoded = "decoded.wav";

    /// <summary>Only files may be opened: a playlist that calls itself a recording must not reach a network.</summary>
    private static readonly string[] _quiet = ["-v", "error", "-protocol_whitelist", "file,pipe"];

    /// <summary>Codecs that give back every sample; all others count as lossy.</summary>
    private static readonly HashSet<string> _lossless = new(StringComparer.Ordinal)
    {
        "flac", "alac", "wavpack", "ape", "tta", "tak", "als", "mp4als", "mlp", "truehd", "shorten", "wmalossless",
    };

    /// <summary>Decodes a file whose first bytes name a format that needs a decoder.</summary>
    /// <param name="path">The file.</param>
    /// <param name="name">Name for people.</param>
    /// <param name="format">What its first bytes say.</param>
    /// <param name="promisedFrames">Frames that the file's header states; 0 when not known.</param>
    /// <param name="searchPath">Folders in which ffmpeg and ffprobe may lie, as in the PATH variable.</param>
    /// <param name="truncation">Whether damage is an error or a warning.</param>
    /// <param name="cancellation">Stops the decoder.</param>
    public static Recording Decode(string path, string name, ContainerFormat format, long promisedFrames, string? searchPath, Truncation truncation, CancellationToken cancellation)
    {
        if (OutsideProgram.Find("ffmpeg", searchPath) is not { } ffmpeg || OutsideProgram.Find("ffprobe", searchPath) is not { } ffprobe)
            return Recording.Unreadable(name, format, FileProblems.DecoderMissing(name, format));
        if (TemporaryFolder.Create() is not { } folder) return Recording.Unreadable(name, format, FileProblems.NoTemporaryFolder(name));
        var kept = false;
        try
        {
            var input = "file:" + Path.GetFullPath(path);
            var probe = ffprobe.Run([.. _quiet, "-select_streams", "a:0", "-show_entries", "stream=codec_name,sample_fmt", "-of", "default=noprint_wrappers=1", "-i", input],
                folder.Path, cancellation);
            if (probe.ExitCode != 0) return Recording.Unreadable(name, format, FileProblems.DecoderFailed(name, format, FirstLine(probe.Complaints, path)));
            var (codec, sampleFormat) = (Field(probe.Output, "codec_name"), Field(probe.Output, "sample_fmt"));
            if (codec.Length == 0) return Recording.Unreadable(name, format, FileProblems.NoSound(name, format));
            if (format == ContainerFormat.Caf && codec == "alac" && AlacInCaf.Doubt(path, name) is { } doubt) return Recording.Unreadable(name, format, doubt);

            var run = ffmpeg.Run([.. _quiet, "-nostdin", "-i", input, "-map", "0:a:0", "-c:a", StoredAs(sampleFormat), "-f", "wav", "-rf64", "auto", "file:" + Path.Combine(folder.Path, Decoded)],
                folder.Path, cancellation);
            if (run.ExitCode != 0) return Recording.Unreadable(name, format, FileProblems.DecoderFailed(name, format, FirstLine(run.Complaints, path)));
            kept = true;
            var bytes = TemporaryBytes.Open(Decoded, folder, name, out var problem);
            if (bytes is null) return Recording.Unreadable(name, format, problem!);
            var lossy = !_lossless.Contains(codec) && !codec.StartsWith("pcm_", StringComparison.Ordinal);
            IReadOnlyList<Problem> damage = run.Complaints.Length == 0 ? [] : [FileProblems.DecoderComplained(name, FirstLine(run.Complaints, path), truncation)];
            var recording = Recording.OpenDecoded(bytes, name, format, codec, lossy, damage);
            if (promisedFrames <= recording.Frames || recording.Frames == 0) return recording;
            return Recording.OpenDecoded(bytes, name, format, codec, lossy,
                [.. damage, FileProblems.DecodedShort(name, recording.Duration, TimeSpan.FromSeconds((double)promisedFrames / recording.SampleRate), truncation)]);
        }
        finally
        {
            if (!kept) folder.Dispose();
        }
    }

    private static string StoredAs(string sampleFormat) => sampleFormat.TrimEnd('p') switch
    {
        "u8" or "s16" => "pcm_s16le",
        "s32" => "pcm_s32le",
        "dbl" => "pcm_f64le",
        _ => "pcm_f32le",
    };

    private static string Field(string output, string key) => output.Split('\n').Where(l => l.StartsWith(key + "=", StringComparison.Ordinal)).Select(l => l[(key.Length + 1)..].Trim()).FirstOrDefault("");

    /// <summary>The first complaint, without the folder of the file and the decoder's memory addresses: problems name files as people do, and are the same every time.</summary>
    private static string FirstLine(string complaints, string path)
    {
        var line = Address().Replace(complaints.Split('\n')[0].Trim(), "[${part}]").Replace("file:" + Path.GetFullPath(path), Path.GetFileName(path), StringComparison.Ordinal);
        return line.Length > 200 ? line[..200] + "…" : line;
    }

    [GeneratedRegex(@"\[(?<part>[^\]@]+) @ 0x[0-9a-fA-F]+\]", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Address();
}
