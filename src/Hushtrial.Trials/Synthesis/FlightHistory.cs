using Hushtrial.Quantities;
using Hushtrial.Trials.Finding;

namespace Hushtrial.Trials.Synthesis;

/// <summary>The level history of a scripted flight without its samples: the energies of every band and step drawn from the distribution that
/// the samples would give. Some hundred times faster than rendering; used where many flights are needed.</summary>
internal static class FlightHistory
{
    private const double Step = 0.125;
    private const double OwnNoiseDensityLevel = -12.5;

    /// <summary>Draws the history.</summary>
    public static LevelTrace Draw(string recording, FlightScript script, Draws draws)
    {
        var bands = Band.ThirdOctaves;
        var cabin = HelicopterCabin.Noise;
        var steps = (int)(script.Seconds / Step);
        var wander = new LevelWander(script.Seconds, 0.1, draws.Normal, slowDeviation: 0.5, fastDeviation: 0.8);
        var thirds = bands.Select(_ => new float[steps]).ToArray();
        var a = new float[steps];
        var width = bands.Select(b => b.UpperEdge.Hertz - b.LowerEdge.Hertz).ToArray();
        var middle = bands.Select(b => b.ExactMidband.Hertz).ToArray();
        var weight = bands.Select(b => Math.Pow(10, Weightings.At(FrequencyWeighting.A, b.ExactMidband).Decibels / 10)).ToArray();
        var own = width.Select(w => w * Math.Pow(10, OwnNoiseDensityLevel / 10)).ToArray();
        var tones = cabin.Tones.Select(t => (Tone: t, Band: Enumerable.Range(0, bands.Count).First(b => t.Hertz < bands[b].UpperEdge.Hertz))).ToArray();
        var (noise, tone) = (new double[bands.Count], new double[bands.Count]);
        var current = -1;
        for (var t = 0; t < steps; t++)
        {
            var time = (t + 0.5) * Step;
            var at = current < 0 ? 0 : current;
            while (at + 1 < script.Stretches.Count && time >= script.Stretches[at].To) at++;
            if (at != current)
            {
                current = at;
                var loss = script.Stretches[at].Loss;
                for (var b = 0; b < bands.Count; b++) (noise[b], tone[b]) = (width[b] * cabin.Density(middle[b]) * Math.Pow(10, -loss(middle[b]) / 10), 0);
                foreach (var (x, b) in tones) tone[b] += Math.Pow(10, (x.Level - loss(x.Hertz)) / 10);
            }
            var sum = 0.0;
            for (var b = 0; b < bands.Count; b++)
            {
                var gain = Math.Pow(10, (middle[b] < 250 ? wander.Low(time) : wander.High(time)) / 10);
                var random = own[b] + (gain * noise[b]) + (width[b] * Handling(script, time, middle[b]));
                var energy = (random * Scatter(width[b] * Step, draws)) + (gain * tone[b]) + Call(script, time, b, bands);
                if (time > FlightScript.ToneFrom && time < script.ToneUntil && bands[b].Index == 0) energy += Math.Pow(10, 9.4);
                thirds[b][t] = (float)energy;
                sum += energy * weight[b];
            }
            a[t] = (float)sum;
        }
        return new(recording, Step, a, bands, thirds);
    }

    private static double Handling(FlightScript script, double time, double hertz)
    {
        foreach (var h in script.Handling)
            if (time >= h.From && time < h.To) return h.Density(hertz);
        return 0;
    }

    private static double Call(FlightScript script, double time, int band, IReadOnlyList<Band> bands)
    {
        foreach (var c in script.Calls)
        {
            if (time < c.From || time >= c.To) continue;
            // The call of the recordings sweeps 550 to 1250 Hz and swells 3.8 times a second.
            var (f, swell) = (900 + (350 * Math.Sin(2 * Math.PI * 2.3 * time)), Math.Abs(Math.Sin(2 * Math.PI * 1.9 * time)));
            if (f >= bands[band].LowerEdge.Hertz && f < bands[band].UpperEdge.Hertz) return Math.Pow(10, c.Level / 10) * swell * swell;
        }
        return 0;
    }

    // A band's energy over B·T: χ² with 2BT degrees of freedom over its mean, by the cube of a normal draw (Wilson and Hilferty 1931).
    private static double Scatter(double bandwidthTime, Draws draws)
    {
        var ninth = 1 / (9 * bandwidthTime);
        var root = Math.Max(0.05, 1 - ninth + (Math.Sqrt(ninth) * draws.Normal()));
        return root * root * root;
    }
}
