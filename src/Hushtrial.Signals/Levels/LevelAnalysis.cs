using System.Runtime.ExceptionServices;
using System.Runtime.Intrinsics;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Levels;

/// <summary>Measures the levels of a recording: weightings, time weightings and bands in double precision.</summary>
/// <remarks>
/// Broadband quantities after IEC 61672-1:2013, bands after IEC 61260-1:2014. Audio before the span, up to 8 s where the
/// recording has it, settles the filters and F and S. Before the recording lies silence: a recording that begins with
/// noise begins with an onset, and F and S rise from nothing. Low bands run at reduced rates and give what they would give at the full rate,
/// within 0.001 dB in every step in which they lie less than 60 dB below the total. The result does not depend on the number of threads, and on the processor
/// only by rounding (below 1e-9 dB).
/// </remarks>
public static class LevelAnalysis
{
    /// <summary>Lowest sampling rate, Hz.</summary>
    public const int LowestRate = 16_000;

    /// <summary>Highest sampling rate, Hz.</summary>
    public const int HighestRate = 192_000;

    /// <summary>Measures one channel over one span.</summary>
    /// <param name="samples">The recording.</param>
    /// <param name="channel">Channel, from 0.</param>
    /// <param name="firstFrame">First frame of the span.</param>
    /// <param name="frameCount">Frames of the span, at least 1.</param>
    /// <param name="settings">What to measure.</param>
    /// <param name="progress">Told the share that is done, 0…1, now and then, from any thread.</param>
    /// <param name="cancellation">Ends the measurement early.</param>
    /// <exception cref="ArgumentOutOfRangeException">The channel or the span is not in the recording, or the sampling rate is outside 16…192 kHz.</exception>
    /// <exception cref="InvalidDataException">The channel holds samples that are not finite numbers.</exception>
    /// <exception cref="OperationCanceledException">It was ended early.</exception>
    public static SpanLevels Measure(SampleSource samples, int channel, long firstFrame, long frameCount, LevelSettings settings,
        IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(samples);
        ArgumentNullException.ThrowIfNull(settings);
        if (samples.SampleRate is < LowestRate or > HighestRate)
            throw new ArgumentOutOfRangeException(nameof(samples), samples.SampleRate, "Levels are measured at sampling rates of 16 to 192 kHz.");
        if (channel < 0 || channel >= samples.Channels)
            throw new ArgumentOutOfRangeException(nameof(channel), channel, $"The recording has the channels 0…{samples.Channels - 1}.");
        if (firstFrame < 0 || firstFrame >= samples.Frames)
            throw new ArgumentOutOfRangeException(nameof(firstFrame), firstFrame, $"The recording has the frames 0…{samples.Frames - 1}.");
        if (frameCount < 1 || frameCount > samples.Frames - firstFrame)
            throw new ArgumentOutOfRangeException(nameof(frameCount), frameCount, $"The recording has {samples.Frames - firstFrame} frames from there.");

        var plan = new ChunkPlan(samples.SampleRate, firstFrame, frameCount, settings.StepSeconds);
        var set = new FilterSet(samples.SampleRate, settings);
        var tally = new SpanTally(plan, set, settings);
        if (VectorWidth.Lanes == 8)
            Run<EightLanes, Vector512<double>>(samples, channel, plan, set, settings, tally, progress, cancellation);
        else if (VectorWidth.Lanes == 4)
            Run<FourLanes, Vector256<double>>(samples, channel, plan, set, settings, tally, progress, cancellation);
        else
            Run<TwoLanes, Vector128<double>>(samples, channel, plan, set, settings, tally, progress, cancellation);
        return tally.Finish();
    }

    private static void Run<TOps, TVector>(SampleSource samples, int channel, ChunkPlan plan, FilterSet set, LevelSettings settings,
        SpanTally tally, IProgress<double>? progress, CancellationToken cancellation)
        where TOps : struct, ILanes<TVector>
        where TVector : unmanaged
    {
        var groups = (plan.Chunks + TOps.Count - 1) / TOps.Count;
        var workers = new StripRun<TOps, TVector>[Math.Min(settings.MaxThreads, groups)];
        for (var i = 0; i < workers.Length; i++) workers[i] = new(samples, channel, plan, set);
        var done = 0L;
        Action<long>? report = progress is null ? null
            : frames => progress.Report(Math.Min(1, Interlocked.Add(ref done, frames) / (double)plan.Frames));

        // Whoever is done waits until the groups before are merged, merges and takes the next: memory stays flat however long the recording is,
        // and the workers soon stand apart by the time of a merge, so that nobody waits.
        var (taken, merged, broken, turn) = (0, 0, false, new object());
        void Work(StripRun<TOps, TVector> worker)
        {
            try
            {
                for (var group = Interlocked.Increment(ref taken) - 1; group < groups; group = Interlocked.Increment(ref taken) - 1)
                {
                    worker.Run(group * TOps.Count, report, cancellation);
                    lock (turn)
                    {
                        while (merged != group && !broken) Monitor.Wait(turn);
                        if (broken) return;
                        var chunk = group * TOps.Count;
                        foreach (var rows in worker.Chunks)
                            if (chunk++ < plan.Chunks) tally.Add(rows);
                        merged++;
                        Monitor.PulseAll(turn);
                    }
                }
            }
            catch
            {
                lock (turn)
                {
                    broken = true;
                    Monitor.PulseAll(turn);
                }
                throw;
            }
        }
        if (workers.Length == 1) Work(workers[0]);
        else
        {
            try
            {
                Parallel.ForEach(workers, new ParallelOptions { MaxDegreeOfParallelism = workers.Length, CancellationToken = cancellation }, Work);
            }
            catch (AggregateException several)
            {
                // The same error as on one thread.
                ExceptionDispatchInfo.Throw(several.InnerExceptions[0]);
            }
        }
        progress?.Report(1);
    }
}
