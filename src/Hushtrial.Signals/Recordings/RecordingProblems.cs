using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Signals.Recordings;

/// <summary>Everything that can be wrong with a recording, worded once; collects what is met.</summary>
/// <remarks>Severity. Error: no samples, or nobody can know whether the samples are what was recorded (truncated, contradictory
/// header, values that are not numbers). Warning: the samples stand, with the effect named. Note: worth knowing, no effect.</remarks>
internal sealed class RecordingProblems(string name, Truncation truncation, List<Problem> problems)
{
    private const string CopyAgain = "Copy the file again from the recorder.";

    public void Empty() => Error("REC-001", name, "the file is empty (0 bytes), or a device and no file", "a recording", CopyAgain);

    public void Text(string start) => Error("REC-002", name, Invariant($"the file is plain text ('{start}')"), "a recording",
        "Check the name: a meter's log belongs into the trial as a log, not as a recording.");

    public void NotAudio(ContainerFormat format) => Error("REC-003", name, Invariant($"the file is {FileSignature.Words(format)}, whatever its name says"),
        "a recording", "Unpack or export the recording, or give the right file.");

    public void Unknown(ReadOnlySpan<byte> start) => Error("REC-004", name, Invariant($"the first bytes ({Convert.ToHexString(start)}) belong to no kind of recording that is known here"),
        "WAV, RF64, BW64, Wave64 or AIFF", "If another program plays the file, let it export a 24-bit WAV; else copy it again from the recorder.");

    public void NeedsDecoder(ContainerFormat format) => Error("REC-005", name, Invariant($"the file is {FileSignature.Words(format)}"),
        "WAV, RF64, BW64, Wave64 or AIFF where no decoder is at hand", "Convert it to a 24-bit WAV.");

    public void HeaderEnds(long length) => Error("REC-006", At(length), Invariant($"the file ends after {length} bytes, inside its header"),
        "a whole header and samples behind it", CopyAgain);

    public void NoFormat(string chunk) => Error("REC-010", name, Invariant($"there is no '{chunk}' chunk"),
        "one, for without it rate, channels and coding are unknown", "Copy the file again from the recorder; if it stays so, the header must be rebuilt by someone who knows the recorder.");

    public void FormatTooShort(string chunk, long at, long size, int least) => Error("REC-011", At(at), Invariant($"the '{chunk}' chunk has {size} bytes"),
        Invariant($"at least {least}"), CopyAgain);

    public void NoData(string chunk) => Error("REC-012", name, Invariant($"there is no '{chunk}' chunk"), "one, for it holds the samples", CopyAgain);

    public void NoFrames(long at) => Error("REC-013", At(at), "the recording holds no samples", "at least one frame",
        "The recorder was stopped at once or lost power before it wrote; use another take.");

    public void Truncated(long at, long promised, long present, SampleLayout layout) => Truncated("REC-014", at,
        Invariant($"data ends after {present} bytes ({Time(layout.Seconds(present))})"),
        Invariant($"{promised} bytes ({Time(layout.Seconds(promised))}), as the header says"),
        "Copy the file again from the recorder. If this is all there is, allow truncated recordings; the report will list this one.");

    public void LengthUnknown(long at, long present, SampleLayout layout) => Warning("REC-015", At(at),
        Invariant($"the header does not say how long the data is; {present} bytes ({Time(layout.Seconds(present))}) up to the end of the file were read"),
        "a length, written when the recorder stops", "The recorder lost power, or wrote to a pipe: compare the length with your notes; the last seconds may be missing.");

    public void LengthAbsurd(long at, ulong promised, long present, SampleLayout layout) => Truncated("REC-016", at,
        Invariant($"the header claims {promised} bytes of data ({promised / 1e9:F1} GB), but only {present} bytes ({Time(layout.Seconds(present))}) are there"),
        "a length that fits the file",
        "The header is damaged or most of the file is missing: copy it again. If this is all there is, allow truncated recordings; the report will list this one.");

    public void BytesBehind(long at, long behind, SampleLayout layout) => Warning("REC-017", At(at),
        Invariant($"{behind} bytes behind the data ({Time(layout.Seconds(behind))}, if they were sound) are no chunk and were not read"),
        "the data's length in the header to cover all samples, or nothing behind it",
        "If the recording should be longer, the recorder did not finish its header: let it repair the file, or copy it again.");

    public void HalfFrame(long at, long left, int frameBytes) => Warning("REC-018", At(at), Invariant($"the last frame has {left} of {frameBytes} bytes and was left out"),
        "whole frames", "Nothing, if the length is right; a copy that broke off looks like this too.", effect: 0);

    public void PadMissing(long at) => Note("REC-019", At(at), "the pad byte behind a chunk of odd length is missing; read without it", "every chunk to start at an even byte",
        "Nothing: the recorder's habit, without effect.");

    public void ChunkPastEnd(string chunk, long at, ulong size, long length) => Warning("REC-020", At(at),
        Invariant($"the '{chunk}' chunk claims {size} bytes but the file ends after {length - at - 8} of them"), "chunks inside the file",
        "Copy the file again from the recorder if anything is missing; nothing behind this place was read.");

    public void NoChannels(long at) => Error("REC-021", At(at), "the header says 0 channels", "1 or more", CopyAgain);

