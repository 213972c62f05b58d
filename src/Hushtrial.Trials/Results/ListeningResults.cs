using Hushtrial.Hearing.Audibility;
using Hushtrial.Hearing.Speech;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Results;

/// <summary>A number with its 95 % interval.</summary>
public sealed record Interval(double Value, double Low, double High);

/// <summary>Speech under one condition.</summary>
/// <param name="Condition">Identity of the condition, or 'open'.</param>
/// <param name="Name">Its name for readers.</param>
/// <param name="Index">Speech intelligibility index, 0…1; null when it cannot be calculated.</param>
/// <param name="AtLeast">True when the noise is known as a bound only, so that the index is at least this.</param>
/// <param name="Rating">In the words of ISO 9921; null without an index.</param>
/// <param name="SpeechLevelA">A-weighted level of the speech at the ear, dB; null without an index.</param>
/// <param name="NoiseLevelA">A-weighted level of the noise in the procedure's bands, dB; null without an index.</param>
/// <param name="ByRule">Index under each listening rule; for speech through the air, which nobody turns up, empty.</param>
/// <param name="WhyNot">Why there is none; null when there is.</param>
public sealed record ConditionSpeech(string Condition, string Name, Interval? Index, bool AtLeast, SpeechRatingRange? Rating, double? SpeechLevelA, double? NoiseLevelA,
    IReadOnlyList<KeyValuePair<ListeningRule, double>> ByRule, string? WhyNot);

/// <summary>Whether speech is understood, condition by condition.</summary>
/// <param name="Heard">The speech as stated.</param>
/// <param name="Procedure">The procedure used; null when nothing was calculated.</param>
/// <param name="Conditions">The open ear first, then the conditions in the document's order; empty when nothing can be said.</param>
/// <param name="Sentence">The answer in plain words, or why there is none.</param>
public sealed record SpeechAnswer(SpeechHeard Heard, SpeechProcedure? Procedure, IReadOnlyList<ConditionSpeech> Conditions, string Sentence);

/// <summary>One warning sound under one condition.</summary>
/// <param name="Condition">Identity of the condition, or 'open'.</param>
/// <param name="Name">Its name for readers.</param>
/// <param name="Verdict">Clearly heard only when the lower limit meets the rule; null when it cannot be judged.</param>
/// <param name="Excess">How far the sound stands over the masked threshold in its best band, dB.</param>
/// <param name="Required">The excess the rule asks for there, dB.</param>
/// <param name="Judgement">The judgement at the estimate, with its bands.</param>
/// <param name="WhyNot">Why there is none; null when there is.</param>
public sealed record ConditionWarning(string Condition, string Name, AudibilityVerdict? Verdict, Interval? Excess, double Required, AudibilityResult? Judgement, string? WhyNot)
{
    /// <summary>Whether the sound was recorded under the device on the ground; else the device's loss was taken off its level at the open ear.</summary>
    public bool RecordedUnder { get; init; }

    /// <summary>What was heard by ear on the ground; null when nobody said. It never makes a verdict better: the ground is quiet.</summary>
    public GroundHearing? HeardOnGround { get; init; }

    /// <summary>Who listened and how, as written.</summary>
    public string? HeardBy { get; init; }
}

/// <summary>Whether one warning sound is heard, condition by condition.</summary>
/// <param name="Warning">The sound as stated.</param>
/// <param name="LevelA">Its A-weighted level where it was taken, dB re 20 µPa; null in relative mode.</param>
/// <param name="Conditions">The open ear first, then the conditions in the document's order; empty when nothing can be said.</param>
/// <param name="Sentence">The answer in plain words, or why there is none.</param>
public sealed record WarningAnswer(WarningHeard Warning, double? LevelA, IReadOnlyList<ConditionWarning> Conditions, string Sentence);

/// <summary>What a quiet room shows of a device's own hiss.</summary>
public enum HissVerdict
{
    /// <summary>A band in which the hiss was found lies over the threshold of hearing.</summary>
    Heard,

    /// <summary>No band does, and none was hidden that could.</summary>
    NotHeard,

    /// <summary>What could be found lies under the threshold, yet room or microphone hide bands in which it might not.</summary>
    Hidden,

    /// <summary>Nothing is calibrated: only the rise is known.</summary>
    RelativeOnly,
}

