using Hushtrial.Hearing.Audibility;
using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using static System.FormattableString;

namespace Hushtrial.Trials.Listening;

/// <summary>Whether a warning sound stands far enough over the noise at the open ear and under each condition.</summary>
/// <remarks>Rule: <see cref="AudibilityRule.Iso7731FromMemory"/>. 'Clearly heard' is said only when the lower 95 % limit meets it: the safe side.</remarks>
internal sealed class WarningsUnderDevices(HeardNoise noise, IReadOnlyList<ConditionResult> conditions)
{
    /// <summary>The words that stand with every result.</summary>
    public const string ByEar = "Confirm by ear before flight.";

    // In relative mode nothing is known of the threshold of hearing: everything is lifted far above it, so that only noise masks.
    private const double FarAboveThreshold = 200;

    private static readonly AudibilityRule _rule = AudibilityRule.Iso7731FromMemory;

    /// <summary>The answer for one warning.</summary>
    /// <param name="warning">The warning as stated.</param>
    /// <param name="measured">Its measured one-third-octave levels, or null.</param>
    public WarningAnswer Of(WarningHeard warning, IReadOnlyDictionary<Band, double>? measured)
    {
        WarningAnswer Not(string why) => new(warning, null, [], $"{warning.Name}: cannot be judged, for {why}. {ByEar}");
        if (warning.Span is not null && measured is null) return Not("its recording could not be measured");
        if (warning.Span is null && !noise.Absolute) return Not("its level is stated in decibels and the trial is not calibrated");
        IReadOnlyList<KeyValuePair<Band, double>> bands = measured is null ? warning.Bands : [.. measured.OrderBy(b => b.Key)];
        var fraction = bands[0].Key.Fraction == BandFraction.ThirdOctave && noise.Bands.Any(b => b.Fraction == BandFraction.ThirdOctave) ? BandFraction.ThirdOctave : BandFraction.Octave;
        var signal = SpeechUnderDevices.Stated(bands, fraction);
        if (noise.Bands.Count == 0) return Not("no band of the noise was read");
        List<ConditionWarning> rows = [Under(warning, signal, TrialDocument.OpenEar, "Open ear", predicted: false), .. conditions.Select(c => Under(warning, signal, c.Condition.Id, c.Name, c.Predicted))];
        return new(warning, noise.Absolute ? signal.Total(FrequencyWeighting.A).Decibels : null, rows, Sentence(warning, rows));
    }