    public void RateZero(long at) => Error("REC-022", At(at), "the header says a sampling rate of 0 Hz", "8000 to 192000 Hz", CopyAgain);

    public void RateAbsurd(long at, double rate) => Error("REC-023", At(at), Invariant($"the header says a sampling rate of {rate:0.###} Hz"), "8000 to 192000 Hz, a whole number",
        "If it is true, convert the recording to 48000 Hz; if not, the header is damaged: copy the file again.");

    public void RateLow(long at, int rate) => Error("REC-024", At(at), Invariant($"the sampling rate is {rate} Hz"), "16000 Hz or more; 48000 Hz is best",
        Invariant($"Nothing above about {0.45 * rate:F0} Hz was recorded and dB(A) would read low: record again at 48000 Hz. A higher rate made from this file does not help."));

    public void FrameBytesWrong(long at, int stated, int computed) => Warning("REC-025", At(at), Invariant($"the header says {stated} bytes a frame; channels times bytes a sample are {computed}, as its bytes a second confirm, and were used"),
        Invariant($"{computed} bytes a frame"), "Listen to a few seconds; if they sound right, nothing.");

    public void FrameBytesContradict(long at, int stated, int channels, int bits) => Error("REC-026", At(at),
        Invariant($"the header contradicts itself: {stated} bytes a frame, {channels} channels of {bits} bits"), Invariant($"{channels * ((bits + 7) / 8)} bytes a frame"),
        "Guessing would turn levels into nonsense: export the file again as 24-bit WAV from the recorder or its program.");

    public void Codec(long at, string codec, string advice) => Error("REC-027", At(at), Invariant($"the samples are coded as {codec}"), "PCM of 8 to 32 bits or floating point of 32 or 64 bits", advice);

    public void BitsAbsurd(long at, int bits, string kind) => Error("REC-028", At(at), Invariant($"the header says {kind} samples of {bits} bits"), "8 to 32 bits for integers, 32 or 64 for floating point",
        "The header is damaged, or the recorder has a format of its own: export a 24-bit WAV.");

    public void ValidBitsAbsurd(long at, int valid, int bits) => Warning("REC-029", At(at), Invariant($"the header says {valid} valid bits in samples of {bits} bits; {bits} were taken"),
        Invariant($"1 to {bits}"), "Nothing: full scale does not depend on it.", effect: 0);

    public void SizesDisagree(long at, ulong stated, long length) => Note("REC-032", At(at), Invariant($"the outer header says {stated} bytes follow"), Invariant($"{length - at - 4}, the rest of the file"),
        "Nothing, if the duration is right: the data's own length was used.");

    public void LengthWrapped(long at, ulong stated, long present, SampleLayout layout) => Warning("REC-033", At(at),
        Invariant($"the header says {stated} bytes of data, which is the true length less a multiple of 4 GiB; all {present} bytes ({Time(layout.Seconds(present))}) were read"),
        "RF64 or BW64 for recordings above 4 GiB", "Compare the length with your notes.");

    public void SecondChunk(string chunk, long at) => Warning("REC-034", At(at), Invariant($"a second '{chunk}' chunk was found and not read"), "one", "If the recording should be longer, export it again as one piece.");

    public void LossyCodec(string codec) => Warning("REC-035", name, Invariant($"the recording went through a lossy codec ({codec})"), "an uncompressed or losslessly compressed recording",
        "It serves for timing and broadband levels only: weak high-frequency bands are altered, and levels may be off by some tenths of a dB. Record as WAV next time.");

    public void NotNumbers(long count, int channel, double second) => Error("REC-030", Invariant($"{name}, second {second:F3}, channel {channel + 1}"),
        Invariant($"{count} samples are not finite numbers, the first one here; they are read as 0"), "numbers", "A program between recorder and file went wrong: use the file as the recorder wrote it.");

    public void FarAboveFullScale(double largest, int channel, double second) => Warning("REC-031", Invariant($"{name}, second {second:F3}, channel {channel + 1}"),
        Invariant($"the largest sample is {largest:G4} times full scale"), "floating-point samples of about ±1",
        "A program wrote integers into a floating-point file, perhaps: use the file as the recorder wrote it. Calibrated levels are right only if the calibration has the same fault.");

    /// <summary>Tenths of a second, and thousandths where the whole is short.</summary>
    private static string Time(double seconds) => seconds < 10 ? Invariant($"{seconds:F3} s") : Invariant($"{seconds:F1} s");

    private string At(long at) => Invariant($"{name}, byte {at}");

    private void Truncated(string code, long at, string found, string expected, string remedy) =>
        problems.Add(new Problem(code, truncation == Truncation.IsAllowed ? Severity.Warning : Severity.Error, At(at), found, expected, remedy));

    private void Error(string code, string where, string found, string expected, string remedy) => problems.Add(new Problem(code, Severity.Error, where, found, expected, remedy));

    private void Warning(string code, string where, string found, string expected, string remedy, double? effect = null) =>
        problems.Add(new Problem(code, Severity.Warning, where, found, expected, remedy, effect));

    private void Note(string code, string where, string found, string expected, string remedy) => problems.Add(new Problem(code, Severity.Note, where, found, expected, remedy, 0));
}
