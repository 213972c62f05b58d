using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Listening;

/// <summary>One band at the ear.</summary>
/// <param name="Level">Estimate with its 95 % interval, dB.</param>
/// <param name="AtMost">True when the microphone's own noise was reached, so that the level is at most this.</param>
internal sealed record NoiseBand(Interval Level, bool AtMost);

/// <summary>Whether a level can be trusted in a band, why not, and whether the own noise was reached.</summary>
internal delegate (bool Valid, string? Reason, bool AtMost) LevelTrust(string condition, Band band);

/// <summary>The noise at the ear under every condition in the leading scope, by band; in relative mode re full scale.</summary>
/// <remarks>A limit of a spectrum is that of all its bands at once: a loose seal is loose in all of them, and a calibration moves all (see docs/decisions/0004).</remarks>
internal sealed class HeardNoise(TrialDocument document, TrialEffects effects, IReadOnlyDictionary<string, double> ambient, LevelTrust trust, bool absolute)
{
    /// <summary>Whether levels are re 20 µPa.</summary>
    public bool Absolute { get; } = absolute;

    /// <summary>Bands that were read.</summary>
    public IReadOnlyList<Band> Bands => effects.Bands;

    /// <summary>A-weighted level under a condition, or of the open ear; null when it cannot be said.</summary>
    public Interval? A(string condition) => Moved(effects.A.Level(condition), QuantityName.A);

    /// <summary>The bands that can be trusted, or at least are bounded, under a condition.</summary>
    public IReadOnlyDictionary<Band, NoiseBand> At(string condition)
    {
        var bands = new Dictionary<Band, NoiseBand>();
        foreach (var band in effects.Bands)
        {
            var (valid, _, atMost) = trust(condition, band);
            if ((valid || atMost) && Moved(effects.Of(band).Level(condition), QuantityName.Of(band)) is { } level) bands[band] = new(level, atMost);
        }
        return bands;
    }

    /// <summary>Loss of a condition in the bands where it is known and more than a bound.</summary>
    public IReadOnlyDictionary<Band, Interval> Loss(string condition)
    {
        var losses = new Dictionary<Band, Interval>();
        foreach (var band in effects.Bands)
            if (trust(condition, band).Valid && trust(TrialDocument.OpenEar, band).Valid && effects.Of(band).Loss(condition).In(document.Scope) is { } e) losses[band] = new(e.Value, e.Low, e.High);
        return losses;
    }

    /// <summary>Which of some bands are missing under a condition, in words; null when none is.</summary>
    public string? Missing(string condition, IReadOnlyCollection<Band> needed, IReadOnlyDictionary<Band, NoiseBand> there)
    {
        var missing = needed.Where(b => !there.ContainsKey(b)).ToList();
        if (missing.Count == 0) return null;
        if (missing.Count == needed.Count) return "no bands were read";
        var reason = missing.Select(b => trust(condition, b).Reason).FirstOrDefault(r => r is not null);
        return $"the noise is not known in the bands at {string.Join(", ", missing)}{(reason is null ? "" : $" ({reason})")}";
    }

    /// <summary>Octaves as energy sums of their one-third octaves; octaves that were read as such are kept.</summary>
    public static IReadOnlyDictionary<Band, NoiseBand> ToOctaves(IReadOnlyDictionary<Band, NoiseBand> bands)
    {
        var octaves = bands.Where(b => b.Key.Fraction == BandFraction.Octave).ToDictionary(b => b.Key, b => b.Value);
        foreach (var octave in Band.Octaves.Where(o => !octaves.ContainsKey(o) && o.Thirds.All(bands.ContainsKey)))
        {
            double Sum(Func<NoiseBand, double> of) => 10 * Math.Log10(octave.Thirds.Sum(t => Math.Pow(10, of(bands[t]) / 10)));
            octaves[octave] = new(new(Sum(b => b.Level.Value), Sum(b => b.Level.Low), Sum(b => b.Level.High)), octave.Thirds.Any(t => bands[t].AtMost));
        }
        return octaves;
    }

    private Interval? Moved(Effect effect, string quantity)
    {
        var by = ambient.GetValueOrDefault(quantity);
        return effect.In(document.Scope) is { } e ? new(e.Value + by, e.Low + by, e.High + by) : null;
    }
}
