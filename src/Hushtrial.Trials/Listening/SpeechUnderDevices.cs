using Hushtrial.Hearing.Speech;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using static System.FormattableString;

namespace Hushtrial.Trials.Listening;

/// <summary>Speech intelligibility index of the stated speech over the noise that is left under each condition.</summary>
/// <remarks>Source: ANSI S3.5-1997, for average speech and listeners with normal hearing: the one-third-octave procedure where all its bands are known, else the octave procedure.
/// Speech and noise stand at the ear microphone; what the ear adds is in both.</remarks>
internal sealed class SpeechUnderDevices
{
    private readonly SpeechHeard _heard;
    private readonly HeardNoise _noise;
    private readonly BandFraction _fraction;
    private readonly Spectrum _speech;
    private readonly double _levelA;

    private SpeechUnderDevices(SpeechHeard heard, HeardNoise noise, BandFraction fraction)
    {
        (_heard, _noise, _fraction) = (heard, noise, fraction);
        var shape = heard.Effort is { } effort ? SpeechSpectrum.Standard(fraction, effort) : Stated(heard.Bands, fraction);
        var through = SpeechSpectrum.Through(shape, Hertz(heard.LowHertz), Hertz(heard.HighHertz));
        _speech = heard.LevelA is { } level ? SpeechSpectrum.AtLevel(through, Level.FromDecibels(level)) : through;
        _levelA = _speech.Total(FrequencyWeighting.A).Decibels;
    }

    /// <summary>The answer.</summary>
    public static SpeechAnswer Of(SpeechHeard heard, HeardNoise noise, IReadOnlyList<ConditionResult> conditions)
    {
        if (!noise.Absolute)
            return new(heard, null, [], "Whether the radio is understood cannot be said: the trial is not calibrated, so a speech level in decibels has no noise level to stand against.");
        var fraction = noise.Bands.Any(b => b.Fraction == BandFraction.ThirdOctave) && heard.Bands.All(b => b.Key.Fraction == BandFraction.ThirdOctave) ? BandFraction.ThirdOctave : BandFraction.Octave;
        if (Passing(heard, fraction) is { } why) return new(heard, null, [], why);
        var under = new SpeechUnderDevices(heard, noise, fraction);
        List<ConditionSpeech> rows = [under.Under(TrialDocument.OpenEar, "Open ear", predicted: false), .. conditions.Select(c => under.Under(c.Condition.Id, c.Name, c.Predicted))];
        var known = rows.Any(r => r.Index is not null);
        return new(heard, known ? fraction == BandFraction.ThirdOctave ? SpeechProcedure.ThirdOctave : SpeechProcedure.Octave : null, rows, under.Sentence(rows));
    }

    private static string? Passing(SpeechHeard heard, BandFraction fraction) =>
        (heard.Effort is not null ? Bands(fraction) : heard.Bands.Select(b => b.Key)).Any(b => !(b.UpperEdge.Hertz <= heard.LowHertz) && !(b.LowerEdge.Hertz >= heard.HighHertz))
            ? null : "Whether the radio is understood cannot be said: no band of the speech lies in the stated pass band.";

    private ConditionSpeech Under(string id, string name, bool predicted)
    {
        ConditionSpeech Not(string why) => new(id, name, null, false, null, null, null, [], why);
        if (predicted) return Not("published, not measured: its bands at the ear are not known");
        var bands = _fraction == BandFraction.Octave ? HeardNoise.ToOctaves(_noise.At(id)) : _noise.At(id);
        var needed = Bands(_fraction);
        if (_noise.Missing(id, needed, bands) is { } missing) return Not(missing);
        if (_noise.A(id) is not { } levelA) return Not("its level at the ear is not known");
        var there = needed.ToDictionary(b => b, b => bands[b]);
        if (_heard.Way == SoundWay.Air) return Through(id, name, there, levelA);
        if (Shift(_heard.Rule, id) is not { } shift) return Not("the level under the condition at which the volume was set is not known");
        double Index(Func<Interval, double> of, double moved) => SpeechSpectrum.Index(Moved(moved), Limits.Spectrum(there, of)).Value;
        var u = Limits.TwoSided * _heard.Uncertainty;
        var best = Index(n => n.Value, shift);
        var index = Limits.Around(best, (Index(n => n.Low, shift), Index(n => n.High, shift)), (Index(n => n.Value, shift + u), Index(n => n.Value, shift - u)));
        return new(id, name, Clamped(index), there.Values.Any(b => b.AtMost), SpeechRatings.FromSii(best), _levelA + shift, levelA.Value,
            [.. Enum.GetValues<ListeningRule>().Select(r => (Rule: r, Shift: Shift(r, id))).Where(r => r.Shift is not null).Select(r => KeyValuePair.Create(r.Rule, Index(n => n.Value, r.Shift!.Value)))], null);
    }

