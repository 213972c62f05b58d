using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using static System.FormattableString;

namespace Hushtrial.Store.Files;

/// <summary>What can go wrong between a name and a recording: the file itself and the decoder beside us.</summary>
public static class FileProblems
{
    public static Problem NotFound(string name) => Error("REC-041", name, "there is no such file", "a recording", "Check the name; names in a trial document are relative to its folder.");

    public static Problem IsFolder(string name) => Error("REC-042", name, "this is a folder", "a recording", "Name the file inside it.");

    public static Problem NotPermitted(string name) => Error("REC-043", name, "the file may not be read by you", "a readable file", "Change its permissions, or copy it.");

    public static Problem LeadsOut(string name) => Error("REC-045", name, "a link that leads out of the trial's folder", "a file inside the trial's folder", "Copy the recording into the folder.");

    public static Problem CannotOpen(string name, string reason) => Error("REC-044", name, Invariant($"the file cannot be opened: {reason}"), "a readable file", "Copy it to this machine and try again.");

    public static Problem DecoderMissing(string name, ContainerFormat format) => Error("REC-050", name,
        Invariant($"the file is {FileSignature.Words(format)}, and the program ffmpeg that could decode it is not installed"), "WAV, RF64, BW64, Wave64 or AIFF, or ffmpeg on the search path",
        "Install ffmpeg (Debian and Ubuntu: apt install ffmpeg), or convert the recording to a 24-bit WAV.");

    public static Problem DecoderFailed(string name, ContainerFormat format, string said) => Error("REC-051", name,
        Invariant($"the file looks like {FileSignature.Words(format)}, but ffmpeg could not decode it{Said(said)}"), "a sound file", "Copy the file again; if it plays elsewhere, convert it there to a 24-bit WAV.");

    public static Problem NoSound(string name, ContainerFormat format) => Error("REC-052", name, Invariant($"the file is {FileSignature.Words(format)} without a sound track"), "a recording",
        "Give the file that holds the sound.");

    public static Problem DecoderComplained(string name, string said, Truncation truncation) => new("REC-053", truncation == Truncation.IsAllowed ? Severity.Warning : Severity.Error, name,
        Invariant($"ffmpeg met damage while decoding{Said(said)}"), "a sound file without damage",
        "Copy the file again from the recorder. If this is all there is, allow truncated recordings; the report will list this one.");

    public static Problem DecodedShort(string name, TimeSpan decoded, TimeSpan promised, Truncation truncation) => new("REC-054", truncation == Truncation.IsAllowed ? Severity.Warning : Severity.Error, name,
        Invariant($"{decoded.TotalSeconds:F1} s of sound could be decoded"), Invariant($"{promised.TotalSeconds:F1} s, as the header says"),
        "Copy the file again from the recorder. If this is all there is, allow truncated recordings; the report will list this one.");

    public static Problem NoTemporaryFolder(string name) => Error("REC-055", name, "no temporary folder can be made to decode the file into", "a temporary folder with room for 0.7 GB for each hour of stereo",
        "Make room, point TMPDIR to a folder that can be written, or convert the recording to a 24-bit WAV.");

    public static Problem ChannelsOutOfOrder(string name, uint channels) => Error("REC-056", name,
        Invariant($"Apple Lossless of {channels} channels in a Core Audio file that does not say what they are: they come back in another order than they were written in"), "a file whose channels keep their order",
        "Convert the recording again, to a 24-bit WAV or to FLAC.");

    public static Problem PacketsNotGivenBack(string name, int stored, int all) => Error("REC-057", name,
        Invariant($"Apple Lossless in a Core Audio file of a program whose packets of loud noise do not hold the samples that it was given: {stored} of {all} packets"), "a lossless file that gives back every sample",
        "Convert the recording again from where it came from, to a 24-bit WAV or to FLAC.");

    private static string Said(string said) => said.Length == 0 ? "" : Invariant($" (it says: {said})");

    private static Problem Error(string code, string where, string found, string expected, string remedy) => new(code, Severity.Error, where, found, expected, remedy);
}
