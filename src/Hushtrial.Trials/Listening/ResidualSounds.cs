using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Signals.Rendering;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Listening;

/// <summary>How one band came out.</summary>
/// <param name="Band">The band.</param>
/// <param name="Wanted">The estimated loss, dB.</param>
/// <param name="Rendered">Level of the cabin's loop minus level of the residual's, by the analysis of the trial, dB.</param>
/// <param name="Trusted">Whether the estimate is trusted there.</param>
public sealed record RenderedBand(Band Band, double Wanted, double Rendered, bool Trusted);

/// <summary>One sound of the set.</summary>
/// <param name="Condition">Identity of the condition; 'open' for the cabin itself.</param>
/// <param name="Name">Name for readers; empty for the cabin.</param>
/// <param name="Samples">One turn of the loop, full scale = ±1.</param>
/// <param name="LevelA">A-weighted level, dB re full scale (mean square 1).</param>
/// <param name="Planned">What it was made from; null for the cabin.</param>
/// <param name="Bands">How the bands came out; empty for the cabin.</param>
/// <param name="FilledShare">Share of its A-weighted energy in bands that are not trusted, 0 to 1.</param>
public sealed record ResidualSound(string Condition, string Name, double[] Samples, double LevelA, PlannedResidual? Planned, IReadOnlyList<RenderedBand> Bands, double FilledShare)
{
    /// <summary>Largest deviation in a trusted band, dB; 0 for the cabin.</summary>
    public double WorstDeviation => Bands.Where(b => b.Trusted).Select(b => Math.Abs(b.Rendered - b.Wanted)).DefaultIfEmpty(0).Max();
}

/// <summary>The cabin and what each device leaves of it, as loops of one length at one common gain.</summary>
/// <param name="SampleRate">Hz.</param>
/// <param name="Sounds">The cabin first.</param>
/// <param name="Span">Where the cabin was taken from; null when it is random noise with the spectrum of the open ear.</param>
/// <param name="WithSpeech">Whether speech and bursts were left in.</param>
public sealed record ResidualSounds(int SampleRate, IReadOnlyList<ResidualSound> Sounds, CabinSpan? Span, bool WithSpeech)
{
    /// <summary>A-weighted level that the cabin is played at, dB re full scale, unless its peaks or low tones would not fit. Common practice, no source.</summary>
    public const double PlayedLevel = -26;

    /// <summary>Highest peak of the set, dB re full scale.</summary>
    public const double HighestPeak = -1;

    private const int NoiseRate = 48_000;

    /// <summary>Length of the loop, s.</summary>
    public double Seconds => Sounds[0].Samples.Length / (double)SampleRate;

    /// <summary>Renders a trial.</summary>
    /// <param name="results">The results.</param>
    /// <param name="recording">Gives the samples of a recording by its identity; null when it cannot be read.</param>
    /// <param name="withSpeech">Whether speech and bursts stay in the cabin.</param>
    /// <param name="cancellation">Ends the work.</param>
    /// <returns>Null when nothing can be rendered: no residual is planned, or neither a recording nor a spectrum of the open ear is there.</returns>
    /// <remarks>Each residual is the cabin's loop through a filter of linear phase whose gain is the estimated loss (see <see cref="BandGainFit"/>), run around the loop.</remarks>
    public static ResidualSounds? Of(TrialResults results, Func<string, SampleSource?> recording, bool withSpeech, CancellationToken cancellation)
    {
        var plan = ResidualPlan.Of(results);
        if (plan.Residuals.Count == 0) return null;
        var span = CabinSpan.Of(results, recording, withSpeech, cancellation);
        var rate = span is null ? NoiseRate : recording(span.Recording)!.SampleRate;
        var loop = span is null ? Noise(results.OpenSpectrum, rate) : WithoutMean(SeamlessLoop.Of(span.Read(recording(span.Recording)!), rate, CabinSpan.Seconds));
        if (loop is null) return null;
        var fit = new BandGainFit(loop, rate);
        var cabin = fit.Open().Around(loop);
        var open = Levels(cabin, rate);
        var sounds = new List<ResidualSound> { new(Document.TrialDocument.OpenEar, "", cabin, LevelOf(open.MeanSquare(FrequencyWeighting.A)), null, [], 0) };
        foreach (var residual in plan.Residuals)
        {
            cancellation.ThrowIfCancellationRequested();
            if (!residual.Losses.Keys.Any(b => b.UpperEdge.Hertz < rate / 2.0)) continue;
            sounds.Add(Rendered(residual, fit.Filter(residual.Losses.ToDictionary(l => l.Key, l => -l.Value)).Around(loop), open, rate));
        }
        return new(rate, Scaled(sounds), span, withSpeech);
    }

