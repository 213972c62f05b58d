namespace Hushtrial.Signals.Recordings;

/// <summary>What kind of file the bytes are, told from the bytes and never from the file's name.</summary>
public enum ContainerFormat
{
    /// <summary>Not recognised.</summary>
    Unknown,

    /// <summary>No bytes at all.</summary>
    Empty,

    /// <summary>RIFF/WAVE, also with the broadcast extension.</summary>
    Wave,

    /// <summary>RF64, the 64-bit form of WAVE (EBU Tech 3306).</summary>
    Rf64,

    /// <summary>BW64, the 64-bit form of WAVE (ITU-R BS.2088).</summary>
    Bw64,

    /// <summary>Wave64, chunks named by GUIDs with 64-bit lengths.</summary>
    Wave64,

    /// <summary>AIFF.</summary>
    Aiff,

    /// <summary>AIFF-C.</summary>
    AiffC,

    /// <summary>FLAC.</summary>
    Flac,

    /// <summary>Ogg (Vorbis, Opus, FLAC …).</summary>
    Ogg,

    /// <summary>MPEG audio, layers 1 to 3.</summary>
    Mpeg,

    /// <summary>Raw AAC frames (ADTS).</summary>
    Adts,

    /// <summary>MPEG-4 or QuickTime (m4a, mp4, mov).</summary>
    Mpeg4,

    /// <summary>Core Audio Format.</summary>
    Caf,

    /// <summary>Matroska or WebM.</summary>
    Matroska,

    /// <summary>ASF (wma).</summary>
    Asf,

    /// <summary>WavPack.</summary>
    WavPack,

    /// <summary>Sun/NeXT au.</summary>
    Au,

    /// <summary>AMR.</summary>
    Amr,

    /// <summary>A RIFF file that is not WAVE (video, MIDI …).</summary>
    OtherRiff,

    /// <summary>WAVE with its numbers the other way round (RIFX), which no common decoder reads.</summary>
    BigEndianWave,

    /// <summary>An IFF file that is not AIFF.</summary>
    OtherIff,

    /// <summary>ZIP archive (also docx, xlsx, ods …).</summary>
    Zip,

    /// <summary>gzip, bzip2, xz, zstd, 7z or rar archive.</summary>
    Archive,

    /// <summary>PDF.</summary>
    Pdf,

    /// <summary>PNG, JPEG or GIF picture.</summary>
    Picture,

    /// <summary>Plain text.</summary>
    Text,
}
