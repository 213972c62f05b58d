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
    /// <param name="under">Its one-third-octave levels as recorded under a condition on the ground; null where they were not.</param>
    public WarningAnswer Of(WarningHeard warning, IReadOnlyDictionary<Band, double>? measured, Func<string, IReadOnlyDictionary<Band, double>?> under)
    {
        WarningAnswer Not(string why) => new(warning, null, [], $"{warning.Name}: cannot be judged, for {why}. {ByEar}{HeardByEar(warning)}");
        var why = warning.Span is not null && measured is null ? "its recording could not be measured" : warning.Span is null && !noise.Absolute ? "its level is stated in decibels and the trial is not calibrated" : null;
        var direct = conditions.Select(c => under(c.Condition.Id)).OfType<IReadOnlyDictionary<Band, double>>().ToList();
        if (why is not null && direct.Count == 0) return Not(why);
        IReadOnlyList<KeyValuePair<Band, double>> bands = why is not null ? InOrder(direct[0]) : measured is null ? warning.Bands : InOrder(measured);
        var fraction = bands[0].Key.Fraction == BandFraction.ThirdOctave && noise.Bands.Any(b => b.Fraction == BandFraction.ThirdOctave) ? BandFraction.ThirdOctave : BandFraction.Octave;
        var signal = why is null ? SpeechUnderDevices.Stated(bands, fraction) : null;
        if (noise.Bands.Count == 0) return Not("no band of the noise was read");
        ConditionWarning Row(string id, string name, bool predicted)
        {
            var row = under(id) is { } there ? Under(warning, SpeechUnderDevices.Stated(InOrder(there), fraction), id, name, predicted, recorded: true)
                : signal is not null ? Under(warning, signal, id, name, predicted, recorded: false) : new(id, name, null, null, _rule.Required(fraction).Decibels, null, why);
            var ear = warning.Under.FirstOrDefault(u => u.Condition == id);
            // Who did not hear it clearly on the ground will not in the cabin, whatever is calculated.
            var verdict = ear?.Heard is GroundHearing.Faintly or GroundHearing.Not && row.Verdict == AudibilityVerdict.Audible ? AudibilityVerdict.Doubtful : row.Verdict;
            return row with { Verdict = verdict, HeardOnGround = ear?.Heard, HeardBy = ear?.By };
        }
        List<ConditionWarning> rows = [Row(TrialDocument.OpenEar, "Open ear", predicted: false), .. conditions.Select(c => Row(c.Condition.Id, c.Name, c.Predicted))];
        return new(warning, noise.Absolute && signal is not null ? signal.Total(FrequencyWeighting.A).Decibels : null, rows, Sentence(warning, rows) + HeardByEar(warning));
    }

    private string HeardByEar(WarningHeard warning)
    {
        string Name(string id) => conditions.FirstOrDefault(c => c.Condition.Id == id)?.Name ?? id;
        var parts = new[] { (GroundHearing.Clearly, "clearly under"), (GroundHearing.Faintly, "faintly under"), (GroundHearing.Not, "not under") }
            .SelectMany(w => warning.Under.Where(u => u.Heard == w.Item1).Select(u => $"{w.Item2} {Name(u.Condition)}")).ToList();
        return parts.Count == 0 ? "" : $" By ear on the ground it was heard {string.Join("; ", parts)}.";
    }

    private static IReadOnlyList<KeyValuePair<Band, double>> InOrder(IReadOnlyDictionary<Band, double> bands) => [.. bands.OrderBy(b => b.Key)];

    private static string Joined(List<string> names) => $"{string.Join(", ", names.Take(names.Count - 1))}{(names.Count > 1 ? " and " : "")}{names[^1]}";

    private ConditionWarning Under(WarningHeard warning, Spectrum signal, string id, string name, bool predicted, bool recorded)
    {
        var required = _rule.Required(signal.Fraction).Decibels;
        ConditionWarning Not(string why) => new(id, name, null, null, required, null, why);
        if (predicted) return Not("published, not measured: its bands at the ear are not known");
        var open = id == TrialDocument.OpenEar;
        var throughHeadset = warning.Way == SoundWay.Headset;
        // As it stands at the ear: nothing is taken off it.
        var atEar = open || throughHeadset || recorded;
        if (throughHeadset && open) return Not("it sounds in the headset alone");
        IReadOnlyDictionary<Band, NoiseBand> At(string condition) => signal.Fraction == BandFraction.Octave ? HeardNoise.ToOctaves(noise.At(condition)) : Thirds(noise.At(condition));
        var there = At(id);
        if (there.Count == 0) return Not("its noise at the ear is not known");
        var outside = atEar ? there : At(TrialDocument.OpenEar);
        if (outside.Count == 0) return Not("the open ear was not measured, so what the sound loses is not known");
        // Where a loss is only a lower bound the sound could be anything below: the band promises nothing.
        bool Known(Band b) => there.TryGetValue(b, out var t) && !t.AtMost && outside.TryGetValue(b, out var o) && !o.AtMost;
        var usable = signal.Entries.Where(e => Known(e.Key)).ToList();
        if (usable.Count == 0) return Not("no band of the sound is known there");
        var lift = noise.Absolute ? 0 : FarAboveThreshold;
        double Loss(Band b) => atEar ? 0 : outside[b].Level.Value - there[b].Level.Value;
        AudibilityResult Judge(Func<Band, double> noiseMoves, Func<Band, double> signalMoves) => WarningSound.Judge(
            Spectrum.Of(usable.Select(e => KeyValuePair.Create(e.Key, Level.FromDecibels(e.Value.Decibels - Loss(e.Key) + signalMoves(e.Key) + lift)))),
            Spectrum.Of(there.Select(b => KeyValuePair.Create(b.Key, Level.FromDecibels(b.Value.Level.Value + noiseMoves(b.Key) + lift)))), SoundField.Diffuse, _rule);
        double Excess(Func<Band, double> noiseMoves, Func<Band, double> signalMoves) => Judge(noiseMoves, signalMoves).BestBand.Excess.Decibels;

        var judged = Judge(_ => 0, _ => 0);
        double Outside(Band b, bool up) => !outside.TryGetValue(b, out var o) ? 0 : up ? o.Level.High - o.Level.Value : o.Level.Low - o.Level.Value;
        double Worn(Band b, bool up) => atEar || !there.TryGetValue(b, out var t) ? 0 : up ? t.Level.High - t.Level.Value : t.Level.Low - t.Level.Value;
        // One donning on the ground stands for those in the noise: what another would let through of the sound is as uncertain as what it lets through of the noise.
        double Donned(Band b, bool up) => !recorded ? Worn(b, up) : !there.TryGetValue(b, out var t) ? 0 : up ? t.Level.High - t.Level.Value : t.Level.Low - t.Level.Value;
        var u = Limits.TwoSided * warning.Uncertainty;
        var excess = Limits.Around(judged.BestBand.Excess.Decibels, (Excess(b => Outside(b, true), _ => 0), Excess(b => Outside(b, false), _ => 0)),
            (Excess(b => Worn(b, true), b => Donned(b, true)), Excess(b => Worn(b, false), b => Donned(b, false))), (Excess(_ => 0, _ => u), Excess(_ => 0, _ => -u)));
        return new(id, name, Verdict(judged, excess), excess, required, judged, null) { RecordedUnder = recorded };
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
            if (names.Count > 0) parts.Add($"{words} {Joined(names)}");
        }
        var required = rows[0].Required;
        return parts.Count == 0 ? $"{warning.Name}: cannot be judged under any device. {ByEar}"
            : Invariant($"{warning.Name}: {string.Join("; ", parts)}. Figures are decibels over the masked threshold in the best band; {required:0.#} dB count as clear, the lower 95 % limit included. {ByEar}");
    }

    private static string Decibels(double value) => Invariant($"{value:0.0} dB").Replace('-', '−');
}
