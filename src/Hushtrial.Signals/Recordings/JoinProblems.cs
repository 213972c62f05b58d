using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Signals.Recordings;

/// <summary>What can be wrong between files that belong together.</summary>
internal static class JoinProblems
{
    public const string DifferCode = "REC-060";

    /// <summary>Parts that cannot be one recording; null when they can.</summary>
    public static Problem? Differ(Recording first, Recording other) => Words(first) == Words(other) && first.Encoding == other.Encoding ? null
        : new(DifferCode, Severity.Error, other.Name, $"{Words(other)}, where {first.Name} has {Words(first)}", "parts of one recording, alike in rate, channels and coding",
            "These are two recordings: give each an entry of its own. If a program changed one of them, take it as the recorder wrote it.");

    public static Problem? OtherRate(Recording first, Recording other) => first.SampleRate == other.SampleRate ? null
        : new(DifferCode, Severity.Error, other.Name, Invariant($"a sampling rate of {other.SampleRate} Hz, where {first.Name} has {first.SampleRate} Hz"), "channels of one recording, with one rate",
            "They are not channels of one recording: give each an entry of its own.");

    public static Problem Apart(Recording first, Recording second, long frames) => frames > 0
        ? new("REC-061", Severity.Error, second.Name, Invariant($"{Time(frames, first)} are missing between the end of {first.Name} and the start of {second.Name}, by their time references"), "parts that follow each other without a gap",
            "Is a part missing? If the recorder lost this time, give what stands behind the gap an entry of its own: joined, every later take would come too early.")
        : new("REC-062", Severity.Error, second.Name, Invariant($"{second.Name} begins {Time(-frames, first)} before the end of {first.Name}, by their time references"), "parts that follow each other without an overlap",
            "Some recorders repeat the end of a part: give each an entry of its own, or cut the repeated frames off with a program that keeps the samples.");

    public static Problem WrongOrder(IReadOnlyList<Recording> parts, IReadOnlyList<Recording> order) => new("REC-063", Severity.Error, parts[0].Name, $"parts in the order {List(parts)}, against their time references",
        $"the order {List(order)}, in which they adjoin", "Write them in that order.");

    public static Problem EndsEarly(Recording part) => new("REC-064", Severity.Warning, part.Name, "a part whose end is missing, with another part behind it", "whole parts before the last one",
        "What stands behind it comes too early by an unknown time: place takes in the later parts by ear, or give those an entry of their own.");

    public static Problem UnlikeLength(Recording shortest, Recording longest) => new("REC-065", Severity.Warning, longest.Name,
        Invariant($"{longest.Frames} frames, {Time(longest.Frames - shortest.Frames, longest)} more than {shortest.Name}"), "channels of the same length",
        "Read up to the end of the shortest. Channels of one recorder are equally long: check that both are of the same take.");

    public static Problem Numbered(Recording file, int number, int next) => new("REC-066", Severity.Error, file.Name, Invariant($"a file whose first channel is number {number}"), Invariant($"number {next}, the next one"),
        number < next ? "The file before has several channels: count them all." : "Number the channels without gaps, from 1, as 'channels' names them.");

    public static Problem OtherStart(Recording first, Recording other, long frames) => new("REC-067", Severity.Error, other.Name,
        Invariant($"a start {Time(Math.Abs(frames), first)} {(frames > 0 ? "after" : "before")} that of {first.Name}, by their time references"), "channels that were started together",
        "They are not side by side in time: give each an entry of its own with its clock, or cut them to the same start.");

    private static string Words(Recording r) => Invariant($"{r.SampleRate} Hz, {r.Channels} channel(s), {r.Encoding}");

    private static string Time(long frames, Recording r) => Invariant($"{1000.0 * frames / r.SampleRate:0.###} ms ({frames} frames)");

    private static string List(IEnumerable<Recording> parts) => string.Join(", ", parts.Select(p => p.Name));
}
