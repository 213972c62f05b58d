using Hushtrial.Hearing.Audibility;
using Hushtrial.Hearing.Speech;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Wording;

/// <summary>The words of what is heard.</summary>
internal static class ListeningWords
{
    /// <summary>The procedure with its edition.</summary>
    public static string Procedure(SpeechProcedure procedure) => "ANSI S3.5-1997, " + (procedure == SpeechProcedure.ThirdOctave ? "one-third-octave procedure" : "octave procedure");

    /// <summary>What was spoken, at which level and by which rule.</summary>
    public static string Speech(SpeechAnswer answer)
    {
        var heard = answer.Heard;
        var level = heard.LevelA is { } l ? $"{Words.Number(l)} dB(A)" : heard.Effort is not null ? "the standard level at 1\u00A0m" : "a stated spectrum";
        var shape = heard.Effort is { } effort ? $", {effort.ToString().ToLowerInvariant()} voice" : "";
        return heard.Way == SoundWay.Headset ? $"radio speech of {level} at the ear{shape}, {Rule(heard.Rule)}" : $"speech of {level} at the open ear{shape}, through the air";
    }

    /// <summary>A listening rule.</summary>
    public static string Rule(ListeningRule rule) => rule switch
    {
        ListeningRule.FixedRatio => "set to the same distance over the noise",
        ListeningRule.FollowsNoise => "following the noise by 0.42 dB per dB",
        _ => "volume left as set",
    };

    /// <summary>A verdict on a warning.</summary>
    public static string Verdict(AudibilityVerdict verdict) => verdict switch
    {
        AudibilityVerdict.Audible => "clearly heard",
        AudibilityVerdict.Doubtful => "may be missed",
        _ => "masked, not heard",
    };
}
