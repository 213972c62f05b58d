namespace Hushtrial.Store.Library;

/// <summary>A trial: where its head stands, and the counts that lists show.</summary>
internal sealed class TrialRow
{
    public Guid Id { get; set; }

    public required string Title { get; set; }

    public DateTimeOffset Created { get; set; }

    public DateTimeOffset Changed { get; set; }

    public int Head { get; set; }

    /// <summary>The highest number given so far.</summary>
    public int Latest { get; set; }

    public int Devices { get; set; }

    public int Takes { get; set; }

    public int Recordings { get; set; }

    public DateTimeOffset? Removed { get; set; }
}

/// <summary>A state of a trial's document.</summary>
internal sealed class RevisionRow
{
    public Guid TrialId { get; set; }

    public int Number { get; set; }

    public int? Parent { get; set; }

    /// <summary>The child that was undone last: where a redo goes.</summary>
    public int? Next { get; set; }

    public required string Author { get; set; }

    public required string Summary { get; set; }

    public DateTimeOffset At { get; set; }

    /// <summary>The whole document, compressed: a trial of a thousand takes has 100 kB and thousands of revisions.</summary>
    public required byte[] Text { get; set; }
}

/// <summary>A file of a trial under its name.</summary>
internal sealed class FileRow
{
    public Guid TrialId { get; set; }

    public required string Name { get; set; }

    public required string Sha256 { get; set; }
}

/// <summary>A content on disk, shared by all files that have it.</summary>
internal sealed class ContentRow
{
    public required string Sha256 { get; set; }

    public long Bytes { get; set; }

    /// <summary>No file has it any more: the next writer with time deletes it from disk.</summary>
    public bool Doomed { get; set; }
}

/// <summary>An upload. Its offset counts bytes that are safely on disk.</summary>
internal sealed class UploadRow
{
    public Guid Id { get; set; }

    public Guid TrialId { get; set; }

    public required string Name { get; set; }

    public required string Author { get; set; }

    public long Length { get; set; }

    public long Offset { get; set; }

    public DateTimeOffset Begun { get; set; }

    public string? Sha256 { get; set; }

    public string? File { get; set; }

    public string? Recording { get; set; }

    public bool Finished { get; set; }
}

/// <summary>The one row that says which schema the database has.</summary>
internal sealed class SchemaRow
{
    public int Id { get; set; }

    public int Version { get; set; }
}
