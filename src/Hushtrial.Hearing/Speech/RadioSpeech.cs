using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Speech;

/// <summary>Radio or intercom speech under a device, over the noise that is left there.</summary>
/// <param name="Index">Speech intelligibility index.</param>
/// <param name="Rating">In the words of ISO 9921.</param>
/// <param name="SpeechLevelA">Speech level at the ear.</param>
/// <param name="NoiseLevelA">A-weighted level of the residual noise, in the procedure's bands.</param>
/// <param name="SpeechOverInterference">Speech level minus speech interference level, dB; null when an octave 500 Hz to 4 kHz is missing.</param>
public sealed record RadioSpeechResult(SpeechResult Index, SpeechRatingRange Rating, Level SpeechLevelA, Level NoiseLevelA, LevelDifference? SpeechOverInterference);

/// <summary>Predicts how well radio speech of a stated level is understood.</summary>
public static class RadioSpeech
{
    /// <summary>The pass band of an aircraft voice channel, 300 Hz to 3.4 kHz: common practice, no source.</summary>
    public static (Frequency Low, Frequency High) UsualChannel { get; } = (Frequency.FromHertz(300), Frequency.FromHertz(3400));

    /// <summary>Speech level at the ear from which it is an exposure of its own: 85 dB(A), the upper action value of directive 2003/10/EC and the limit that NIOSH
    /// 98-126 recommends, both over 8 h.</summary>
    public static Level ExposureFrom { get; } = Level.FromDecibels(85);

    /// <summary>What a speech level does to the ear, with how long it takes by NIOSH 98-126 until a day's dose is full; null below <see cref="ExposureFrom"/>.</summary>
    public static string? Caution(Level speechLevelA)
    {
        if (speechLevelA.CompareTo(ExposureFrom) < 0) return null;
        var hours = RuleSets.Niosh.AllowedTime(speechLevelA) is { } t ? t.TotalHours : 0;
        var time = hours >= 1 ? FormattableString.Invariant($"{hours:0.#} h") : hours * 60 >= 1 ? FormattableString.Invariant($"{hours * 60:0.#} min") : FormattableString.Invariant($"{hours * 3600:0.#} s");
        return FormattableString.Invariant($"Speech of {speechLevelA.Decibels:0.#} dB(A) at the ear is itself a hazard to hearing, however well it is understood: ")
            + (hours <= 0 ? "the NIOSH recommendation allows no time at it. " : $"by the NIOSH recommendation {time} of talk fill a day's dose. ")
            + "Turn it down, or take more of the noise off. Local rules and licensed practice come first.";
    }

    /// <summary>Speech of one level over residual noise.</summary>
    /// <param name="residualNoise">Noise at the ear under the device, referred to the field, one-third octaves (18-band procedure) or octaves (6-band procedure).</param>
    /// <param name="speechLevelA">A-weighted level of the speech at the ear while someone talks, referred to the field.</param>
    /// <param name="effort">Shape of the speech spectrum; people talk louder into a microphone in noise.</param>
    /// <param name="channel">Pass band of the radio; speech outside is taken as absent. Null for the whole spectrum.</param>
    /// <param name="threshold">Hearing threshold levels per band, dB HL; empty for normal hearing.</param>
    /// <exception cref="ArgumentException">The thresholds do not match the bands.</exception>
    public static RadioSpeechResult Over(Spectrum residualNoise, Level speechLevelA, VocalEffort effort, (Frequency Low, Frequency High)? channel,
        IReadOnlyList<LevelDifference> threshold)
    {
        var procedure = residualNoise.Fraction == BandFraction.Octave ? SpeechProcedure.Octave : SpeechProcedure.ThirdOctave;
        var speech = Speech(procedure, speechLevelA, effort, channel);
        var noise = IntelligibilityIndex.SpectrumLevels(residualNoise, procedure);
        var index = IntelligibilityIndex.Of(new() { Procedure = procedure, Speech = speech, Noise = noise, Threshold = threshold });
        return new(index, SpeechRatings.FromSii(index.Value), speechLevelA, residualNoise.Total(FrequencyWeighting.A),
            InterferenceLevel.Of(residualNoise) is { } sil ? speechLevelA - sil : null);
    }

    // The standard spectrum cut to the channel and moved to the level.
    private static IReadOnlyList<Level> Speech(SpeechProcedure procedure, Level levelA, VocalEffort effort, (Frequency Low, Frequency High)? channel)
    {
        var table = SpeechTable.Of(procedure);
        var fraction = procedure == SpeechProcedure.Octave ? BandFraction.Octave : BandFraction.ThirdOctave;
        var bands = table.Hertz.Select(f => Band.FromNominal(fraction, f)!.Value).ToArray();
        // An octave of which a part passes is kept: the procedure has no finer bands.
        var passes = bands.Select(b => channel is not { } c || (b.UpperEdge > c.Low && b.LowerEdge < c.High)).ToArray();
        var standard = table.Speech[(int)effort];
        var total = Level.EnergySum([.. bands.Select((b, i) => (Band: b, Level: standard[i] + table.BandwidthDecibels[i], Passes: passes[i])).Where(x => x.Passes)
            .Select(x => Level.FromDecibels(x.Level) + Weightings.At(FrequencyWeighting.A, x.Band.ExactMidband))]);
        return [.. standard.Select((u, i) => passes[i] ? Level.FromDecibels(u) + (levelA - total) : Level.FromDecibels(-80))];
    }
}
