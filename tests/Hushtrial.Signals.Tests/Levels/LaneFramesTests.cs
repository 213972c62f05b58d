using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>Stored frames on their way into the vectors are the numbers that reading them gives.</summary>
public sealed class LaneFramesTests
{
    private const int Rate = 16_000;

    /// <summary>Kind, bytes, big endian, channels: five that stay in the rows as they are stored, then three that are decoded before.</summary>
    public static TheoryData<SampleKind, int, bool, int> Encodings => new()
    {
        { SampleKind.SignedInteger, 3, false, 1 },
        { SampleKind.SignedInteger, 2, false, 2 },
        { SampleKind.SignedInteger, 4, true, 1 },
        { SampleKind.SignedInteger, 2, true, 1 },
        { SampleKind.SignedInteger, 1, false, 1 },
        { SampleKind.SignedInteger, 3, false, 2 },
        { SampleKind.UnsignedInteger, 1, false, 1 },
        { SampleKind.FloatingPoint, 4, false, 1 },
    };

    [Theory]
    [MemberData(nameof(Encodings))]
    public void Rows_are_handed_out_frame_by_frame(SampleKind kind, int bytes, bool bigEndian, int channels)
    {
        var samples = Stored(kind, bytes, bigEndian, channels, 60_000);
        void Check<TOps, TVector>() where TOps : struct, ILanes<TVector> where TVector : unmanaged
        {
            var frames = new LaneFrames<TOps, TVector>(samples, channels - 1);
            var expected = new double[TOps.Count][];
            for (var lane = 0; lane < TOps.Count; lane++)
            {
                // Silence before, silence behind, none of both; the last lane has nothing.
                var (head, count) = lane == TOps.Count - 1 ? (0, 0) : (lane % 3 * 1001, LaneFrames<TOps, TVector>.Row - (lane % 3 * 1001) - (lane % 2 * 77));
                expected[lane] = new double[LaneFrames<TOps, TVector>.Row];
                samples.Read(channels - 1, 13 + (lane * 5000), expected[lane].AsSpan(head, count));
                frames.Read(lane, head, 13 + (lane * 5000), count);
            }
            var target = new TVector[300];
            foreach (var (offset, count) in (ReadOnlySpan<(int, int)>)[(0, 256), (997, 3), (999, 131), (LaneFrames<TOps, TVector>.Row - 255, 255)])
            {
                frames.Interleave(offset, target.AsSpan(0, count));
                var numbers = MemoryMarshal.Cast<TVector, double>(target.AsSpan());
                for (var n = 0; n < count; n++)
                    for (var lane = 0; lane < TOps.Count; lane++) Assert.Equal(expected[lane][offset + n], numbers[(n * TOps.Count) + lane]);
            }
        }
        Check<EightLanes, Vector512<double>>();
        Check<FourLanes, Vector256<double>>();
        Check<TwoLanes, Vector128<double>>();
    }

    [Theory]
    [MemberData(nameof(Encodings))]
    public void Levels_and_spectrum_of_stored_frames_are_those_of_their_numbers(SampleKind kind, int bytes, bool bigEndian, int channels)
    {
        var samples = Stored(kind, bytes, bigEndian, channels, 5 * Rate);
        var numbers = new double[samples.Frames];
        samples.Read(channels - 1, 0, numbers);
        var held = new MemorySamples(Rate, numbers);
        const long first = 9001, frames = (4 * Rate) + 17;
        var settings = new LevelSettings { Octaves = false };
        var stored = LevelAnalysis.Measure(samples, channels - 1, first, frames, settings, cancellation: TestContext.Current.CancellationToken);
        Assert.Equal(held.Levels(first, frames, settings).Thirds.Select(b => b.MeanSquare), stored.Thirds.Select(b => b.MeanSquare));
        Assert.Equal(NarrowBand.Spectrum(held, 0, first, frames, cancellation: TestContext.Current.CancellationToken).Density,
            NarrowBand.Spectrum(samples, channels - 1, first, frames, cancellation: TestContext.Current.CancellationToken).Density);
    }

    private static StoredSamples Stored(SampleKind kind, int bytes, bool bigEndian, int channels, int frames)
    {
        const int offset = 44;
        var content = new byte[offset + (frames * channels * bytes)];
        var random = new Random(bytes);
        random.NextBytes(content);
        if (kind == SampleKind.FloatingPoint)
            for (var i = offset; i < content.Length; i += 4) BitConverter.TryWriteBytes(content.AsSpan(i), (float)((2 * random.NextDouble()) - 1));
        return new(new BufferedBytes(content), new(offset, frames, channels, channels * bytes, Rate, new(kind, bytes, 8 * bytes, bigEndian)));
    }
}
