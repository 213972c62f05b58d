namespace Hushtrial.Trials.Synthesis;

/// <summary>Sounds and errors that are put on top of clean samples.</summary>
internal static class Disturbance
{
    private const int Rate = CheckedTrial.Rate;

    /// <summary>Root mean square.</summary>
    public static double Rms(float[] samples) => Math.Sqrt(samples.Sum(s => (double)s * s) / samples.Length);

    /// <summary>Each sample through a function of its value and its second.</summary>
    public static float[] Each(float[] samples, Func<double, double, double> change)
    {
        var changed = new float[samples.Length];
        for (var i = 0; i < changed.Length; i++) changed[i] = (float)change(samples[i], i / (double)Rate);
        return changed;
    }

    /// <summary>The height that a share of the samples exceeds in magnitude.</summary>
    public static double Height(float[] samples, double share)
    {
        var sorted = samples.Select(Math.Abs).Order().ToArray();
        return sorted[Math.Clamp((int)(sorted.Length * (1 - share)), 0, sorted.Length - 1)];
    }

    /// <summary>Some milliseconds replaced by one value.</summary>
    public static float[] Hold(float[] samples, double milliseconds, Draws draws, Func<float, float> value)
    {
        var changed = (float[])samples.Clone();
        var length = (int)(milliseconds * Rate / 1000);
        var at = (int)(draws.Uniform() * (samples.Length - length));
        Array.Fill(changed, value(samples[at]), at, length);
        return changed;
    }

    /// <summary>Decaying thumps of 60 Hz and a click, their peak so many dB above the largest sample.</summary>
    public static float[] Knocks(float[] samples, int count, double above, Draws draws)
    {
        var changed = (float[])samples.Clone();
        var height = samples.Max(Math.Abs) * Math.Pow(10, above / 20);
        for (var k = 0; k < count; k++)
        {
            var start = (int)((0.5 + (10.5 * draws.Uniform())) * Rate);
            for (var i = 0; i < Rate / 5 && start + i < changed.Length; i++)
            {
                var t = i / (double)Rate;
                changed[start + i] += (float)(height * Math.Exp(-t / 0.02) * Math.Cos(2 * Math.PI * 60 * t));
            }
        }
        return changed;
    }

    /// <summary>Speech-like noise in syllables over a share of the take, its level over that time so many dB above the A-weighted level given.</summary>
    public static float[] Speech(float[] samples, double share, double levelRms, Draws draws)
    {
        var changed = (float[])samples.Clone();
        var length = (int)(share * samples.Length);
        var start = (int)((0.5 * Rate) + (draws.Uniform() * (samples.Length - length - Rate)));
        // Band of speech: a resonance near 800 Hz and one near 1600 Hz.
        var voice = new double[length];
        var (y1, y2, z1, z2) = (0.0, 0.0, 0.0, 0.0);
        for (var i = 0; i < length; i++)
        {
            var x = draws.Normal();
            (y2, y1) = (y1, x + (1.95 * Math.Cos(2 * Math.PI * 800 / Rate) * y1) - (0.9506 * y2));
            (z2, z1) = (z1, x + (1.95 * Math.Cos(2 * Math.PI * 1600 / Rate) * z1) - (0.9506 * z2));
            // About four syllables a second that never fall silent, as running speech in noise.
            var syllable = 0.35 + (0.65 * Math.Abs(Math.Sin(2 * Math.PI * 2.1 * i / Rate)));
            voice[i] = syllable * (y1 + z1);
        }
        var scale = levelRms / Math.Sqrt(voice.Sum(v => v * v) / length);
        for (var i = 0; i < length; i++) changed[start + i] += (float)(scale * voice[i]);
        return changed;
    }

    /// <summary>Pulses of the rhythm of a phone's transmitter, of a root mean square given.</summary>
    public static float[] Buzz(float[] samples, double rms) => Rhythm(samples, rms, 26_000 / 120.0, phase => phase < 0.125 ? 1 : 0);

    /// <summary>Mains hum rich in odd harmonics, of a root mean square given.</summary>
    public static float[] Hum(float[] samples, double rms, double hertz) => Rhythm(samples, rms, hertz, phase =>
        Enumerable.Range(1, 10).Sum(k => Math.Sin((2 * Math.PI * k * phase) + k) * (k % 2 == 1 ? 1.0 : 0.4) / Math.Sqrt(k)));

