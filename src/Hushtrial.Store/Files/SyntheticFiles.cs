using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Store.Files;

/// <summary>Renders synthetic recordings to files.</summary>
public static class SyntheticFiles
{
    /// <summary>Writes every recording as a 24-bit WAVE file under its own name, several at once.</summary>
    /// <param name="recordings">What to render.</param>
    /// <param name="folder">Where to; made when it is not there.</param>
    /// <param name="progress">Told the share of the samples written, 0 to 1.</param>
    /// <param name="cancellation">Stops between blocks; no unfinished file is left under its final name.</param>
    public static void Write(IReadOnlyList<SyntheticRecording> recordings, string folder, IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        var total = Math.Max(1, recordings.Sum(r => r.Frames));
        long done = 0;
        Parallel.ForEach(recordings, new ParallelOptions { CancellationToken = cancellation }, recording => Output.Write(Path.Combine(folder, recording.File), stream =>
        {
            using var writer = new WaveWriter(stream, recording.SampleRate, 1, WaveSampleFormat.Integer24);
            recording.Render(samples =>
            {
                cancellation.ThrowIfCancellationRequested();
                writer.Write(samples);
                progress?.Report((double)Interlocked.Add(ref done, samples.Length) / total);
            });
        }));
    }
}
