using System.Numerics;
using System.Runtime.Intrinsics;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Levels;

/// <summary>A narrow-band spectrum: mean square per hertz and per line, from 0 Hz to half the sampling rate.</summary>
public sealed class NarrowBandSpectrum
{
    internal NarrowBandSpectrum(int sampleRate, int points, long segments, double[] density) =>
        (SampleRate, Points, Segments, Density) = (sampleRate, points, segments, density);

    /// <summary>Sampling rate, Hz.</summary>
    public int SampleRate { get; }

    /// <summary>Frames in a segment.</summary>
    public int Points { get; }

    /// <summary>Number of segments averaged; neighbours overlap by half.</summary>
    public long Segments { get; }

    /// <summary>Distance of the lines, Hz: line i stands at i times this.</summary>
    public double Resolution => SampleRate / (double)Points;

    /// <summary>Effective noise bandwidth of a line, Hz: 1.5 line distances for the Hann window.</summary>
    public double NoiseBandwidth => 1.5 * Resolution;

    /// <summary>Power spectral density of each line, full scale²/Hz, one-sided: for noise. Its sum times <see cref="Resolution"/> is the mean square.</summary>
    public IReadOnlyList<double> Density { get; }

    /// <summary>Mean square of a line, full scale²: for tones. A sine on a line reads its mean square, half-way between two lines 1.42 dB less.</summary>
    public double LinePower(int line) => Density[line] * NoiseBandwidth;

    /// <summary>Mean square between two frequencies, full scale²: the density integrated, lines at the edges by their share.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Not 0 ≤ from &lt; to.</exception>
    public double MeanSquareBetween(double fromHertz, double toHertz)
    {
        if (!(fromHertz >= 0 && toHertz > fromHertz))
            throw new ArgumentOutOfRangeException(nameof(toHertz), toHertz, "The upper frequency must lie above the lower, and both at or above 0.");
        var sum = 0.0;
        for (var i = 0; i < Density.Count; i++)
        {
            var overlap = Math.Min(toHertz, (i + 0.5) * Resolution) - Math.Max(fromHertz, (i - 0.5) * Resolution);
            if (overlap > 0) sum += Density[i] * overlap;
        }
        return sum;
    }
}

/// <summary>Narrow-band analysis by averaged, overlapped Fourier transforms (Welch 1967, doi 10.1109/TAU.1967.1161901).</summary>
public static class NarrowBand
{
    // Parts of a span that are averaged each for itself: as many whatever the number of threads, so that the result does not depend on it.
    private const int Parts = 8;
    private const int FewestSegmentsInPart = 64;

