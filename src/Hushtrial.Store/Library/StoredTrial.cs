using System.Security.Cryptography;
using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Library;

/// <summary>A trial in a list of trials.</summary>
/// <param name="Id">Identity (a UUID of version 7: in the order of creation).</param>
/// <param name="Title">As in the document; "" when it has none.</param>
/// <param name="Created">When it came into the library, UTC.</param>
/// <param name="Changed">When its head last moved, UTC.</param>
/// <param name="Revision">Number of the head.</param>
/// <param name="Devices">Entries of its 'devices'.</param>
/// <param name="Takes">Entries of its 'takes'.</param>
/// <param name="Recordings">Entries of its 'recordings'.</param>
/// <param name="Removed">When it was put away; null: it is not.</param>
public sealed record TrialListing(Guid Id, string Title, DateTimeOffset Created, DateTimeOffset Changed, int Revision, int Devices, int Takes, int Recordings, DateTimeOffset? Removed);

/// <summary>A file of a trial.</summary>
/// <param name="Name">As the document names it, with forward slashes.</param>
/// <param name="Sha256">Hash of its content, lower-case hexadecimal.</param>
/// <param name="Bytes">Its length.</param>
public sealed record StoredFile(string Name, string Sha256, long Bytes);

/// <summary>A state of a trial, which two readings share or not: the document and the contents of its files.</summary>
/// <param name="Revision">Number of the head; 0 for no state at all.</param>
/// <param name="Files">Hash over names and hashes of the files, lower-case hexadecimal. A file that the document awaited comes without a new revision.</param>
public readonly record struct TrialMark(int Revision, string Files);

/// <summary>A trial of the library at its head.</summary>
/// <param name="Id">Identity.</param>
/// <param name="Revision">Number of the head, from 1.</param>
/// <param name="Draft">The document.</param>
/// <param name="Files">Its files, by name; also those that only earlier revisions name.</param>
/// <param name="CanUndo">Whether there is a revision before the head.</param>
/// <param name="CanRedo">Whether an undone revision follows the head.</param>
/// <param name="Created">When it came into the library, UTC.</param>
/// <param name="Changed">When its head last moved, UTC.</param>
/// <param name="Removed">When it was put away; null: it is not.</param>
public sealed record StoredTrial(Guid Id, int Revision, TrialDraft Draft, IReadOnlyList<StoredFile> Files, bool CanUndo, bool CanRedo, DateTimeOffset Created, DateTimeOffset Changed, DateTimeOffset? Removed)
{
    /// <summary>As in the document; "" when it has none.</summary>
    public string Title => Draft.Value("trial.title") ?? "";

    /// <summary>What tells this state of the trial from others.</summary>
    public TrialMark Mark => new(Revision, Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(string.Concat(Files.Select(f => $"{f.Sha256} {f.Name}\n"))))));
}

/// <summary>A revision in the history of a trial. Revisions form a tree: an edit after an undo begins a branch, and nothing is dropped.</summary>
/// <param name="Number">From 1, in the order of making.</param>
/// <param name="Parent">The revision that was edited; null for the first.</param>
/// <param name="Author">Who, as given; may be "".</param>
/// <param name="Summary">What, in a line.</param>
/// <param name="At">When, UTC.</param>
/// <param name="IsHead">Whether the trial stands at it.</param>
public sealed record RevisionListing(int Number, int? Parent, string Author, string Summary, DateTimeOffset At, bool IsHead);

/// <summary>What became of an edit.</summary>
public abstract record EditOutcome
{
    private EditOutcome() { }

    /// <summary>The edit is on disk.</summary>
    public sealed record Saved(StoredTrial Trial) : EditOutcome;

    /// <summary>Somebody else changed the same place meanwhile; nothing was saved.</summary>
    /// <param name="Head">The trial as it is now.</param>
    /// <param name="Path">The place; "" is the whole document.</param>
    /// <param name="Theirs">Its value now; null when nothing stands there any more.</param>
    /// <param name="Yours">The value the edit would have given it; null when it would have removed it.</param>
    public sealed record Conflict(StoredTrial Head, string Path, string? Theirs, string? Yours) : EditOutcome;

