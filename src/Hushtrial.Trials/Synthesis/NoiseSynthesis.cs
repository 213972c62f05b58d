using Hushtrial.Signals.Levels;

namespace Hushtrial.Trials.Synthesis;

/// <summary>A stretch of a recording in which the sound reaches the microphone through one loss.</summary>
/// <param name="From">Start, s.</param>
/// <param name="To">End, s.</param>
/// <param name="Loss">Loss at a frequency, dB.</param>
public sealed record Stretch(double From, double To, Func<double, double> Loss);

/// <summary>A radio call: a buzz in the speech bands that swells and fades, from a time on.</summary>
/// <param name="From">Start, s.</param>
/// <param name="To">End, s.</param>
/// <param name="Level">Level, dB.</param>
public sealed record RadioCall(double From, double To, double Level);

/// <summary>Turns a stated cabin, losses and wander into the samples of one channel.</summary>
/// <remarks>Gaussian noise is shaped in the frequency domain in frames of 16 384 samples that overlap by half under a sine window (their
/// squares add to one), so the density is the stated one smoothed over about 6 Hz. Tones are sine waves with a slowly wandering speed. The
/// microphone's own noise is white and does not pass the loss.</remarks>
public sealed class NoiseSynthesis
{
    private const int Frame = 16_384;
    private const int Hop = Frame / 2;
    private const double Crossover = 250;
    private readonly int _rate;
    private readonly CabinNoise _cabin;
    private readonly double _ownNoiseDensity;
    private readonly double _fullScale;

    /// <summary>A synthesis for one channel.</summary>
    /// <param name="sampleRate">Hz.</param>
    /// <param name="cabin">The cabin at the open ear.</param>
    /// <param name="ownNoiseDensityLevel">The microphone's own noise, dB re (20 µPa)² per Hz.</param>
    /// <param name="fullScaleLevel">Level that a signal of 0 dB re full scale has, dB.</param>
    public NoiseSynthesis(int sampleRate, CabinNoise cabin, double ownNoiseDensityLevel, double fullScaleLevel)
    {
        _rate = sampleRate;
        _cabin = cabin;
        _ownNoiseDensity = Math.Pow(10, ownNoiseDensityLevel / 10);
        _fullScale = Math.Pow(10, -fullScaleLevel / 20);
    }

    /// <summary>Makes all samples, in order, block by block.</summary>
    /// <param name="frames">Number of samples.</param>
    /// <param name="stretches">Which loss holds when, in order and without holes.</param>
    /// <param name="wander">How the level moves.</param>
    /// <param name="calls">Radio calls on top.</param>
    /// <param name="draws">Random draws; the result depends on them alone.</param>
    /// <param name="sink">Receives blocks of samples, full scale = ±1.</param>
    public void Render(long frames, IReadOnlyList<Stretch> stretches, LevelWander wander, IReadOnlyList<RadioCall> calls, Draws draws, Action<ReadOnlySpan<double>> sink)
    {
        var amplitudes = stretches.ToDictionary(s => s, Amplitudes);
        var toneAmplitudes = stretches.ToDictionary(s => s, s => _cabin.Tones.Select(t => Math.Sqrt(2) * Math.Pow(10, (t.Level - s.Loss(t.Hertz)) / 20)).ToArray());
        var phases = _cabin.Tones.Select(_ => 2 * Math.PI * draws.Uniform()).ToArray();
        var window = Enumerable.Range(0, Frame).Select(i => Math.Sin(Math.PI * (i + 0.5) / Frame)).ToArray();
        var transform = new Fourier(Frame);
        var real = new double[Frame];
        var imaginary = new double[Frame];
        var tail = new double[Hop];
        var block = new double[Hop];
        var speed = 0.0;
        var voice = 0.0;
        // Two frames come out of one complex transform: one as its real, one as its imaginary part.
        for (long first = -Hop; first < frames; first += Frame)
        {
            Fill(real, imaginary, At(first), At(first + Hop), wander, draws, first);
            // Exchanging the two parts turns the transform round.
            transform.Transform(imaginary, real);
            Emit(real, first);
            Emit(imaginary, first + Hop);
        }

        (double[] Cabin, double[] Own) At(long start) => amplitudes[StretchAt(stretches, (start + Hop) / (double)_rate)];

        void Emit(double[] frame, long start)
        {
            for (var i = 0; i < Hop; i++) block[i] = tail[i] + (window[i] * frame[i]);
            for (var i = 0; i < Hop; i++) tail[i] = window[Hop + i] * frame[Hop + i];
            if (start < 0) return;
            var count = (int)Math.Min(Hop, frames - start);
            if (count <= 0) return;
            var time = start / (double)_rate;
            AddTones(block.AsSpan(0, count), toneAmplitudes[StretchAt(stretches, time + (0.5 * Hop / _rate))], phases, wander.Low(time), ref speed, draws);
            foreach (var call in calls) AddCall(block.AsSpan(0, count), time, call, ref voice);
            for (var i = 0; i < count; i++) block[i] *= _fullScale;
            sink(block.AsSpan(0, count));
        }
    }

