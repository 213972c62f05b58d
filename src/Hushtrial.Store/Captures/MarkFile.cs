using System.Text.Json;

namespace Hushtrial.Store.Captures;

/// <summary>What was noted beside a capture: a line of JSON for each mark, on the disk before it is acknowledged.</summary>
/// <remarks>Not for several threads: its owner holds a lock, and the capture's own against other processes.</remarks>
internal sealed class MarkFile
{
    private static readonly JsonSerializerOptions _json = new(JsonSerializerDefaults.Web);

    private readonly string _path;
    private readonly List<CaptureMark> _marks;
    private long _end;
    private bool _lineIsOpen;

    private MarkFile(string path, byte[] there)
    {
        (_path, _marks, _end) = (path, Parse(there), there.Length);
        _lineIsOpen = there is [.., not (byte)'\n'];
    }

    /// <summary>The marks in order.</summary>
    public IReadOnlyList<CaptureMark> Marks => _marks;

    /// <summary>Opens the marks of a capture, those that another process noted among them.</summary>
    public static MarkFile Open(string path) => new(path, Bytes(path));

    /// <summary>The marks of a capture that another process may have open.</summary>
    public static IReadOnlyList<CaptureMark> Read(string path) => Parse(Bytes(path));

    /// <summary>Appends a mark, which is on the disk afterwards.</summary>
    /// <exception cref="IOException">It could not be written; nothing of it stays.</exception>
    public void Append(CaptureMark mark)
    {
        // Half a line that a kill left is its own line from here on, and none that can be read.
        byte[] line = [.. _lineIsOpen ? "\n"u8 : [], .. JsonSerializer.SerializeToUtf8Bytes(mark, _json), (byte)'\n'];
        using var file = new FileStream(_path, FileMode.OpenOrCreate, FileAccess.Write, FileShare.Read, 0);
        // What a full disk did not let be taken back is taken back now.
        if (file.Length > _end) file.SetLength(_end);
        _end = file.Length;
        try
        {
            file.Position = _end;
            file.Write(line);
            file.Flush(flushToDisk: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            TakeBack(file);
            throw;
        }
        (_end, _lineIsOpen) = (_end + line.Length, false);
        _marks.Add(mark);
    }

    private void TakeBack(FileStream file)
    {
        try { file.SetLength(_end); }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException) { /* Before the next one. */ }
    }

    private static byte[] Bytes(string path)
    {
        if (!File.Exists(path)) return [];
        using var file = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        using var all = new MemoryStream();
        file.CopyTo(all);
        return all.ToArray();
    }

    private static List<CaptureMark> Parse(byte[] there)
    {
        var marks = new List<CaptureMark>();
        using var reader = new StreamReader(new MemoryStream(there));
        while (reader.ReadLine() is { } line)
            if (Mark(line) is { } mark) marks.Add(mark);
        return marks;
    }

    // A line may be half written: its sender was never answered.
    private static CaptureMark? Mark(string line)
    {
        try { return JsonSerializer.Deserialize<CaptureMark>(line, _json); }
        catch (JsonException) { return null; }
    }
}
