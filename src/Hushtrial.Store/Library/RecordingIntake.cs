using System.Collections.Concurrent;
using System.Security.Cryptography;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Logs;
using Microsoft.EntityFrameworkCore;

namespace Hushtrial.Store.Library;

/// <summary>Brings recordings and level logs in: uploads in pieces that may break off anywhere, and files of this computer.</summary>
internal sealed class RecordingIntake(LibraryRecords records, ContentFolder contents, LibraryLimits limits, LibraryRoom room) : IDisposable
{
    private const int BufferBytes = 128 * 1024;

    /// <summary>A long transfer that is killed loses at most this much.</summary>
    private const int FlushBytes = 8 * 1024 * 1024;

    /// <summary>Hashes of uploads that this process has seen from their beginning, with the offset they stand at.</summary>
    private readonly ConcurrentDictionary<Guid, (long Offset, IncrementalHash Hash)> _hashes = new();

    public void Dispose()
    {
        foreach (var (_, (_, hash)) in _hashes) hash.Dispose();
        _hashes.Clear();
    }

    public UploadTicket Begin(Guid trial, string name, long length, string author)
    {
        ArgumentNullException.ThrowIfNull(name);
        if (length < 0) throw new ArgumentOutOfRangeException(nameof(length), length, "A length is not negative.");
        var shown = SafeName.Of(name);
        if (length == 0) return new(null, LibraryProblems.Empty(shown));
        if (length > limits.MostFileBytes) return new(null, LibraryProblems.TooLongFile(shown, length, limits.MostFileBytes));
        var now = records.Now();
        UploadTicket? ticket = null;
        try
        {
            records.Write(context =>
            {
                ticket = Refusal(context, trial, shown, length) is { } problem ? new(null, problem) : new(Guid.CreateVersion7(now), null);
                if (ticket.Upload is not { } id) return false;
                context.Uploads.Add(new UploadRow { Id = id, TrialId = trial, Name = name.Length <= 400 ? name : name[^400..], Author = author ?? "", Length = length, Begun = now });
                return true;
            });
        }
        catch (Exception e) when (DurableFiles.Explain(e, shown) is { } problem)
        {
            return new(null, problem);
        }
        return ticket!;
    }

    public UploadState? Find(Guid upload) => Row(upload) is not { } row ? null : row.Finished || row.Offset < row.Length ? State(row) : Complete(row);

    public IReadOnlyList<UploadState> Of(Guid trial) => [.. records.Read(c => c.Uploads.AsNoTracking().Where(u => u.TrialId == trial).ToList()).OrderBy(u => u.Begun).ThenBy(u => u.Id).Select(u => u.Finished || u.Offset < u.Length ? State(u) : Complete(u))];

    public async Task<UploadState?> AppendAsync(Guid upload, long offset, Stream body, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(body);
        if (Row(upload) is not { } row) return null;
        var name = SafeName.Of(row.Name);
        if (row.Finished) return State(row) with { Problem = offset == row.Length ? null : LibraryProblems.WrongOffset(name, offset, row.Length) };
        try
        {
            var part = OpenPart(upload);
            if (part is null) return State(row) with { Problem = LibraryProblems.UnderWay(name) };
            await using (part.ConfigureAwait(false))
            {
                // Nobody else writes from here on; what the row says now holds.
                row = Row(upload);
                if (row is null) return null;
                if (row.Finished || (row.Sha256 is null && part.Length < row.Offset)) return Mend(row, part.Length);
                if (offset != row.Offset) return State(row) with { Problem = LibraryProblems.WrongOffset(name, offset, row.Offset) };
                if (row.Sha256 is null)
                {
                    if (part.Length != row.Offset) part.SetLength(row.Offset);
                    part.Position = row.Offset;
                    if (await TakeAsync(row, part, body, cancellation).ConfigureAwait(false) is { } problem) return State(row) with { Problem = problem };
                }
            }
        }
        catch (Exception e) when (e is not OperationCanceledException && DurableFiles.Explain(e, name) is { } problem && !IsOfBody(e))
        {
            return Row(upload) is { } now ? State(now) with { Problem = problem } : null;
        }
        return row.Offset < row.Length ? State(row) : Complete(row);
    }

