using System.IO.Compression;
using System.IO.Hashing;
using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Store.Files;

namespace Hushtrial.Store.Library;

/// <summary>A trial as a ZIP archive. An archive comes from anywhere: nothing it says of itself is believed.</summary>
internal static class PackageArchive
{
    /// <summary>Below this no ratio is a danger.</summary>
    private const long HarmlessBytes = 64_000_000;

    /// <summary>A trial's document with its history: the recordings are files of their own.</summary>
    private const long MostHistoryBytes = 500_000_000;

    /// <summary>The files of an archive by their relative names, or why it is not taken.</summary>
    /// <param name="archive">The archive.</param>
    /// <param name="packedBytes">Length of the archive itself.</param>
    /// <param name="limits">How much is taken.</param>
    public static (IReadOnlyList<PackedFile> Files, Problem? Problem) Files(ZipArchive archive, long packedBytes, ImportLimits limits)
    {
        if (archive.Entries.Count > limits.MostFiles) return ([], PackageProblems.TooMuch(FormattableString.Invariant($"more than {limits.MostFiles} files")));
        var entries = new List<(string Name, ZipArchiveEntry Entry)>();
        var names = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        var budget = new Budget(limits.MostBytes, Math.Max(HarmlessBytes, (long)Math.Min(packedBytes * limits.MostRatio, long.MaxValue / 2)));
        foreach (var entry in archive.Entries)
        {
            var name = entry.FullName;
            // Upper half: the mode of Unix; 0 where another system wrote it. 0x8000 is a plain file, 0x4000 a folder.
            if (((entry.ExternalAttributes >> 16) & 0xF000) is not (0 or 0x8000 or 0x4000)) return ([], PackageProblems.Link(name));
            var isFolder = name.EndsWith('/');
            if (!SafeName.IsRelative(isFolder ? name[..^1] : name)) return ([], PackageProblems.Outside(name));
            if (!names.Add(name.TrimEnd('/'))) return ([], PackageProblems.Twice(name));
            if (isFolder) continue;
            if (entry.IsEncrypted) return ([], PackageProblems.NotRead(name, "it is encrypted"));
            entries.Add((name, entry));
        }
        var top = Top(entries.ConvertAll(e => e.Name));
        if (top is null) return ([], PackageProblems.NoDocument("the archive"));
        if (entries.Sum(e => (decimal)e.Entry.Length) > limits.MostBytes) return ([], PackageProblems.TooMuch(FormattableString.Invariant($"more than {LibraryProblems.Megabytes(limits.MostBytes)}")));
        return ([.. entries.Where(e => e.Name.StartsWith(top, StringComparison.Ordinal)).Select(e => new PackedFile(e.Name[top.Length..], e.Entry.Length,
            () => new CheckedStream(e.Entry, e.Name[top.Length..] is TrialHistory.FileName or TrialFolder.DocumentName ? new Budget(MostHistoryBytes, MostHistoryBytes, budget) : budget)))], null);
    }

    public static void Write(StoredTrial trial, TrialHistory history, Func<StoredFile, string> content, Stream to)
    {
        using var archive = new ZipArchive(to, ZipArchiveMode.Create, leaveOpen: true, Encoding.UTF8);
        Add(archive, TrialFolder.DocumentName, trial.Changed, CompressionLevel.Optimal, s => s.Write(Encoding.UTF8.GetBytes(trial.Draft.Text)));
        Add(archive, TrialHistory.FileName, trial.Changed, CompressionLevel.Optimal, history.Write);
        foreach (var file in trial.Files)
            // Sound hardly shrinks: storing it as it is keeps an export as fast as the disk.
            Add(archive, file.Name, trial.Changed, CompressionLevel.NoCompression, s =>
            {
                using var from = new FileStream(content(file), FileMode.Open, FileAccess.Read, FileShare.Read, 0, FileOptions.SequentialScan);
                from.CopyTo(s, 1 << 17);
            });
    }

    /// <summary>"" when the document is at the top, 'folder/' when it is in the one folder there; else null.</summary>
    private static string? Top(IReadOnlyList<string> names)
    {
        if (names.Contains(TrialFolder.DocumentName)) return "";
        var tops = names.Select(n => n.IndexOf('/', StringComparison.Ordinal) is var i and > 0 ? n[..(i + 1)] : "").Distinct(StringComparer.Ordinal).ToList();
        return tops is [{ Length: > 0 } only] && names.Contains(only + TrialFolder.DocumentName) ? only : null;
    }

    private static void Add(ZipArchive archive, string name, DateTimeOffset at, CompressionLevel level, Action<Stream> write)
    {
        var entry = archive.CreateEntry(name, level);
        // The format counts from 1980 to 2107, without a zone.
        entry.LastWriteTime = at.Year is >= 1980 and <= 2107 ? at : new DateTimeOffset(1980, 1, 1, 0, 0, 0, TimeSpan.Zero);
        entry.ExternalAttributes = Convert.ToInt32("100644", 8) << 16;
        using var stream = entry.Open();
        write(stream);
    }

    /// <summary>Bytes that may still come out.</summary>
    private sealed class Budget(long most, long mostByRatio, Budget? whole = null)
    {
        private long _used;

        public void Spend(int bytes)
        {
            whole?.Spend(bytes);
            _used += bytes;
            if (_used > most) throw new PackageTooLargeException(FormattableString.Invariant($"more than {LibraryProblems.Megabytes(most)} when unpacked"));
            if (_used > mostByRatio) throw new PackageTooLargeException(FormattableString.Invariant($"more than {LibraryProblems.Megabytes(mostByRatio)} out of a small archive"));
        }
    }

    /// <summary>What comes out of an entry, counted as it comes, and at its end held against the length and the sum that the archive states.</summary>
    private sealed class CheckedStream(ZipArchiveEntry entry, Budget budget) : Stream
    {
        private readonly Stream _inner = entry.Open();
        private readonly Crc32 _sum = new();
        private long _bytes;

        public override bool CanRead => true;

        public override bool CanSeek => false;

        public override bool CanWrite => false;

        public override long Length => throw new NotSupportedException();

        public override long Position { get => throw new NotSupportedException(); set => throw new NotSupportedException(); }

        public override int Read(byte[] buffer, int offset, int count) => Read(buffer.AsSpan(offset, count));

        public override int Read(Span<byte> buffer)
        {
            var read = _inner.Read(buffer);
            budget.Spend(read);
            _sum.Append(buffer[..read]);
            _bytes += read;
            if (read == 0 && buffer.Length > 0 && (_bytes != entry.Length || _sum.GetCurrentHashAsUInt32() != entry.Crc32)) throw new InvalidDataException($"'{entry.FullName}' was damaged on its way");
            return read;
        }

        public override ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default) => new(Read(buffer.Span));

        public override void Flush() { }

        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

        public override void SetLength(long value) => throw new NotSupportedException();

        public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();

        protected override void Dispose(bool disposing)
        {
            if (disposing) _inner.Dispose();
            base.Dispose(disposing);
        }
    }
}

/// <summary>An archive that unpacks to more than is taken.</summary>
internal sealed class PackageTooLargeException(string message) : Exception(message);
