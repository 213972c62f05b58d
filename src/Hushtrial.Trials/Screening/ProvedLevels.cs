using Hushtrial.Signals.Recordings;

namespace Hushtrial.Trials.Screening;

/// <summary>The levels that can stand for the sound of a trial, as the bytes of their files, held against the sound before anybody deletes it.</summary>
/// <param name="Files">Bytes of the kept levels by identity of the recording; empty when the trial has no sound that can be read.</param>
/// <param name="Difference">Where they would give another answer than the sound, in words; null when every level is the same within <see cref="KeepingLevels.MostDifference"/>.</param>
public sealed record ProvedLevels(IReadOnlyDictionary<string, ReadOnlyMemory<byte>> Files, string? Difference)
{
    /// <summary>Takes them from a trial and measures the trial from them, as they are read back.</summary>
    /// <param name="inputs">The trial with its sound.</param>
    /// <param name="discarded">The date, for readers.</param>
    /// <param name="progress">Share done, 0 to 1.</param>
    /// <param name="cancellation">Stops it.</param>
    public static ProvedLevels Of(TrialInputs inputs, string discarded, IProgress<double>? progress, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        var measured = MeasuredTrial.Of(inputs, progress, cancellation);
        var files = new Dictionary<string, ReadOnlyMemory<byte>>(StringComparer.Ordinal);
        var read = new Dictionary<string, KeptRecording>(inputs.Kept, StringComparer.Ordinal);
        foreach (var (recording, levels) in KeepingLevels.Of(inputs, measured, discarded))
        {
            using var bytes = new MemoryStream();
            levels.Write(bytes);
            files[recording] = bytes.ToArray();
            bytes.Position = 0;
            if (KeptRecording.Read(bytes, recording, out var problem) is not { } back) return new(files, problem!.Found);
            read[recording] = back;
        }
        if (files.Count == 0) return new(files, null);
        // The levels are held against the sound before it goes: afterwards nobody could.
        var without = inputs with { Recordings = inputs.Recordings.Where(r => !files.ContainsKey(r.Key)).ToDictionary(r => r.Key, r => r.Value, StringComparer.Ordinal), Kept = read };
        return new(files, KeepingLevels.Difference(measured, MeasuredTrial.Of(without, null, cancellation)));
    }
}
