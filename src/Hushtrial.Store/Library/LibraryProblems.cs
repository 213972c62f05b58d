using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Store.Library;

/// <summary>What can go wrong with the library, with uploads and with imports.</summary>
internal static class LibraryProblems
{
    public static Problem NoTrial(Guid id) => Error("LIB-001", Invariant($"trial {id}"), "no such trial in the library", "a trial that is there", "It may have been erased. Look at the list of trials.");

    public static Problem NoRevision(int number) => Error("LIB-002", "the history", Invariant($"no revision {number}"), "a revision of this trial", "Look at its history.");

    public static Problem TooLong(long characters) => Error("LIB-003", "the document", Invariant($"a document of {characters} characters"), "at most 5 million", "Keep long texts and tables in files of their own.");

    public static Problem NoFile(string name) => Error("LIB-004", name, "no file of this name has been added to the trial", "a recording or a level log", "Add the file, or correct its name in the document.");

    public static Problem Changed(string name) => Error("LIB-005", name, "a file in the library that is not what was put there: its length differs", "the content that its hash names", "The disk may be failing, or somebody changed the library's own files. Add the file again from its source.");

    public static Problem Trap(Guid id) => Error("LIB-006", Invariant($"trial {id}"), "a trial that was put away", "a trial in use", "Bring it back first.");

    public static Problem MovedOn(int seen, int head) => Error("LIB-007", "the trial", Invariant($"revision {head}; the page showed {seen}"), "the revision that was seen", "Look at the trial again, and decide anew.");

    public static Problem UnfinishedUpload() => Error("LIB-008", "the trial", "an upload that is not finished", "all uploads finished or given up", "Finish it, or give it up: it may hold sound, too.");

    public static Problem NoRoom(string name, long needed) => Error("LIB-010", name, needed > 0 ? Invariant($"no room on the disk for {Megabytes(needed)}") : "no room on the disk", "room for it", "Make room and go on: nothing that was saved before is lost.");

    public static Problem OverQuota(string name, long bytes, long most) => Error("LIB-011", name, Invariant($"{Megabytes(bytes)} would be more than the library takes"), Invariant($"at most {Megabytes(most)} in all"), "Erase trials that are no longer needed, or raise the limit.");

    public static Problem CannotWrite(string name, string reason) => Error("LIB-012", name, Invariant($"the library cannot be written: {reason}"), "a folder that can be written", "Check the disk and its permissions, and try again.");

    public static Problem WrongOffset(string name, long asked, long is_) => Error("UPL-001", name, Invariant($"a transfer from byte {asked}"), Invariant($"one from byte {is_}, where the upload stands"), "Ask how far the upload is, and go on from there.");

    public static Problem UnderWay(string name) => Error("UPL-002", name, "another transfer of the same upload", "one at a time", "Wait a little and ask how far it is.");

    public static Problem TooManyBytes(string name, long length) => Error("UPL-003", name, "more bytes than were announced", Invariant($"{length} bytes"), "The file changed while it was sent, or another one was chosen. Begin again.");

    public static Problem TooLongFile(string name, long length, long most) => Error("UPL-004", name, Invariant($"a file of {Megabytes(length)}"), Invariant($"at most {Megabytes(most)}"), "Split the recording, or raise the limit.");

    public static Problem Empty(string name) => Error("UPL-005", name, "a file without a byte", "a recording or a level log", "Copy it again from the recorder.");

    public static Problem Lost(string name) => Error("UPL-006", name, "an upload whose bytes are gone from the disk", "the bytes that were sent", "Send the file again from its beginning.");

    public static Problem NoSound(string name, string words) => Error("UPL-007", name, Invariant($"the file is {words}"), "a recording or a level log", "Choose the file that holds the sound, or the table of levels as text (CSV).");

    public static Problem NoTable(string name, string words) => Error("UPL-007", name, Invariant($"the file is {words}"), "a recording, or a table of levels in plain text", "Choose the file that holds the sound or the levels; export a log as text (CSV).");

    public static Problem NotListed(string name, string reason, string section = "recordings") => new("UPL-008", Severity.Warning, name, Invariant($"the file is in the trial, but its document could not take it: {reason}"), Invariant($"an entry in '{section}'"), Invariant($"Correct the document's '{section}', then name the file there."));

    public static string Megabytes(long bytes) => bytes < 1_000_000 ? Invariant($"{bytes / 1e3:0.#} kB") : bytes < 1_000_000_000 ? Invariant($"{bytes / 1e6:0.#} MB") : Invariant($"{bytes / 1e9:0.##} GB");

    private static Problem Error(string code, string where, string found, string expected, string remedy) => new(code, Severity.Error, where, found, expected, remedy);
}