    private static Stretch StretchAt(IReadOnlyList<Stretch> stretches, double seconds)
    {
        foreach (var stretch in stretches) if (seconds < stretch.To) return stretch;
        return stretches[^1];
    }

    private (double[] Cabin, double[] Own) Amplitudes(Stretch stretch)
    {
        // The transform below does not divide by N, so a one-sided density S asks for E|X|² = S·rate/(2N) per bin, half of it real.
        var cabin = new double[Hop];
        var own = new double[Hop];
        var scale = Math.Sqrt(_rate / 2.0 / Frame) * Math.Sqrt(0.5);
        for (var k = 1; k < Hop; k++)
        {
            var f = k * (double)_rate / Frame;
            cabin[k] = scale * Math.Sqrt(_cabin.Density(f) * Math.Pow(10, -stretch.Loss(f) / 10));
            own[k] = scale * Math.Sqrt(_ownNoiseDensity);
        }
        return (cabin, own);
    }

    private void Fill(double[] real, double[] imaginary, (double[] Cabin, double[] Own) first, (double[] Cabin, double[] Own) second, LevelWander wander, Draws draws, long start)
    {
        var t1 = (start + Hop) / (double)_rate;
        var t2 = t1 + (Hop / (double)_rate);
        var crossover = (int)(Crossover * Frame / _rate);
        var (low1, high1) = (Gain(wander.Low(t1)), Gain(wander.High(t1)));
        var (low2, high2) = (Gain(wander.Low(t2)), Gain(wander.High(t2)));
        real[0] = imaginary[0] = real[Hop] = imaginary[Hop] = 0;
        for (var k = 1; k < Hop; k++)
        {
            var isLow = k < crossover;
            var a = first.Cabin[k] * (isLow ? low1 : high1);
            var b = second.Cabin[k] * (isLow ? low2 : high2);
            a = Math.Sqrt((a * a) + (first.Own[k] * first.Own[k]));
            b = Math.Sqrt((b * b) + (second.Own[k] * second.Own[k]));
            var (p, q) = (a * draws.Normal(), a * draws.Normal());
            var (r, s) = (b * draws.Normal(), b * draws.Normal());
            real[k] = p - s;
            imaginary[k] = q + r;
            real[Frame - k] = p + s;
            imaginary[Frame - k] = r - q;
        }
    }

    private void AddTones(Span<double> block, double[] amplitudes, double[] phases, double levelChange, ref double speed, Draws draws)
    {
        // The speed wanders by about 0.1 % within 20 s, as a governed rotor does.
        var keep = Math.Exp(-block.Length / (20.0 * _rate));
        speed = (keep * speed) + (0.001 * Math.Sqrt(1 - (keep * keep)) * draws.Normal());
        for (var tone = 0; tone < amplitudes.Length; tone++)
        {
            var amplitude = amplitudes[tone] * Gain(levelChange);
            var step = 2 * Math.PI * _cabin.Tones[tone].Hertz * (1 + speed) / _rate;
            var (sin, cos) = Math.SinCos(phases[tone]);
            var (turnSin, turnCos) = Math.SinCos(step);
            for (var i = 0; i < block.Length; i++)
            {
                block[i] += amplitude * sin;
                (sin, cos) = ((sin * turnCos) + (cos * turnSin), (cos * turnCos) - (sin * turnSin));
            }
            phases[tone] = Math.IEEERemainder(phases[tone] + (step * block.Length), 2 * Math.PI);
        }
    }

    private void AddCall(Span<double> block, double time, RadioCall call, ref double phase)
    {
        var amplitude = Math.Sqrt(2) * Math.Pow(10, call.Level / 20);
        for (var i = 0; i < block.Length; i++)
        {
            var t = time + (i / (double)_rate);
            if (t < call.From || t > call.To) continue;
            phase += 2 * Math.PI * (900 + (350 * Math.Sin(2 * Math.PI * 2.3 * t))) / _rate;
            block[i] += amplitude * Math.Sin(phase) * Math.Abs(Math.Sin(2 * Math.PI * 1.9 * t));
        }
    }

    private static double Gain(double decibels) => Math.Pow(10, decibels / 20);
}