/// <summary>One band of a quiet pair.</summary>
/// <param name="Band">The band.</param>
/// <param name="On">Level with the electronics on, dB; null in relative mode, as all levels here.</param>
/// <param name="Off">Level with them off, dB.</param>
/// <param name="Hiss">Level of the hiss alone, on less off by energy, dB; null when it is hidden.</param>
/// <param name="Threshold">Threshold of hearing, dB; null outside 20 Hz to 16 kHz.</param>
/// <param name="Rise">On minus off, dB.</param>
/// <param name="HiddenBy">'the microphone’s own noise' or 'the noise of the room'; null when the hiss was found.</param>
public sealed record HissBand(Band Band, double? On, double? Off, double? Hiss, double? Threshold, double Rise, string? HiddenBy);

/// <summary>The own hiss of one device.</summary>
/// <param name="Condition">Identity of the condition.</param>
/// <param name="Name">Its name for readers.</param>
/// <param name="Bands">Band by band, 100 Hz to 10 kHz as far as measured.</param>
/// <param name="Verdict">The verdict.</param>
/// <param name="LevelA">A-weighted level of the hiss over the bands in which it was found, dB; null when in none, or in relative mode.</param>
/// <param name="Sentence">In plain words.</param>
public sealed record HissAnswer(string Condition, string Name, IReadOnlyList<HissBand> Bands, HissVerdict Verdict, double? LevelA, string Sentence);

/// <summary>What radio and intercom add under one condition.</summary>
/// <param name="Condition">Identity of the condition.</param>
/// <param name="Name">Its name for readers.</param>
/// <param name="Reckoned">True when reckoned from the stated speech level and talk share; false when takes with radio on show it.</param>
/// <param name="Takes">Number of takes with radio on.</param>
/// <param name="TalkShare">Share of the time with talk, 0…1.</param>
/// <param name="Added">What it adds to the A-weighted level, dB.</param>
/// <param name="EnergyShare">Its share of the sound energy, 0…1: of the dose under a 3 dB rule.</param>
/// <param name="NoiseOnly">Level without it, dB re 20 µPa; null in relative mode.</param>
/// <param name="AsHeard">Level with it, dB re 20 µPa; null in relative mode.</param>
/// <param name="AllowedNoiseOnly">Hours until the dose is 100 % without it; null in relative mode or when the rule set has no such time.</param>
/// <param name="AllowedAsHeard">Hours with it.</param>
/// <param name="Remark">What has to be known with it; null for nothing.</param>
public sealed record ConditionComms(string Condition, string Name, bool Reckoned, int Takes, double TalkShare, double Added, double EnergyShare, Interval? NoiseOnly, Interval? AsHeard,
    double? AllowedNoiseOnly, double? AllowedAsHeard, string? Remark);

/// <summary>What radio and intercom add to the noise, noise only and as heard side by side.</summary>
/// <param name="Conditions">The conditions of which it is known.</param>
/// <param name="Rules">Name of the rule set behind the hours.</param>
/// <param name="Sentence">In plain words.</param>
public sealed record CommsAnswer(IReadOnlyList<ConditionComms> Conditions, string Rules, string Sentence);

/// <summary>One ear uncovered for a share of the time.</summary>
/// <param name="Percent">The share, 0…100.</param>
/// <param name="Conditions">Level at the uncovered ear over the whole time by condition, dB re 20 µPa.</param>
/// <param name="Sentence">In plain words.</param>
public sealed record OneEarOffAnswer(double Percent, IReadOnlyList<(string Condition, string Name, Interval Level)> Conditions, string Sentence);

/// <summary>Whether radio and warnings are heard, what the device itself adds, and what has to be read with it.</summary>
/// <param name="Speech">Null when not asked.</param>
/// <param name="Warnings">Every warning sound asked about.</param>
/// <param name="Hiss">Every quiet pair that could be measured.</param>
/// <param name="Comms">Null when nothing is known of it.</param>
/// <param name="OneEarOff">Null when not asked, or in relative mode.</param>
/// <param name="Cautions">Unheard warnings, too much quiet, and the check by ear.</param>
public sealed record TrialListening(SpeechAnswer? Speech, IReadOnlyList<WarningAnswer> Warnings, IReadOnlyList<HissAnswer> Hiss, CommsAnswer? Comms, OneEarOffAnswer? OneEarOff,
    IReadOnlyList<string> Cautions);
