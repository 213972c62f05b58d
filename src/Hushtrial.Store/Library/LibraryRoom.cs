using Hushtrial.Quantities;

namespace Hushtrial.Store.Library;

/// <summary>Whether the library takes more bytes: its own limit, and the room on its disk that is left to the database and everybody else.</summary>
internal sealed class LibraryRoom(LibraryFolder folder, LibraryLimits limits, long spareBytes)
{
    /// <summary>How often a stream that comes in is held against the disk.</summary>
    private const long StepBytes = 8 * 1024 * 1024;

    /// <summary>Why so many bytes are not taken; null when they are.</summary>
    /// <param name="context">The library.</param>
    /// <param name="name">What brings them, for people.</param>
    /// <param name="bytes">Their number.</param>
    public Problem? Refusal(LibraryContext context, string name, long bytes) => Left(context) < bytes ? LibraryProblems.OverQuota(name, bytes, limits.MostBytes) : OnDisk(name, bytes);

    /// <summary>Why the disk has no room for so many bytes; null when it has, or does not say.</summary>
    public Problem? OnDisk(string name, long bytes) => folder.Free() is { } free && free - spareBytes < bytes ? LibraryProblems.NoRoom(name, bytes) : null;

    /// <summary>Bytes that the limit leaves.</summary>
    public long Left(LibraryContext context) => limits.MostBytes - ContentFolder.Total(context);

    /// <summary>Watches a copy as its bytes come: they may be more than were stated, and others may fill the disk meanwhile.</summary>
    /// <param name="name">What brings them, for people.</param>
    /// <param name="left">Bytes that may come.</param>
    public IProgress<long> Watch(string name, long left) => new Watching(this, name, left);

    private sealed class Watching(LibraryRoom room, string name, long left) : IProgress<long>
    {
        private long _next = StepBytes;

        public void Report(long value)
        {
            if (value > left) throw new NoRoomLeftException(LibraryProblems.OverQuota(name, value, room.MostBytes));
            if (value < _next) return;
            _next = value + StepBytes;
            if (room.OnDisk(name, 0) is { } problem) throw new NoRoomLeftException(problem);
        }
    }

    private long MostBytes => limits.MostBytes;
}

/// <summary>More bytes came than the library or its disk takes.</summary>
internal sealed class NoRoomLeftException(Problem problem) : Exception(problem.Found)
{
    /// <summary>Which of them, in words.</summary>
    public Problem Problem => problem;
}
