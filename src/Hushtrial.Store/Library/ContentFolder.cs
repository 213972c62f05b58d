using Microsoft.EntityFrameworkCore;

namespace Hushtrial.Store.Library;

/// <summary>Recordings by their content. A row of a content means that its file is there; both change inside one write only.</summary>
internal sealed class ContentFolder(LibraryRecords records)
{
    /// <summary>Puts a finished file among the contents, inside a write. The file under its old name is gone afterwards, or superfluous.</summary>
    public void Place(LibraryContext context, string file, string sha256, long bytes)
    {
        if (!IsThere(sha256, bytes))
        {
            if (new FileInfo(file) is not { Exists: true } whole || whole.Length != bytes) throw new FileNotFoundException("A file to be kept is not there as a whole.", file);
            DurableFiles.Place(file, records.Folder.Content(sha256));
        }
        if (context.Contents.Find(sha256) is { } row) row.Doomed = false;
        else context.Contents.Add(new ContentRow { Sha256 = sha256, Bytes = bytes });
    }

    /// <summary>Whether the file of a content is there, with its length.</summary>
    public bool IsThere(string sha256, long bytes) => new FileInfo(records.Folder.Content(sha256)) is { Exists: true } there && there.Length == bytes;

    /// <summary>Marks contents that no file has any more, inside a write.</summary>
    public static void Doom(LibraryContext context) =>
        context.Contents.Where(c => !c.Doomed && !context.Files.Any(f => f.Sha256 == c.Sha256)).ExecuteUpdate(s => s.SetProperty(c => c.Doomed, true));

    /// <summary>Deletes what is marked, in a write of its own: whoever brings the same content again meanwhile waits, and finds it gone.</summary>
    public void DeleteDoomed()
    {
        if (!records.Read(c => c.Contents.Any(r => r.Doomed))) return;
        records.Write(context =>
        {
            foreach (var content in context.Contents.Where(c => c.Doomed && !context.Files.Any(f => f.Sha256 == c.Sha256)).ToList())
            {
                DurableFiles.TryDelete(records.Folder.Content(content.Sha256));
                foreach (var history in Directory.GetFiles(records.Folder.Histories, content.Sha256 + "*")) DurableFiles.TryDelete(history);
                if (!File.Exists(records.Folder.Content(content.Sha256))) context.Contents.Remove(content);
            }
            return true;
        });
    }

    /// <summary>Bytes of all contents, and of all unfinished uploads.</summary>
    public static long Total(LibraryContext context) => context.Contents.Sum(c => c.Bytes) + context.Uploads.Where(u => !u.Finished).Sum(u => u.Length);
}