    private static ResidualSound Rendered(PlannedResidual residual, double[] samples, SpanLevels open, int rate)
    {
        var levels = Levels(samples, rate);
        var before = open.Thirds.Concat(open.Octaves).Where(b => b.Valid).ToDictionary(b => b.Band, b => b.MeanSquare);
        var after = levels.Thirds.Concat(levels.Octaves).Where(b => b.Valid).ToDictionary(b => b.Band, b => b.MeanSquare);
        var bands = residual.Losses.Where(l => before.GetValueOrDefault(l.Key) > 0 && after.GetValueOrDefault(l.Key) > 0).OrderBy(l => l.Key)
            .Select(l => new RenderedBand(l.Key, l.Value, LevelOf(before[l.Key]) - LevelOf(after[l.Key]), !residual.AtLeast.Contains(l.Key))).ToList();
        double Weighted(IEnumerable<BandLevel> of) => of.Where(b => b.Valid).Sum(b => b.MeanSquare * Math.Pow(10, Weightings.At(FrequencyWeighting.A, b.Band.ExactMidband).Decibels / 10));
        var all = Weighted(levels.Thirds);
        var share = all > 0 ? Weighted(levels.Thirds.Where(b => !residual.IsTrusted(b.Band))) / all : 0;
        return new(residual.Condition, residual.Name, samples, LevelOf(levels.MeanSquare(FrequencyWeighting.A)), residual, bands, share);
    }

    /// <summary>The set at one gain: differences between its sounds stay what they are.</summary>
    private static List<ResidualSound> Scaled(List<ResidualSound> sounds)
    {
        var peak = sounds.Max(s => s.Samples.Max(Math.Abs));
        var gain = Math.Min(PlayedLevel - sounds[0].LevelA, HighestPeak - (20 * Math.Log10(Math.Max(peak, 1e-12))));
        var factor = Math.Pow(10, gain / 20);
        return sounds.ConvertAll(s => s with { Samples = Array.ConvertAll(s.Samples, x => x * factor), LevelA = s.LevelA + gain });
    }

    /// <summary>Random noise with the band levels of the open ear; null without enough bands.</summary>
    private static double[]? Noise(IReadOnlyDictionary<Band, double> spectrum, int rate)
    {
        var fraction = spectrum.Keys.Any(b => b.Fraction == BandFraction.ThirdOctave) ? BandFraction.ThirdOctave : BandFraction.Octave;
        var bands = spectrum.Where(b => b.Key.Fraction == fraction).ToDictionary(b => b.Key, b => b.Value);
        if (bands.Count < 5) return null;
        // The same noise whenever it is asked for.
        var draws = new SeededGenerator(1);
        var white = new double[(int)(CabinSpan.Seconds * rate)];
        for (var i = 0; i < white.Length; i++) white[i] = 1e-3 * draws.NextNormal();
        var flat = Levels(white, rate);
        var have = flat.Thirds.Concat(flat.Octaves).Where(b => b.Valid).ToDictionary(b => b.Band, b => LevelOf(b.MeanSquare));
        var gains = bands.Where(b => have.ContainsKey(b.Key)).ToDictionary(b => b.Key, b => b.Value - have[b.Key]);
        var highest = gains.Values.Max();
        return new BandGainFit(white, rate).Filter(gains.ToDictionary(g => g.Key, g => g.Value - highest)).Around(white);
    }

    private static SpanLevels Levels(double[] loop, int rate) => LevelAnalysis.Measure(new LoopSamples(loop, rate, 2), 0, loop.Length, loop.Length, new LevelSettings());

    private static double LevelOf(double meanSquare) => 10 * Math.Log10(Math.Max(meanSquare, 1e-30));

    private static double[] WithoutMean(double[] samples)
    {
        var mean = samples.Average();
        return Array.ConvertAll(samples, x => x - mean);
    }
}
