using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Audibility;

/// <summary>Whether a warning sound is heard.</summary>
public enum AudibilityVerdict
{
    /// <summary>The rule's margin is met.</summary>
    Audible,

    /// <summary>Over the masked threshold, yet by less than the margin.</summary>
    Doubtful,

    /// <summary>Under the masked threshold in every band.</summary>
    Inaudible,
}

/// <summary>One band of the judgement.</summary>
/// <param name="Band">The band.</param>
/// <param name="Signal">Signal at the ear.</param>
/// <param name="Noise">Noise at the ear.</param>
/// <param name="MaskedThreshold">The larger of masked threshold and threshold of hearing.</param>
/// <param name="Excess">Signal over that threshold.</param>
public sealed record AudibilityBand(Band Band, Level Signal, Level Noise, Level MaskedThreshold, LevelDifference Excess);

/// <summary>The judgement of one sound in one noise.</summary>
/// <param name="Verdict">The verdict.</param>
/// <param name="BestBand">The band where the signal stands out most.</param>
/// <param name="Margin">Excess there minus the excess the rule asks for: 0 or more when it is met.</param>
/// <param name="SignalOverNoiseA">A-weighted signal level over noise level.</param>
/// <param name="Bands">All bands that signal and noise share.</param>
/// <param name="Rule">The rule.</param>
public sealed record AudibilityResult(AudibilityVerdict Verdict, AudibilityBand BestBand, LevelDifference Margin, LevelDifference SignalOverNoiseA,
    IReadOnlyList<AudibilityBand> Bands, AudibilityRule Rule)
{
    /// <summary>A-weighted level of the signal at the ear, over the bands used.</summary>
    public required Level SignalA { get; init; }

    /// <summary>The level that the rule asks of the signal besides, in one sentence; no part of the verdict.</summary>
    public string OnItsLevel => FormattableString.Invariant($"The signal has {SignalA.Decibels:0.0} dB(A) there; besides, a danger signal is asked to have at least {Rule.LeastSignalA.Decibels:0} dB(A) ({Rule.Source}): ")
        + (SignalA.CompareTo(Rule.LeastSignalA) < 0 ? "it has less, which the verdict leaves out." : "it has that.");
}

/// <summary>Judges whether a warning sound is heard, with the open ear or under a device.</summary>
public static class WarningSound
{
    /// <summary>The judgement with the open ear.</summary>
    /// <param name="signal">Band levels of the warning sound at the listener's place.</param>
    /// <param name="noise">Band levels of the noise there, in the same kind of bands.</param>
    /// <param name="field">The field, for the threshold of hearing.</param>
    /// <param name="rule">The rule.</param>
    /// <exception cref="ArgumentException">The spectra differ in their kind of bands or share none between 20 Hz and 16 kHz.</exception>
    public static AudibilityResult Judge(Spectrum signal, Spectrum noise, SoundField field, AudibilityRule rule)
    {
        if (signal.Fraction != noise.Fraction) throw new ArgumentException("Signal and noise are in different bands.", nameof(noise));
        var slope = rule.UpwardSlopePerOctave.Decibels / (int)noise.Fraction;
        var bands = new List<AudibilityBand>();
        (int Index, double Threshold)? below = null;
        foreach (var (band, level) in noise.Entries)
        {
            // The masked threshold carries over from the band below, falling by the slope.
            var masked = below is { } b ? Math.Max(level.Decibels, b.Threshold - (slope * (band.Index - b.Index))) : level.Decibels;
            below = (band.Index, masked);
            if (signal[band] is not { } s || band.ExactMidband.Hertz is < 19.9 or > 16_000) continue;
            var threshold = Level.FromDecibels(Math.Max(masked, HearingThreshold.At(band.ExactMidband, field).Decibels));
            bands.Add(new(band, s, level, threshold, s - threshold));
        }

        if (bands.Count == 0) throw new ArgumentException("Signal and noise share no band.", nameof(noise));
        var best = bands.MaxBy(b => b.Excess.Decibels)!;
        var margin = best.Excess - rule.Required(signal.Fraction);
        var signalA = Total(bands, b => b.Signal);
        var overA = signalA - Total(bands, b => b.Noise);
        var audible = margin.Decibels >= 0 || (overA.CompareTo(rule.OverNoiseA) >= 0 && best.Excess.Decibels >= 0);
        return new(audible ? AudibilityVerdict.Audible : best.Excess.Decibels >= 0 ? AudibilityVerdict.Doubtful : AudibilityVerdict.Inaudible,
            best, margin, overA, bands, rule) { SignalA = signalA };
    }

    /// <summary>The judgement under a device: signal and noise lose the same, unless the noise left is less than what the device adds or the ear can hear.</summary>
    /// <param name="signal">Band levels of the warning sound outside the device.</param>
    /// <param name="noise">Band levels of the noise there, in the same kind of bands.</param>
    /// <param name="loss">Loss per band; a band without one keeps its level.</param>
    /// <param name="added">What the device adds at the ear (hiss, radio), or null.</param>
    /// <param name="field">The field, for the threshold of hearing.</param>
    /// <param name="rule">The rule.</param>
    /// <exception cref="ArgumentException">The spectra differ in their kind of bands or share none between 20 Hz and 16 kHz.</exception>
    public static AudibilityResult JudgeUnder(Spectrum signal, Spectrum noise, IReadOnlyDictionary<Band, LevelDifference> loss, Spectrum? added, SoundField field, AudibilityRule rule)
    {
        var left = noise.Minus(loss);
        if (added is not null)
            left = Spectrum.Of(left.Bands.Union(added.Bands).Select(b => KeyValuePair.Create(b,
                Level.EnergySum([.. new[] { left[b], added[b] }.Where(l => l is not null).Select(l => l!.Value)]))));
        return Judge(signal.Minus(loss), left, field, rule);
    }

    private static Level Total(List<AudibilityBand> bands, Func<AudibilityBand, Level> of) =>
        Spectrum.Of(bands.Select(b => KeyValuePair.Create(b.Band, of(b)))).Total(FrequencyWeighting.A);
}