    /// <summary>Speech through the air loses what the noise loses: an uncertain loss moves both.</summary>
    private ConditionSpeech Through(string id, string name, Dictionary<Band, NoiseBand> there, Interval levelA)
    {
        var open = id == TrialDocument.OpenEar;
        var openBands = _fraction == BandFraction.Octave ? HeardNoise.ToOctaves(_noise.At(TrialDocument.OpenEar)) : _noise.At(TrialDocument.OpenEar);
        if (!open && _speech.Bands.Where(there.ContainsKey).Any(b => !openBands.ContainsKey(b)))
            return new(id, name, null, false, null, null, null, [], "the open ear was not measured in every band, so what the speech loses is not known");
        double LossOf(Band b) => open ? 0 : openBands[b].Level.Value - there[b].Level.Value;
        double Half(Band b, bool up) => open ? 0 : up ? there[b].Level.High - there[b].Level.Value : there[b].Level.Value - there[b].Level.Low;
        double Index(Func<Band, double> noiseMoves, Func<Band, double> speechMoves) => SpeechSpectrum.Index(
            Spectrum.Of(_speech.Entries.Where(e => there.ContainsKey(e.Key)).Select(e => KeyValuePair.Create(e.Key, e.Value - LevelDifference.FromDecibels(LossOf(e.Key) - speechMoves(e.Key))))),
            Spectrum.Of(there.Select(b => KeyValuePair.Create(b.Key, Level.FromDecibels(b.Value.Level.Value + noiseMoves(b.Key)))))).Value;
        var u = Limits.TwoSided * _heard.Uncertainty;
        double Open(Band b, bool up) => openBands.TryGetValue(b, out var o) ? up ? o.Level.High - o.Level.Value : o.Level.Low - o.Level.Value : 0;
        var best = Index(_ => 0, _ => 0);
        var index = Limits.Around(best, (Index(b => Open(b, true), _ => 0), Index(b => Open(b, false), _ => 0)), (Index(_ => 0, _ => u), Index(_ => 0, _ => -u)),
            (Index(b => Half(b, true), b => Half(b, true)), Index(b => -Half(b, false), b => -Half(b, false))));
        var atEar = Spectrum.Of(_speech.Entries.Where(e => there.ContainsKey(e.Key)).Select(e => KeyValuePair.Create(e.Key, e.Value - LevelDifference.FromDecibels(LossOf(e.Key)))));
        return new(id, name, Clamped(index), there.Values.Any(b => b.AtMost), SpeechRatings.FromSii(best), atEar.Total(FrequencyWeighting.A).Decibels, levelA.Value, [], null);
    }

    /// <summary>By how much the speech level changes from where it was set; null when that is not known.</summary>
    private double? Shift(ListeningRule rule, string condition)
    {
        if (rule == ListeningRule.FixedVolume) return 0;
        if (_heard.SetUnder is not { } set || _noise.A(set) is not { } from || _noise.A(condition) is not { } to) return null;
        var noise = LevelDifference.FromDecibels(to.Value - from.Value);
        return rule == ListeningRule.FixedRatio ? noise.Decibels : HeadsetVolume.Following(noise).Decibels;
    }

    private Spectrum Moved(double by) => Spectrum.Of(_speech.Entries.Select(e => KeyValuePair.Create(e.Key, e.Value + LevelDifference.FromDecibels(by))));

    private static Interval Clamped(Interval i) => new(i.Value, Math.Max(0, i.Low), Math.Min(1, i.High));

    private static IReadOnlyList<Band> Bands(BandFraction fraction) =>
        [.. IntelligibilityIndex.Midbands(fraction == BandFraction.Octave ? SpeechProcedure.Octave : SpeechProcedure.ThirdOctave).Select(f => Band.FromNominal(fraction, f.Hertz)!.Value)];

    /// <summary>Stated bands in the procedure's width; one-third octaves are summed to octaves as far as they are there.</summary>
    internal static Spectrum Stated(IReadOnlyList<KeyValuePair<Band, double>> bands, BandFraction fraction) => bands[0].Key.Fraction == fraction
        ? Spectrum.Of(bands.Select(b => KeyValuePair.Create(b.Key, Level.FromDecibels(b.Value))))
        : Spectrum.Of(Band.Octaves.Where(o => bands.Any(b => o.Thirds.Contains(b.Key)))
            .Select(o => KeyValuePair.Create(o, Level.EnergySum([.. bands.Where(b => o.Thirds.Contains(b.Key)).Select(b => Level.FromDecibels(b.Value))]))));

    private static Frequency? Hertz(double? hertz) => hertz is { } f ? Frequency.FromHertz(f) : null;

    private string Sentence(List<ConditionSpeech> rows)
    {
        var what = _heard.Way == SoundWay.Headset ? "Radio speech" : "Speech in the cabin";
        var worn = rows.Where(r => r.Condition != TrialDocument.OpenEar && r.Index is not null).OrderByDescending(r => r.Index!.Value).ToList();
        var open = rows.FirstOrDefault(r => r.Condition == TrialDocument.OpenEar)?.Index;
        if (worn.Count == 0)
            return $"How well {char.ToLowerInvariant(what[0])}{what[1..]} is understood cannot be said: {rows.Where(r => r.Condition != TrialDocument.OpenEar).Select(r => r.WhyNot).FirstOrDefault(w => w is not null) ?? "no device was measured"}.";
        var head = Invariant($"{what} of {_levelA:0.0} dB(A) at {(_heard.Way == SoundWay.Headset ? "the ear" : "the open ear")}{RuleWords()} is understood ");
        var best = worn[0];
        var text = head + Invariant($"best under {Told(best)}");
        if (worn.Count > 1)
        {
            var least = worn[^1];
            text += $"; least under {Told(least, "")}" + (best.Index!.Low <= least.Index!.High ? ", and the two intervals overlap" : "");
        }
        return text + (open is null ? "" : Invariant($"; with the open ear the index is {open.Value:0.00}")) + ".";
    }

    private string RuleWords() => _heard.Way == SoundWay.Air ? "" : _heard.Rule switch
    {
        ListeningRule.FixedRatio => ", set again to the same distance over the noise under each device,",
        ListeningRule.FollowsNoise => ", set again under each device as field data show,",
        _ => ", the volume left as set,",
    };

    private static string Told(ConditionSpeech row, string by = "in the words of ISO 9921 ") => Invariant($"{row.Name}: index {(row.AtLeast ? "at least " : "")}{row.Index!.Value:0.00} (95 %: {row.Index.Low:0.00} to {row.Index.High:0.00}), {by}‘{row.Rating}’");
}