    public void Abandon(Guid upload)
    {
        records.Write(context =>
        {
            if (context.Uploads.FirstOrDefault(u => u.Id == upload) is not { } row) return false;
            // Killed between the file's last move and the row: a content that no row names.
            if (row is { Finished: false, Sha256: { } sha } && context.Contents.Find(sha) is null) DurableFiles.TryDelete(records.Folder.Content(sha));
            context.Uploads.Remove(row);
            return true;
        });
        DeletePart(upload);
    }

    public void DeletePart(Guid upload)
    {
        if (_hashes.TryRemove(upload, out var hash)) hash.Hash.Dispose();
        DurableFiles.TryDelete(records.Folder.Part(upload));
    }

    public async Task<AddedFile> AddLocalFileAsync(Guid trial, string path, string author, IProgress<double>? progress, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(path);
        var name = SafeName.Of(Path.GetFileName(path));
        using (var bytes = FileBytes.Open(path, name, out var problem))
        {
            if (bytes is null) return new(null, null, null, null, problem);
            if (KindOfFile.Refusal(bytes, name) is { } wrong) return new(null, null, null, null, wrong);
        }
        var copy = records.Folder.Copy();
        try
        {
            var from = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.Read, 0, FileOptions.SequentialScan);
            await using (from.ConfigureAwait(false))
            {
                var length = from.Length;
                if (length > limits.MostFileBytes) return new(null, null, null, null, LibraryProblems.TooLongFile(name, length, limits.MostFileBytes));
                if (records.Read(c => Refusal(c, trial, name, length)) is { } problem) return new(null, null, null, null, problem);
                var (bytes, sha) = await DurableFiles.CopyAsync(from, copy, limits.MostFileBytes, progress is null ? null : new Share(progress, length), cancellation).ConfigureAwait(false);
                return Enter(trial, Path.GetFileName(path), copy, sha, bytes, author ?? "", null);
            }
        }
        catch (Exception e) when (e is not OperationCanceledException && DurableFiles.Explain(e, name) is { } problem)
        {
            return new(null, null, null, null, problem);
        }
        catch (InvalidDataException)
        {
            return new(null, null, null, null, LibraryProblems.TooLongFile(name, limits.MostFileBytes + 1, limits.MostFileBytes));
        }
        finally
        {
            DurableFiles.TryDelete(copy);
        }
    }

    /// <summary>Enters a file that lies in the library's folder already and belongs to nobody else.</summary>
    /// <param name="trial">The trial.</param>
    /// <param name="file">The file.</param>
    /// <param name="name">Its name for people.</param>
    /// <param name="author">Who.</param>
    /// <param name="again">Whether it was tried before: then it may be a recording already.</param>
    /// <param name="cancellation">Stops the hashing.</param>
    public async Task<AddedFile> TakeAsync(Guid trial, string file, string name, string author, bool again, CancellationToken cancellation)
    {
        try
        {
            string sha;
            long length;
            var from = new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.Read, 0, FileOptions.SequentialScan);
            await using (from.ConfigureAwait(false))
            {
                length = from.Length;
                sha = Convert.ToHexStringLower(await SHA256.HashDataAsync(from, cancellation).ConfigureAwait(false));
            }
            // Killed between the entry and the end of the capture: it is a recording already.
            if (again && records.Find(trial) is { } stored)
            {
                var same = stored.Files.Where(f => f.Sha256 == sha).Select(f => f.Name).ToHashSet(StringComparer.Ordinal);
                // An equal one may have been entered before it: its own is the last.
                if (RecordingEntering.Named(stored.Draft, "recordings").LastOrDefault(r => same.Contains(r.File)) is { File: { } known } entered) return new(stored, known, entered.Id, sha, null);
            }
            return Enter(trial, name, file, sha, length, author ?? "", null);
        }
        catch (Exception e) when (e is not OperationCanceledException && DurableFiles.Explain(e, name) is { } problem)
        {
            return new(null, null, null, null, problem);
        }
    }

    private Problem? Refusal(LibraryContext context, Guid trial, string name, long length)
    {
        if (context.Trials.AsNoTracking().FirstOrDefault(t => t.Id == trial) is not { } row) return LibraryProblems.NoTrial(trial);
        if (row.Removed is not null) return LibraryProblems.Trap(trial);
        return room.Refusal(context, name, length);
    }

    private UploadRow? Row(Guid upload) => records.Read(c => c.Uploads.AsNoTracking().FirstOrDefault(u => u.Id == upload));

    private static UploadState State(UploadRow row) => new(row.Id, row.TrialId, row.Name, row.Length, row.Offset, row.Begun) { Finished = row.Finished, Sha256 = row.Finished ? row.Sha256 : null, File = row.File, Recording = row.Recording };

    /// <summary>The growing file, for this process and thread alone; null when another has it.</summary>
    private FileStream? OpenPart(Guid upload)
    {
        try
        {
            return new FileStream(records.Folder.Part(upload), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None, 0);
        }
        catch (IOException e) when (File.Exists(records.Folder.Part(upload)) && e is not FileNotFoundException and not DirectoryNotFoundException and not PathTooLongException && DurableFiles.Explain(e, "") is not { Code: "LIB-010" })
        {
            return null;
        }
    }

    /// <summary>A row that another transfer has finished meanwhile, or whose bytes are gone.</summary>
    private UploadState Mend(UploadRow row, long present)
    {
        if (row.Finished)
        {
            DeletePart(row.Id);
            return State(row);
        }
        SaveOffset(row, present);
        return State(row) with { Problem = LibraryProblems.Lost(SafeName.Of(row.Name)) };
    }

    private async Task<Problem?> TakeAsync(UploadRow row, FileStream part, Stream body, CancellationToken cancellation)
    {
        var begun = row.Offset;
        var hash = HashAt(row);
        var buffer = new byte[BufferBytes];
        var (position, unsaved) = (row.Offset, 0L);
        try
        {
            while (true)
            {
                int read;
                try
                {
                    read = await body.ReadAsync(buffer.AsMemory(0, (int)Math.Min(BufferBytes, row.Length - position + 1)), cancellation).ConfigureAwait(false);
                }
                catch (IOException e)
                {
                    throw new BodyBrokenException(e);
                }
                if (read == 0) break;
                if (position + read > row.Length)
                {
                    part.SetLength(begun);
                    hash?.Dispose();
                    hash = null;
                    (position, unsaved) = (begun, 1);
                    return LibraryProblems.TooManyBytes(SafeName.Of(row.Name), row.Length);
                }
                await part.WriteAsync(buffer.AsMemory(0, read), CancellationToken.None).ConfigureAwait(false);
                // Told from its first bytes, so that nobody sends gigabytes of something else to the end.
                if (position < KindOfFile.MostBytes && (position + read >= KindOfFile.MostBytes || position + read == row.Length) && KindOfFile.Refusal(part, SafeName.Of(row.Name)) is { } problem)
                {
                    part.SetLength(0);
                    hash?.Dispose();
                    hash = null;
                    (position, unsaved) = (0, 1);
                    return problem;
                }
                hash?.AppendData(buffer, 0, read);
                (position, unsaved) = (position + read, unsaved + read);
                if (unsaved < FlushBytes || position == row.Length) continue;
                part.Flush(flushToDisk: true);
                SaveOffset(row, position);
                unsaved = 0;
            }
        }
        catch (BodyBrokenException e)
        {
            System.Runtime.ExceptionServices.ExceptionDispatchInfo.Throw(e.InnerException!);
        }
        finally
        {
            if (unsaved > 0)
            {
                part.Flush(flushToDisk: true);
                if (part.Length >= position) SaveOffset(row, position);
            }
            if (hash is not null && row.Offset == position) _hashes[row.Id] = (position, hash);
            else hash?.Dispose();
        }
        return null;
    }

    /// <summary>The hash of what is there already; null when this process has not seen it from its beginning.</summary>
    private IncrementalHash? HashAt(UploadRow row)
    {
        if (_hashes.TryRemove(row.Id, out var known))
        {
            if (known.Offset == row.Offset) return known.Hash;
            known.Hash.Dispose();
        }
        return row.Offset == 0 ? IncrementalHash.CreateHash(HashAlgorithmName.SHA256) : null;
    }

    /// <summary>Acknowledges bytes that are on disk.</summary>
    private void SaveOffset(UploadRow row, long offset)
    {
        records.Write(context =>
        {
            context.Uploads.Where(u => u.Id == row.Id).ExecuteUpdate(s => s.SetProperty(u => u.Offset, offset));
            return true;
        });
        row.Offset = offset;
    }

    /// <summary>All bytes are there: names the content by its hash and enters it in the trial. Done again after a kill, it ends the same.</summary>
    private UploadState Complete(UploadRow row)
    {
        var (name, part) = (SafeName.Of(row.Name), records.Folder.Part(row.Id));
        try
        {
            if (row.Sha256 is not { } sha)
            {
                sha = HashOf(row, part);
                records.Write(context =>
                {
                    context.Uploads.Where(u => u.Id == row.Id && u.Sha256 == null).ExecuteUpdate(s => s.SetProperty(u => u.Sha256, sha));
                    return true;
                });
            }
            var added = Enter(row.TrialId, row.Name, part, sha, row.Length, row.Author, row.Id);
            if (added.Trial is not null) DeletePart(row.Id);
            return (Row(row.Id) is { } now ? State(now) : State(row)) with { Problem = added.Problem };
        }
        catch (Exception e) when (DurableFiles.Explain(e, name) is { } problem)
        {
            // Another thread may have finished it in this moment.
            return Row(row.Id) is { Finished: true } done ? State(done) : State(row) with { Problem = problem };
        }
    }

    private string HashOf(UploadRow row, string part)
    {
        if (_hashes.TryRemove(row.Id, out var known))
        {
            using (known.Hash)
                if (known.Offset == row.Length) return Convert.ToHexStringLower(known.Hash.GetHashAndReset());
        }
        using var file = new FileStream(part, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete, 0, FileOptions.SequentialScan);
        return Convert.ToHexStringLower(SHA256.HashData(file));
    }

    /// <summary>Puts a file among the contents and into the trial and its document, in one write.</summary>
    private AddedFile Enter(Guid trialId, string givenName, string file, string sha, long bytes, string author, Guid? upload)
    {
        AddedFile? added = null;
        // The whole table is read for its proposal: before the library is held for the write.
        var log = Proposal(File.Exists(file) ? file : records.Folder.Content(sha), SafeName.Of(givenName));
        records.Write(context =>
        {
            var row = upload is { } id ? context.Uploads.FirstOrDefault(u => u.Id == id) : null;
            if (row is { Finished: true } && context.Trials.FirstOrDefault(t => t.Id == trialId) is { } finished)
            {
                added = new(records.Stored(context, finished), row.File, row.Recording, sha, null);
                return false;
            }
            if ((upload is not null && row is null) || context.Trials.FirstOrDefault(t => t.Id == trialId) is not { } trial)
            {
                added = new(null, null, null, null, LibraryProblems.NoTrial(trialId));
                return false;
            }
            if ((new FileInfo(file) is not { Exists: true } whole || whole.Length != bytes) && !contents.IsThere(sha, bytes))
            {
                if (row is not null) (row.Offset, row.Sha256) = (0, null);
                added = new(null, null, null, null, LibraryProblems.Lost(SafeName.Of(givenName)));
                return true;
            }
            if (log is { Layout: null })
            {
                if (row is not null) (row.Offset, row.Sha256) = (0, null);
                added = new(null, null, null, null, LibraryProblems.NoTable(SafeName.Of(givenName), $"plain text that is no table of levels: {log.Problems[0].Found}"));
                return true;
            }
            contents.Place(context, file, sha, bytes);
            var (name, recording, problem) = RecordingEntering.Into(records, context, trial, givenName, sha, bytes, author, log);
            if (row is not null) (row.Finished, row.File, row.Recording, row.Sha256) = (true, name, recording, sha);
            context.SaveChanges();
            added = new(records.Stored(context, trial), name, recording, sha, problem);
            return true;
        });
        return added!;
    }

    /// <summary>How a file is read as a level log; null when it is sound, or not there.</summary>
    private static LogProposal? Proposal(string path, string name)
    {
        using var bytes = FileBytes.Open(path, name, out _);
        return bytes is null || KindOfFile.IsSound(bytes) ? null : LogProposal.Of(bytes, name, new());
    }

    private static bool IsOfBody(Exception e) => e.Data.Contains(nameof(BodyBrokenException));

    /// <summary>The sender's stream broke off: his trouble, to be told from the disk's.</summary>
    private sealed class BodyBrokenException : Exception
    {
        public BodyBrokenException(Exception inner) : base(inner.Message, inner) => inner.Data[nameof(BodyBrokenException)] = true;
    }

    private sealed class Share(IProgress<double> progress, long length) : IProgress<long>
    {
        public void Report(long value) => progress.Report(length == 0 ? 1 : Math.Min(1, (double)value / length));
    }
}
