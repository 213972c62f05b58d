using System.Numerics;

namespace Hushtrial.Signals.Levels;

/// <summary>How a span is cut into equally long chunks that are filtered side by side, and where its steps begin and end.</summary>
/// <remarks>The plan depends on the span alone, not on the processor or the number of threads, so that neither changes the result.
/// A chunk is a whole number of steps and of samples. Every chunk pays for its warm-up, and chunks that fill no vector of the processor cost as
/// much as those that do: a take has four, some minutes have eight, and what is longer has a multiple of sixteen, for two threads. All places are exact integers: a step of 125 ms at
/// 44.1 kHz is 5512.5 samples, and the sample that straddles an edge is shared out by its overlap.</remarks>
internal sealed class ChunkPlan
{
    /// <summary>Audio filtered and thrown away before a chunk, s: every band (each begins when it must, the one at 20 Hz 3.6 s before) has forgotten
    /// its start by 200 dB, and S lacks 0.08 dB of a steady level, which <see cref="SpanTally"/> adds.</summary>
    internal const double WarmUpSeconds = 4;

    /// <summary>The same before a span inside a recording, s, where nothing can be added: S has then risen to within 0.0015 dB of a steady level.</summary>
    internal const double LongestWarmUpSeconds = 8;

    // Time from which on a maximum of S can take what is lacking as of the middle of its step.
    private const double EarlySeconds = 4;

    // Whole blocks of the halvings lie before a chunk.
    private const int WarmUpGrid = 1024;
    private const double LongestChunkSeconds = 120;
    private const double FourChunkSeconds = 60;
    private const double EightChunkSeconds = 240;

    internal ChunkPlan(int rate, long firstFrame, long frames, double stepSeconds)
    {
        (Rate, FirstFrame, Frames) = (rate, firstFrame, frames);
        StepMilliframes = (long)Math.Round(stepSeconds * 1000) * rate;
        var stepsToWhole = 1000 / (long)BigInteger.GreatestCommonDivisor(StepMilliframes, 1000);
        var grid = stepsToWhole * StepMilliframes / 1000;

        var chunks = frames <= FourChunkSeconds * rate ? 4 : frames <= EightChunkSeconds * rate ? 8 : 16 * (long)Math.Ceiling(frames / (16 * LongestChunkSeconds * rate));
        var target = (frames + chunks - 1) / chunks;
        ChunkFrames = Math.Max(1, (target + grid - 1) / grid) * grid;
        Chunks = (int)((frames + ChunkFrames - 1) / ChunkFrames);
        StepsPerChunk = (int)(ChunkFrames * 1000 / StepMilliframes);
        // F and S are read at least every 1/128 s.
        ReadingsPerStep = Math.Max(1, (int)Math.Ceiling(stepSeconds * 128));
        (WarmUp, WarmUpOfFirst) = (OnGrid(WarmUpSeconds), OnGrid(Math.Clamp(firstFrame / (double)rate, WarmUpSeconds, LongestWarmUpSeconds)));
        EarlySteps = (int)Math.Ceiling(EarlySeconds / stepSeconds);
    }

    internal int Rate { get; }

    internal long FirstFrame { get; }

    internal long Frames { get; }

    /// <summary>Thousandths of a frame in a step.</summary>
    internal long StepMilliframes { get; }

    internal long ChunkFrames { get; }

    internal int StepsPerChunk { get; }

    internal int Chunks { get; }

    internal int ReadingsPerStep { get; }

    /// <summary>Frames filtered before a chunk.</summary>
    internal int WarmUp { get; }

    /// <summary>Frames filtered before the first chunk.</summary>
    internal int WarmUpOfFirst { get; }

    /// <summary>Steps at the beginning of a chunk in which maxima of S are kept piece by piece.</summary>
    internal int EarlySteps { get; }

    /// <summary>Most frames in such a piece: 2.5 ms, in which S falls by 0.01 dB.</summary>
    internal int EarlyPiece => Rate / 400;

    /// <summary>Number of steps of the span, the last perhaps shorter.</summary>
    internal int Steps => (int)(((Frames * 1000) + StepMilliframes - 1) / StepMilliframes);

    /// <summary>Length of the last step in frames.</summary>
    internal double LastStepFrames => Frames - ((Steps - 1) * (StepMilliframes / 1000.0));

    /// <summary>Frames of a chunk that lie in the span; 0 or less for a chunk beyond its end.</summary>
    internal long FramesOf(int chunk) => Math.Min(ChunkFrames, Frames - (chunk * ChunkFrames));

    /// <summary>The whole frame at or before a reading, counted from the start of the chunk.</summary>
    /// <remarks>A chunk has below 10⁵ readings, a step below 2·10⁹ thousandths of a frame: their product fits.</remarks>
    internal long ReadingAt(int step, int reading) =>
        ((step * (long)ReadingsPerStep) + reading) * StepMilliframes / (1000L * ReadingsPerStep);

    /// <summary>The share of the frame at the end of a step that still belongs to the step; 0 when the edge falls between frames.</summary>
    internal double ShareAtEnd(int step) => (step + 1) * StepMilliframes % 1000 / 1000.0;

    private int OnGrid(double seconds) => (int)Math.Ceiling(seconds * Rate / WarmUpGrid) * WarmUpGrid;
}
