namespace Hushtrial.Store.Library;

/// <summary>Where things lie in a library's folder.</summary>
internal sealed class LibraryFolder
{
    public LibraryFolder(string root)
    {
        Root = Path.GetFullPath(root);
        foreach (var folder in new[] { Root, Recordings, Uploads, Histories }) Directory.CreateDirectory(folder);
    }

    public string Root { get; }

    public string Database => Path.Combine(Root, "library.db");

    public string Recordings => Path.Combine(Root, "recordings");

    public string Uploads => Path.Combine(Root, "uploads");

    /// <summary>What can be computed again from recordings, named by their hashes.</summary>
    public string Histories => Path.Combine(Root, "histories");

    /// <summary>The file that holds a content.</summary>
    public string Content(string sha256) => Path.Combine(Recordings, sha256[..2], sha256);

    /// <summary>The file that an upload grows in.</summary>
    public string Part(Guid upload) => Path.Combine(Uploads, upload.ToString("N") + ".part");

    /// <summary>A file for a copy that is not content yet.</summary>
    public string Copy() => Path.Combine(Uploads, Guid.NewGuid().ToString("N") + ".copy");

    /// <summary>Free bytes on its disk; null when the system does not say.</summary>
    public long? Free()
    {
        try
        {
            return new DriveInfo(Root).AvailableFreeSpace;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException)
        {
            return null;
        }
    }

    /// <summary>Deletes copies and parts that nobody writes and no upload knows: what a killed process left.</summary>
    /// <param name="isUpload">Whether an upload is known; asked while the file is held, for its row is older than the file.</param>
    /// <param name="now">To tell what is old enough.</param>
    public void Sweep(Func<Guid, bool> isUpload, DateTimeOffset now)
    {
        foreach (var file in Directory.GetFiles(Uploads))
        {
            // An upload that is known is not even held for a moment: its sender would be turned away.
            var upload = Path.GetExtension(file) == ".part" && Guid.TryParseExact(Path.GetFileNameWithoutExtension(file), "N", out var id) ? id : (Guid?)null;
            if (upload is { } known && isUpload(known)) continue;
            try
            {
                // Whoever writes one holds it open for himself alone. A copy that is whole waits unheld for a moment, or for the rest of its package.
                using (new FileStream(file, FileMode.Open, FileAccess.Write, FileShare.None))
                {
                    var isLeft = upload is { } part ? !isUpload(part) : now.UtcDateTime - File.GetLastWriteTimeUtc(file) > TimeSpan.FromDays(1);
                    if (isLeft) File.Delete(file);
                }
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                // In use: it is not left over.
            }
        }
    }
}
