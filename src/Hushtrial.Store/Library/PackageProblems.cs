using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Store.Library;

/// <summary>Why a package is not taken in, or not all of it.</summary>
internal static class PackageProblems
{
    public static Problem NoArchive(string reason) => Error("IMP-001", "the archive", Invariant($"a file that is no whole ZIP archive ({reason})"), "a ZIP archive", "Copy or download it again.");

    public static Problem NoDocument(string where) => Error("IMP-002", where, "no trial.yaml", "a trial.yaml at the top, or in the one folder at the top", "Choose the folder or archive that holds the trial.");

    public static Problem Outside(string name) => Error("IMP-003", name, "a name that leads out of the folder, or that not every system can hold", "names of files inside the folder", "Do not unpack this archive: it may be an attack. Make it again with an ordinary program.");

    public static Problem Link(string name) => Error("IMP-004", name, "a link or a device", "plain files and folders", "Put the file itself into the archive.");

    public static Problem Twice(string name) => Error("IMP-005", name, "the same name twice (capitals do not tell names apart)", "each name once", "Make the archive again.");

    public static Problem TooMuch(string what) => Error("IMP-006", "the archive", what, "an archive of a trial", "Do not unpack it. If it is a trial of yours, raise the limits or import its folder.");

    public static Problem Empty(string name) => Error("IMP-007", name, "a file without a byte", "a recording or a level log", "Copy it again from the recorder, or take it out of the document.");

    public static Problem WrongKind(string name, string words, string expected) => Error("IMP-008", name, Invariant($"{words} where the document names {expected}"), expected, "Put the right file in its place, or take it out of the document.");

    public static Problem NewerHistory() => Error("IMP-009", TrialHistory.FileName, "a history that a newer program wrote", "one that this program knows", "Import it with the newer program, or delete the file: the trial is then taken in without its history.");

    public static Problem DamagedHistory(string reason) => Error("IMP-010", TrialHistory.FileName, Invariant($"a damaged history ({reason})"), "the history as it was exported", "Copy the trial again, or delete the file: the trial is then taken in without its history.");

    public static Problem Missing(string name) => new("IMP-011", Severity.Warning, name, "no such file beside the document", "the file that the document names", "Add it to the trial later: it finds its place by its name.");

    public static Problem Unlike(string name) => new("IMP-012", Severity.Warning, name, "a file that is not what it was when the trial was exported: its hash differs", "the same content", "It was taken in as it is now. Look whether that is meant.");

    public static Problem LeftOut(IReadOnlyList<string> names) => new("IMP-013", Severity.Note, names.Count == 1 ? names[0] : Invariant($"{names.Count} files"),
        Invariant($"{(names.Count == 1 ? "a file" : "files")} that the document does not name{(names.Count == 1 ? "" : ": " + string.Join(", ", names.Take(5)) + (names.Count > 5 ? " …" : ""))}"), "the document, its recordings and logs, and its history", "Nothing to do: results and reports are made again from the trial.");

    public static Problem NotRead(string name, string reason) => Error("IMP-014", name, Invariant($"a file that cannot be read ({reason})"), "a readable file", "Copy the trial again.");

    private static Problem Error(string code, string where, string found, string expected, string remedy) => new(code, Severity.Error, where.Length == 0 ? "an entry without a name" : where, found, expected, remedy);
}