    private ConditionWarning Under(WarningHeard warning, Spectrum signal, string id, string name, bool predicted)
    {
        var required = _rule.Required(signal.Fraction).Decibels;
        ConditionWarning Not(string why) => new(id, name, null, null, required, null, why);
        if (predicted) return Not("published, not measured: its bands at the ear are not known");
        var open = id == TrialDocument.OpenEar;
        var throughHeadset = warning.Way == SoundWay.Headset;
        if (throughHeadset && open) return Not("it sounds in the headset alone");
        IReadOnlyDictionary<Band, NoiseBand> At(string condition) => signal.Fraction == BandFraction.Octave ? HeardNoise.ToOctaves(noise.At(condition)) : Thirds(noise.At(condition));
        var there = At(id);
        if (there.Count == 0) return Not("its noise at the ear is not known");
        var outside = open || throughHeadset ? there : At(TrialDocument.OpenEar);
        if (outside.Count == 0) return Not("the open ear was not measured, so what the sound loses is not known");
        // Where a loss is only a lower bound the sound could be anything below: the band promises nothing.
        bool Known(Band b) => there.TryGetValue(b, out var t) && !t.AtMost && outside.TryGetValue(b, out var o) && !o.AtMost;
        var usable = signal.Entries.Where(e => Known(e.Key)).ToList();
        if (usable.Count == 0) return Not("no band of the sound is known there");
        var lift = noise.Absolute ? 0 : FarAboveThreshold;
        double Loss(Band b) => open || throughHeadset ? 0 : outside[b].Level.Value - there[b].Level.Value;
        AudibilityResult Judge(Func<Band, double> noiseMoves, Func<Band, double> signalMoves) => WarningSound.Judge(
            Spectrum.Of(usable.Select(e => KeyValuePair.Create(e.Key, Level.FromDecibels(e.Value.Decibels - Loss(e.Key) + signalMoves(e.Key) + lift)))),
            Spectrum.Of(there.Select(b => KeyValuePair.Create(b.Key, Level.FromDecibels(b.Value.Level.Value + noiseMoves(b.Key) + lift)))), SoundField.Diffuse, _rule);
        double Excess(Func<Band, double> noiseMoves, Func<Band, double> signalMoves) => Judge(noiseMoves, signalMoves).BestBand.Excess.Decibels;

        var judged = Judge(_ => 0, _ => 0);
        double Outside(Band b, bool up) => !outside.TryGetValue(b, out var o) ? 0 : up ? o.Level.High - o.Level.Value : o.Level.Low - o.Level.Value;
        double Worn(Band b, bool up) => open || throughHeadset || !there.TryGetValue(b, out var t) ? 0 : up ? t.Level.High - t.Level.Value : t.Level.Low - t.Level.Value;
        var u = Limits.TwoSided * warning.Uncertainty;
        var excess = Limits.Around(judged.BestBand.Excess.Decibels, (Excess(b => Outside(b, true), _ => 0), Excess(b => Outside(b, false), _ => 0)),
            (Excess(b => Worn(b, true), b => Worn(b, true)), Excess(b => Worn(b, false), b => Worn(b, false))), (Excess(_ => 0, _ => u), Excess(_ => 0, _ => -u)));
        return new(id, name, Verdict(judged, excess), excess, required, judged, null);
    }

    /// <summary>'Audible' only when the lower limit still meets the rule.</summary>
    internal static AudibilityVerdict Verdict(AudibilityResult judged, Interval excess)
    {
        if (judged.Verdict != AudibilityVerdict.Audible) return judged.Verdict;
        var lost = excess.Value - excess.Low;
        return judged.Margin.Decibels - lost >= 0 || (excess.Low >= 0 && judged.SignalOverNoiseA.Decibels - lost >= judged.Rule.OverNoiseA.Decibels) ? AudibilityVerdict.Audible : AudibilityVerdict.Doubtful;
    }

    private static IReadOnlyDictionary<Band, NoiseBand> Thirds(IReadOnlyDictionary<Band, NoiseBand> bands) => bands.Where(b => b.Key.Fraction == BandFraction.ThirdOctave).ToDictionary(b => b.Key, b => b.Value);

    private static string Sentence(WarningHeard warning, List<ConditionWarning> rows)
    {
        var parts = new List<string>();
        foreach (var (verdict, words) in new[] { (AudibilityVerdict.Audible, "clearly heard"), (AudibilityVerdict.Doubtful, "may be missed"), (AudibilityVerdict.Inaudible, "masked, not heard,") })
        {
            var names = rows.Where(r => r.Verdict == verdict).Select(r => r.Condition == TrialDocument.OpenEar ? Invariant($"with the open ear ({Decibels(r.Excess!.Value)})") : Invariant($"under {r.Name} ({Decibels(r.Excess!.Value)})")).ToList();
            if (names.Count > 0) parts.Add($"{words} {string.Join(", ", names.Take(names.Count - 1))}{(names.Count > 1 ? " and " : "")}{names[^1]}");
        }
        var required = rows[0].Required;
        return parts.Count == 0 ? $"{warning.Name}: cannot be judged under any device. {ByEar}"
            : Invariant($"{warning.Name}: {string.Join("; ", parts)}. Figures are decibels over the masked threshold in the best band; {required:0.#} dB count as clear, the lower 95 % limit included. {ByEar}");
    }

    private static string Decibels(double value) => Invariant($"{value:0.0} dB").Replace('-', '−');
}
