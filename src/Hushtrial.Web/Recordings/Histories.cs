using System.Collections.Concurrent;
using System.Globalization;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Web.Recordings;

/// <summary>The level histories of a library: each measured once, kept as a file under the recording's hash, its channel and the version of the analysis.</summary>
/// <param name="folder">Where they are kept. They can be made again from the recordings; whoever needs the room may delete them.</param>
internal sealed class Histories(string folder) : IAsyncDisposable
{
    /// <summary>To be raised whenever the analysis or the layout changes: older files are then not read any more.</summary>
    public const int AnalysisVersion = 1;

    private readonly ConcurrentDictionary<string, Lazy<(HistoryTrack Track, Task Done)>> _running = new(StringComparer.Ordinal);
    private readonly CancellationTokenSource _closing = new();

    /// <summary>The file of a history that is there already; null when it has to be measured.</summary>
    public string? Find(string sha256, int channel) => PathOf(sha256, channel) is var path && File.Exists(path) ? path : null;

    /// <summary>The history while it is measured, begun by the first who asks.</summary>
    /// <param name="sha256">Hash of the recording.</param>
    /// <param name="channel">Channel, from 0.</param>
    /// <param name="samples">The recording.</param>
    /// <param name="keepOpen">Gives what keeps the recording open; disposed when the history is whole.</param>
    public HistoryTrack Track(string sha256, int channel, SampleSource samples, Func<IDisposable> keepOpen) =>
        _running.GetOrAdd(Key(sha256, channel), key => new(() => Begin(key, sha256, channel, samples, keepOpen()))).Value.Track;

    /// <summary>The whole history, measured first where it is not there yet.</summary>
    public async Task<ReadOnlyMemory<byte>> WholeAsync(string sha256, int channel, SampleSource samples, Func<IDisposable> keepOpen, CancellationToken cancellation)
    {
        if (Find(sha256, channel) is { } path) return await File.ReadAllBytesAsync(path, cancellation);
        var track = Track(sha256, channel, samples, keepOpen);
        await track.CopyToAsync(Stream.Null, cancellation);
        return track.Whole;
    }

    /// <summary>Deletes the histories of recordings for good: those under way are waited for first.</summary>
    public async Task ForgetAsync(IReadOnlyCollection<string> fingerprints)
    {
        foreach (var (key, run) in _running.ToArray())
            if (run.IsValueCreated && fingerprints.Any(f => key.StartsWith(f, StringComparison.Ordinal)))
                await run.Value.Done.ContinueWith(_ => { }, CancellationToken.None, TaskContinuationOptions.ExecuteSynchronously, TaskScheduler.Default);
        if (!Directory.Exists(folder)) return;
        foreach (var file in fingerprints.SelectMany(f => Directory.GetFiles(folder, f + "*"))) File.Delete(file);
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _closing.CancelAsync();
        foreach (var run in _running.Values.Where(r => r.IsValueCreated))
            await run.Value.Done.ContinueWith(_ => { }, CancellationToken.None, TaskContinuationOptions.ExecuteSynchronously, TaskScheduler.Default);
        _closing.Dispose();
    }

    private static string Key(string sha256, int channel) => string.Create(CultureInfo.InvariantCulture, $"{sha256}-{channel + 1}-v{AnalysisVersion}");

    private string PathOf(string sha256, int channel) => Path.Combine(folder, Key(sha256, channel) + ".levels");

    private (HistoryTrack Track, Task Done) Begin(string key, string sha256, int channel, SampleSource samples, IDisposable open)
    {
        var track = new HistoryTrack(samples);
        return (track, Task.Run(() =>
        {
            try
            {
                using (open) track.Measure(samples, channel, _closing.Token);
                Keep(PathOf(sha256, channel), track.Whole);
            }
            finally
            {
                _running.TryRemove(key, out _);
            }
        }));
    }

    private void Keep(string path, ReadOnlyMemory<byte> bytes)
    {
        // Written beside its place and moved there: a file with the right name is always whole.
        var draft = $"{path}.{Guid.NewGuid():N}";
        try
        {
            Directory.CreateDirectory(folder);
            File.WriteAllBytes(draft, bytes.Span);
            File.Move(draft, path, overwrite: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // A full disk costs the next visit a second measurement, nothing else.
            File.Delete(draft);
        }
    }
}
