using System.IO.Compression;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;

namespace Hushtrial.Store.Library;

/// <summary>A trial as one thing to carry: an archive or a folder, out of the library and into it.</summary>
public sealed partial class TrialLibrary
{
    /// <summary>Writes a trial as a ZIP archive: trial.yaml, its recordings under their names, and its history.</summary>
    /// <exception cref="WrongUseException">There is no such trial, or a recording is missing.</exception>
    public void ExportZip(Guid id, Stream to)
    {
        var (trial, history) = PackUp(id);
        PackageArchive.Write(trial, history, Content, to);
    }

    /// <summary>Writes a trial into a new or empty folder; the command line reads it as it is.</summary>
    /// <exception cref="WrongUseException">There is no such trial, a recording is missing, or the folder holds something.</exception>
    public void ExportFolder(Guid id, string folder)
    {
        var (trial, history) = PackUp(id);
        PackageFolder.Write(trial, history, Content, folder);
    }

    /// <summary>Takes a trial in from a ZIP archive: one that was exported, or any with a trial.yaml and recordings. A new trial is made each time.</summary>
    /// <param name="from">The archive, read to its end; it need not be seekable.</param>
    /// <param name="limits">How much is taken.</param>
    /// <param name="author">Who; may be "".</param>
    public ImportOutcome ImportZip(Stream from, ImportLimits limits, string author = "")
    {
        ArgumentNullException.ThrowIfNull(from);
        ArgumentNullException.ThrowIfNull(limits);
        const string where = "an archive";
        if (from.CanSeek && _room.OnDisk(where, from.Length - from.Position) is { } full) return new(null, [full]);
        var copy = _records.Folder.Copy();
        try
        {
            // The copy goes when its files have been taken out, so that the library's limit is not for it.
            var (bytes, _) = DurableFiles.CopyAsync(from, copy, limits.MostArchiveBytes, _room.Watch(where, long.MaxValue), CancellationToken.None).GetAwaiter().GetResult();
            using var archive = ZipFile.OpenRead(copy);
            var (files, problem) = PackageArchive.Files(archive, bytes, limits);
            return problem is not null ? new(null, [problem]) : new TrialPackage(_records, _contents, _room).TakeIn(files, where, limits, author);
        }
        catch (NoRoomLeftException e)
        {
            return new(null, [e.Problem]);
        }
        catch (PackageTooLargeException e)
        {
            return new(null, [PackageProblems.TooMuch(e.Message)]);
        }
        catch (InvalidDataException e)
        {
            return new(null, [PackageProblems.NoArchive(e.Message)]);
        }
        catch (Exception e) when (DurableFiles.Explain(e, "the archive") is { } problem)
        {
            return new(null, [problem]);
        }
        finally
        {
            DurableFiles.TryDelete(copy);
        }
    }

    /// <summary>Takes a trial in from its folder; the folder stays as it is.</summary>
    /// <param name="folder">The folder that holds trial.yaml.</param>
    /// <param name="author">Who; may be "".</param>
    /// <param name="limits">How much is taken.</param>
    public ImportOutcome ImportFolder(string folder, string author = "", ImportLimits? limits = null)
    {
        ArgumentNullException.ThrowIfNull(folder);
        var most = limits ?? new();
        try
        {
            var (files, problem) = PackageFolder.Files(folder, most.MostFiles);
            return problem is not null ? new(null, [problem]) : new TrialPackage(_records, _contents, _room).TakeIn(files, "a folder", most, author);
        }
        catch (NoRoomLeftException e)
        {
            return new(null, [e.Problem]);
        }
        catch (InvalidDataException e)
        {
            return new(null, [PackageProblems.TooMuch(e.Message)]);
        }
        catch (Exception e) when (DurableFiles.Explain(e, "the folder") is { } problem)
        {
            return new(null, [problem]);
        }
    }

    private (StoredTrial Trial, TrialHistory History) PackUp(Guid id)
    {
        var (trial, history) = new TrialPackage(_records, _contents, _room).PackUp(id) ?? throw new WrongUseException($"there is no trial {id} in the library.");
        foreach (var file in trial.Files) _ = Content(file);
        return (trial, history);
    }
}
