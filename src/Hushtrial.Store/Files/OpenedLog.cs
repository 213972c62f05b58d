using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;
using Hushtrial.Trials.Results;

namespace Hushtrial.Store.Files;

/// <summary>One level log of a trial, opened and hashed.</summary>
public sealed class OpenedLog : IDisposable
{
    private OpenedLog(string id) => Id = id;

    /// <summary>Its identity in the document.</summary>
    public string Id { get; }

    /// <summary>The log; null when it could not be opened, or is not the file that was confirmed.</summary>
    public LevelLog? Log { get; private init; }

    /// <summary>The file with its hash; null when it could not be read.</summary>
    public InputFile? Input { get; private init; }

    /// <summary>What was wrong with it.</summary>
    public IReadOnlyList<Problem> Problems { get; private init; } = [];

    /// <summary>Opens a log that the document names relative to its folder.</summary>
    public static OpenedLog Open(LogEntry entry, TrialDocument document, string folder)
    {
        var path = Path.GetFullPath(Path.Combine(folder, entry.File));
        // The reader refuses names that leave the folder; a link inside it may still lead out.
        if (File.Exists(path) && !InsideFolder.Holds(folder, entry.File)) return new(entry.Id) { Problems = [FileProblems.LeadsOut(entry.File)] };
        if (FileBytes.Open(path, entry.File, out var problem) is not { } bytes) return new(entry.Id) { Problems = [problem! with { Expected = "a level log" }] };
        return Open(entry, document, bytes, new(entry.File, bytes.Length, RecordingHash.Sha256(bytes)));
    }

    /// <summary>Opens a log whose bytes lie elsewhere than its name says, and whose hash is known.</summary>
    public static OpenedLog OpenStored(LogEntry entry, TrialDocument document, string path, InputFile file) =>
        FileBytes.Open(path, entry.File, out var problem) is { } bytes ? Open(entry, document, bytes, file) : new(entry.Id) { Problems = [problem! with { Expected = "a level log" }] };

    /// <inheritdoc/>
    public void Dispose() => Log?.Dispose();

    private static OpenedLog Open(LogEntry entry, TrialDocument document, FileBytes bytes, InputFile input)
    {
        var hash = input.Sha256;
        if (entry.Sha256 is { } confirmed && confirmed != hash)
        {
            bytes.Dispose();
            return new(entry.Id) { Input = input, Problems = [LogFileProblems.Changed(entry.File, hash, confirmed)] };
        }
        var run = document.Runs.FirstOrDefault(r => r.Id == entry.Run);
        var log = LevelLog.Open(entry, bytes, run, DateOf(run, document));
        return new(entry.Id) { Log = log, Input = input, Problems = [.. log.Problems, .. entry.Sha256 is null ? [LogFileProblems.NotHashed(entry.File)] : Array.Empty<Problem>()] };
    }

    /// <summary>The date of a run: its own, else that of a trial of one day.</summary>
    private static DateOnly? DateOf(Run? run, TrialDocument document)
    {
        var written = run?.Details.FirstOrDefault(d => d.Key == "date").Value ?? document.Identity.Date;
        return DateOnly.TryParseExact(written, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date) ? date : null;
    }
}