    /// <summary>The spectrum of one channel over one span.</summary>
    /// <param name="samples">The recording.</param>
    /// <param name="channel">Channel, from 0.</param>
    /// <param name="firstFrame">First frame of the span.</param>
    /// <param name="frameCount">Frames of the span, at least <paramref name="points"/>; what does not fill the last half segment is left out.</param>
    /// <param name="points">Frames in a segment, a power of two, 256…262 144.</param>
    /// <param name="maxThreads">Threads that may work at once, from 1; the result does not depend on it.</param>
    /// <param name="cancellation">Ends the analysis early.</param>
    /// <remarks>Hann window, half overlap. A mean offset (direct current) stands in lines 0 and 1.</remarks>
    /// <exception cref="ArgumentOutOfRangeException">The channel, the span or the number of points do not fit the recording.</exception>
    /// <exception cref="OperationCanceledException">It was ended early.</exception>
    public static NarrowBandSpectrum Spectrum(SampleSource samples, int channel, long firstFrame, long frameCount, int points = 8192,
        int maxThreads = 1, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(samples);
        ArgumentOutOfRangeException.ThrowIfLessThan(maxThreads, 1);
        if (points is < 256 or > 262_144 || !BitOperations.IsPow2(points))
            throw new ArgumentOutOfRangeException(nameof(points), points, "The number of points is a power of two from 256 to 262144.");
        if (channel < 0 || channel >= samples.Channels)
            throw new ArgumentOutOfRangeException(nameof(channel), channel, $"The recording has the channels 0…{samples.Channels - 1}.");
        if (firstFrame < 0 || firstFrame >= samples.Frames)
            throw new ArgumentOutOfRangeException(nameof(firstFrame), firstFrame, $"The recording has the frames 0…{samples.Frames - 1}.");
        if (frameCount < points || frameCount > samples.Frames - firstFrame)
            throw new ArgumentOutOfRangeException(nameof(frameCount), frameCount, $"A span of {points} to {samples.Frames - firstFrame} frames is wanted.");

        var (span, power) = (new Span(samples, channel, firstFrame, ((frameCount - points) / (points / 2)) + 1), new double[points]);
        if (VectorWidth.Lanes == 8) Add<EightLanes, Vector512<double>>(span, power, maxThreads, cancellation);
        else if (VectorWidth.Lanes == 4) Add<FourLanes, Vector256<double>>(span, power, maxThreads, cancellation);
        else Add<TwoLanes, Vector128<double>>(span, power, maxThreads, cancellation);

        // Σw² = 3/8·N for the Hann window; one-sided, so the lines between 0 Hz and half the rate count twice.
        var half = points / 2;
        var scale = 1 / (0.375 * points * samples.SampleRate * span.Segments);
        var density = new double[half + 1];
        for (var k = 0; k <= half; k++) density[k] = (k == 0 || k == half ? power[k] : power[k] + power[points - k]) * scale;
        return new(samples.SampleRate, points, span.Segments, density);
    }

    private readonly record struct Span(SampleSource Samples, int Channel, long FirstFrame, long Segments);

    /// <summary>Adds the power of every segment, part by part.</summary>
    private static void Add<TOps, TVector>(Span span, double[] power, int maxThreads, CancellationToken cancellation)
        where TOps : struct, ILanes<TVector>
        where TVector : unmanaged
    {
        var (tables, half) = (new TransformTables<TOps, TVector>(power.Length), power.Length / 2);
        // Two segments make one transform: a part holds an even number of them.
        var inPart = Math.Max(FewestSegmentsInPart, (span.Segments + (2 * Parts) - 1) / (2 * Parts) * 2);
        var powers = new double[(int)((span.Segments + inPart - 1) / inPart)][];
        (PowerTransform<TOps, TVector>, SegmentHalves<TOps, TVector>, FrameRuns) Room() => (new(tables), new(tables), new(span.Samples, span.Channel));
        void Measure(int part, (PowerTransform<TOps, TVector> Transform, SegmentHalves<TOps, TVector> Halves, FrameRuns Runs) room)
        {
            var (at, end) = (part * inPart * half, (Math.Min(span.Segments, (part + 1) * inPart) + 1) * half);
            while (at < end)
            {
                cancellation.ThrowIfCancellationRequested();
                for (var left = room.Runs.Read(span.FirstFrame + at, end - at); left > 0;)
                {
                    var to = room.Halves.Room;
                    if (to.Length > left) to = to[..left];
                    room.Runs.Decode(to);
                    room.Transform.Fill(to.Length, room.Halves);
                    (left, at) = (left - to.Length, at + to.Length);
                }
            }
            room.Transform.End(room.Halves);
            room.Transform.AddTo(powers[part] = new double[power.Length]);
        }
        if (maxThreads == 1 || powers.Length == 1)
        {
            var room = Room();
            for (var part = 0; part < powers.Length; part++) Measure(part, room);
        }
        else
            Parallel.For(0, powers.Length, new ParallelOptions { MaxDegreeOfParallelism = maxThreads, CancellationToken = cancellation }, Room, (part, _, room) =>
            {
                Measure(part, room);
                return room;
            }, _ => { });
        foreach (var part in powers)
            for (var k = 0; k < power.Length; k++) power[k] += part[k];
    }
}
