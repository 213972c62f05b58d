using System.Runtime.Intrinsics;
using BenchmarkDotNet.Attributes;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Signals.Tests.Levels;

namespace Hushtrial.Benchmarks;

/// <summary>The kernels of the engine one by one, at the width that serves this processor; each works on one second of a channel per lane.</summary>
[InProcess, MemoryDiagnoser(displayGenColumns: false), MinIterationCount(8), MaxIterationCount(16)]
public class Kernels
{
    private const int Rate = 48_000;

    private readonly double[] _samples = global::Hushtrial.Signals.Tests.Levels.Signals.Noise(Rate, 1);
    private readonly double[] _decoded = new double[Rate];
    private byte[] _bytes = [];
    private Action _bank = () => { };
    private Action _low = () => { };
    private Action _spectrum = () => { };
    private LiveLevels _live = new(Rate, new());

    /// <summary>Makes the input and the states.</summary>
    [GlobalSetup]
    public void Prepare()
    {
        _bytes = new byte[SampleDecoding.Before + (3 * Rate) + SampleDecoding.Behind];
        new Random(1).NextBytes(_bytes);
        if (VectorWidth.Lanes == 8) Prepare<EightLanes, Vector512<double>>();
        else if (VectorWidth.Lanes == 4) Prepare<FourLanes, Vector256<double>>();
        else Prepare<TwoLanes, Vector128<double>>();
        _live = new(Rate, new());
    }

    /// <summary>A, C, Z with F and S, and the bands that run at the full rate.</summary>
    [Benchmark]
    public void FullRateBands() => _bank();

    /// <summary>The halvings and the bands at reduced rates.</summary>
    [Benchmark]
    public void ReducedRateBands() => _low();

    /// <summary>The averaged narrow-band spectrum, 8192 points, of one channel.</summary>
    [Benchmark]
    public void Spectrum() => _spectrum();

    /// <summary>What the signal checks look at beside the levels, one channel: it is to stay a small part of the two first.</summary>
    [Benchmark]
    public void ChecksOfSignal() => SignalPass.Measure(new Take(_samples), [0], 0, Rate);

    /// <summary>24-bit samples to doubles, one channel.</summary>
    [Benchmark]
    public void Decode24Bit() => SampleDecoding.Decode(_bytes, SampleDecoding.Before, 3, new SampleEncoding(SampleKind.SignedInteger, 3, 24, BigEndian: false), _decoded);

    /// <summary>The live path in portions of 10 ms, one channel.</summary>
    [Benchmark]
    public void Live()
    {
        for (var at = 0; at < Rate; at += Rate / 100) _live.Add(_samples.AsSpan(at, Rate / 100));
    }

    private unsafe void Prepare<TOps, TVector>()
        where TOps : struct, ILanes<TVector>
        where TVector : unmanaged
    {
        var set = new FilterSet(Rate, new LevelSettings { Octaves = false });
        var bank = new LaneBank<TOps, TVector>(set);
        bank.Reset();
        _bank = () =>
        {
            for (var at = 0; at < Rate;)
            {
                var frames = Math.Min(Math.Min(LaneBank<TOps, TVector>.MostFrames, bank.Room), Rate - at);
                for (var n = 0; n < frames; n++) bank.Input[n] = TOps.Spread(_samples[at + n]);
                bank.Run(frames, at);
                bank.RunBetweenReadings(0, frames);
                bank.Advance(frames);
                at += frames;
                if (bank.Room == 0) bank.NextBlock();
            }
        };
        const int block = LowRateBank<TOps, TVector>.Block, history = LowRateBank<TOps, TVector>.History;
        var plan = new ChunkPlan(Rate, 0, 1900L * Rate, 0.125);
        var low = new LowRateBank<TOps, TVector>(plan, set);
        var room = new PinnedVectors<TVector>(history + block);
        var frame = room.Take(history + block) + history;
        for (var n = 0; n < block; n++) frame[n] = TOps.Spread(_samples[n]);
        var chunks = Enumerable.Range(0, TOps.Count).Select(_ => new ChunkRows(Row.Bands + set.Bands.Count, plan.StepsPerChunk, 1)).ToArray();
        var lengths = Enumerable.Repeat(plan.ChunkFrames, TOps.Count).ToArray();
        // One second after the other, behind the warm-up, in which not all bands run yet.
        var next = long.MaxValue;
        _low = () =>
        {
            if (next > plan.ChunkFrames - Rate)
            {
                low.Reset();
                for (next = low.Begins; next < 0; next += block) low.Add(frame, next, chunks, lengths);
            }
            GC.KeepAlive(room);
            for (var end = next + Rate; next < end; next += block) low.Add(frame, next, chunks, lengths);
        };
        var tables = new TransformTables<TOps, TVector>(8192);
        var (transform, halves) = (new PowerTransform<TOps, TVector>(tables), new SegmentHalves<TOps, TVector>(tables));
        _spectrum = () =>
        {
            for (var (at, some) = (0, 0); at < _samples.Length; at += some)
            {
                some = Math.Min(halves.Room.Length, _samples.Length - at);
                _samples.AsSpan(at, some).CopyTo(halves.Room);
                transform.Fill(some, halves);
            }
        };
    }

    private sealed class Take(double[] samples) : SampleSource
    {
        public override int SampleRate => Rate;

        public override int Channels => 1;

        public override long Frames => samples.Length;

        public override void Read(int channel, long firstFrame, Span<double> destination) => samples.AsSpan((int)firstFrame, destination.Length).CopyTo(destination);
    }
}