    /// <summary>Wind: noise falling by some 9 dB per octave from 20 Hz in gusts, its bands from 25 to 50 Hz together at a level.</summary>
    public static float[] Wind(float[] samples, double lowLevel, Draws draws)
    {
        // Two first-order low-passes at 15 and 60 Hz on white noise; the energy between 22 and 56 Hz is that of the product.
        double Pole(double f) => Math.Exp(-2 * Math.PI * f / Rate);
        var (p, q) = (Pole(15), Pole(60));
        double Gain(double pole, double f) => (1 - pole) / Math.Sqrt(1 + (pole * pole) - (2 * pole * Math.Cos(2 * Math.PI * f / Rate)));
        var energy = Enumerable.Range(23, 34).Sum(f => 2.0 / Rate * Math.Pow(Gain(p, f) * Gain(q, f), 2));
        var scale = Math.Sqrt(Math.Pow(10, (lowLevel - CheckedTrial.FullScale) / 10) / energy);
        var (y, z, gust) = (0.0, 0.0, 0.0);
        var keep = Math.Exp(-1.0 / Rate);
        return Each(samples, (s, _) =>
        {
            y = (p * y) + ((1 - p) * draws.Normal());
            z = (q * z) + ((1 - q) * y);
            // Gusts of about a second, up and down by 3 dB.
            gust = (keep * gust) + (3 * Math.Sqrt(1 - (keep * keep)) * draws.Normal());
            return s + (scale * z * Math.Pow(10, (gust - 1) / 20));
        });
    }

    /// <summary>Bursts of 30 Hz, each 0.3 s, their level so many dB above that of the bands below 50 Hz.</summary>
    public static float[] Overload(float[] samples, int bursts, double above, Draws draws)
    {
        // What lies below 50 Hz, roughly.
        var keep = Math.Exp(-2 * Math.PI * 45 / Rate);
        var (y, z, sum) = (0.0, 0.0, 0.0);
        foreach (var s in samples)
        {
            y = (keep * y) + ((1 - keep) * s);
            z = (keep * z) + ((1 - keep) * y);
            sum += z * z;
        }
        var amplitude = Math.Sqrt(2 * sum / samples.Length) * Math.Pow(10, above / 20);
        var starts = Enumerable.Range(0, bursts).Select(_ => 0.5 + (10.5 * draws.Uniform())).ToArray();
        return Each(samples, (s, t) => s + starts.Where(b => t >= b && t < b + 0.3).Sum(b => amplitude * Math.Sin(2 * Math.PI * 30 * (t - b)) * Math.Sin(Math.PI * (t - b) / 0.3)));
    }

    /// <summary>Automatic gain of a ratio: what is louder than 45 dB comes out with the excess divided by it; 50 ms down, 0.8 s up.</summary>
    public static float[] AutomaticGain(float[] samples, double ratio)
    {
        var (up, down) = (1 - Math.Exp(-1 / (0.05 * Rate)), 1 - Math.Exp(-1 / (0.8 * Rate)));
        var fast = 1 - Math.Exp(-1 / (0.02 * Rate));
        var square = Disturbance.Rms(samples) is var rms ? rms * rms : 0;
        var level = 10 * Math.Log10(square);
        return Each(samples, (s, _) =>
        {
            square += fast * ((s * s) - square);
            var now = 10 * Math.Log10(square + 1e-15);
            level += (now > level ? up : down) * (now - level);
            var excess = Math.Max(0, level - (45 - CheckedTrial.FullScale));
            return s * Math.Pow(10, -excess * (1 - (1 / ratio)) / 20);
        });
    }

    /// <summary>A limiter with a height so many dB above the root mean square: at once down, 0.1 s up.</summary>
    public static float[] Limiter(float[] samples, double above)
    {
        var height = Rms(samples) * Math.Pow(10, above / 20);
        var recover = 1 - Math.Exp(-1 / (0.1 * Rate));
        var gain = 1.0;
        return Each(samples, (s, _) =>
        {
            gain += recover * (1 - gain);
            if (Math.Abs(s) * gain > height) gain = height / Math.Abs(s);
            return s * gain;
        });
    }

    /// <summary>A low-cut filter of second order (Butterworth, bilinear).</summary>
    public static float[] LowCut(float[] samples, double hertz)
    {
        var k = Math.Tan(Math.PI * hertz / Rate);
        var norm = 1 / (1 + (Math.Sqrt(2) * k) + (k * k));
        var (a1, a2) = (2 * ((k * k) - 1) * norm, (1 - (Math.Sqrt(2) * k) + (k * k)) * norm);
        var (w1, w2) = (0.0, 0.0);
        return Each(samples, (s, _) =>
        {
            var w = s - (a1 * w1) - (a2 * w2);
            var y = norm * (w - (2 * w1) + w2);
            (w2, w1) = (w1, w);
            return y;
        });
    }

    private static float[] Rhythm(float[] samples, double rms, double hertz, Func<double, double> shape)
    {
        var one = Enumerable.Range(0, 1000).Select(i => shape(i / 1000.0)).ToArray();
        var mean = one.Average();
        var scale = rms / Math.Sqrt(one.Average(v => (v - mean) * (v - mean)));
        return Each(samples, (s, t) => s + (scale * (shape((t * hertz) % 1) - mean)));
    }
}