    /// <summary>The edit cannot be done; nothing was saved.</summary>
    public sealed record Refused(Problem Problem) : EditOutcome;
}

/// <summary>How much a library takes.</summary>
public sealed record LibraryLimits
{
    /// <summary>Longest file, bytes. 20 GB: a day of four channels at 48 kHz and 24 bits has 50 GB, in files that recorders split at 2 or 4 GB.</summary>
    public long MostFileBytes { get; init; } = 20_000_000_000;

    /// <summary>All recordings together, unfinished uploads too, bytes.</summary>
    public long MostBytes { get; init; } = 1_000_000_000_000;
}

/// <summary>The answer to the wish to upload.</summary>
/// <param name="Upload">Identity of the upload; null when it is refused.</param>
/// <param name="Problem">Why it is refused; null when it is not.</param>
public sealed record UploadTicket(Guid? Upload, Problem? Problem);

/// <summary>How far an upload is.</summary>
/// <param name="Id">Identity of the upload.</param>
/// <param name="Trial">The trial it is for.</param>
/// <param name="Name">The file's name as the sender gave it.</param>
/// <param name="Length">Its length, bytes.</param>
/// <param name="Offset">Bytes that are safely on disk: go on from here.</param>
/// <param name="Begun">When it began, UTC.</param>
public sealed record UploadState(Guid Id, Guid Trial, string Name, long Length, long Offset, DateTimeOffset Begun)
{
    /// <summary>Whether the file is in the trial.</summary>
    public bool Finished { get; init; }

    /// <summary>Hash of the whole file, lower-case hexadecimal; null until it is finished.</summary>
    public string? Sha256 { get; init; }

    /// <summary>Name of the file in the trial; null until it is finished.</summary>
    public string? File { get; init; }

    /// <summary>Identity of the recording or log in the document; null until it is finished, or when the document could not take it.</summary>
    public string? Recording { get; init; }

    /// <summary>Why the last request could not be done; null when it could. UPL-001: wrong offset (409), UPL-002: a transfer under way (423), UPL-003: too many bytes (413), LIB-010: no room (507).</summary>
    public Problem? Problem { get; init; }
}

/// <summary>What became of a file to be added.</summary>
/// <param name="Trial">The trial with it; null when it was refused.</param>
/// <param name="File">Name of the file in the trial.</param>
/// <param name="Recording">Identity of the recording or log in the document.</param>
/// <param name="Sha256">Hash of its content.</param>
/// <param name="Problem">Why it was refused; null when it was not.</param>
public sealed record AddedFile(StoredTrial? Trial, string? File, string? Recording, string? Sha256, Problem? Problem);

/// <summary>What became of an import.</summary>
/// <param name="Trial">The new trial; null when it was refused.</param>
/// <param name="Problems">Why it was refused, or what was left out.</param>
public sealed record ImportOutcome(StoredTrial? Trial, IReadOnlyList<Problem> Problems);

/// <summary>How much an import takes: a small archive can hold endless files.</summary>
public sealed record ImportLimits
{
    /// <summary>All files together when unpacked, bytes.</summary>
    public long MostBytes { get; init; } = 50_000_000_000;

    /// <summary>The archive itself, bytes.</summary>
    public long MostArchiveBytes { get; init; } = 50_000_000_000;

    /// <summary>Revisions of a history. A document that is edited all day makes some hundred.</summary>
    public int MostRevisions { get; init; } = 20_000;

    /// <summary>Number of files and folders.</summary>
    public int MostFiles { get; init; } = 5000;

    /// <summary>Bytes unpacked for each byte packed, over the whole archive, once more than 64 MB came out. Recordings reach 3, digital silence 1000.</summary>
    public double MostRatio { get; init; } = 100;
}
