using Hushtrial.Hearing.Audibility;
using Hushtrial.Hearing.Loudness;
using Hushtrial.Hearing.Speech;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Samples;

/// <summary>The helicopter trial with every question of what is heard; invented like the rest.</summary>
internal static class Heard
{
    public static TrialResults Results()
    {
        var results = Helicopter.Results();
        return results with { Listening = Listening(results) };
    }

    /// <summary>The same without a calibration: rises and shares stand, levels and indices do not.</summary>
    public static TrialResults Relative()
    {
        var results = Results();
        var heard = results.Listening!;
        return results with
        {
            Mode = TrialMode.Relative, RelativeReason = "Tried out.", Calibrations = [],
            Listening = heard with
            {
                Speech = heard.Speech! with { Procedure = null, Conditions = [], Sentence = "Whether the radio is understood cannot be said: the trial is not calibrated." },
                Warnings = [.. heard.Warnings.Select(w => w with { LevelA = null })],
                Hiss = [.. heard.Hiss.Select(h => h with { Verdict = HissVerdict.RelativeOnly, LevelA = null, Bands = [.. h.Bands.Select(b => b with { On = null, Off = null, Hiss = null, Threshold = null })] })],
                Comms = heard.Comms! with { Conditions = [.. heard.Comms.Conditions.Select(c => c with { NoiseOnly = null, AsHeard = null, AllowedNoiseOnly = null, AllowedAsHeard = null })] },
                OneEarOff = null,
            },
        };
    }

    private static TrialListening Listening(TrialResults results)
    {
        (string Id, string Name)[] rows = [("open", "Open ear"), .. results.Conditions.Where(c => !c.Predicted).Select(c => (c.Condition.Id, c.Name))];
        var speech = rows.Select((r, i) => new ConditionSpeech(r.Id, r.Name, new(0.2 + (0.15 * i), 0.15 + (0.15 * i), 0.24 + (0.15 * i)), i == 2, SpeechRatings.FromSii(0.2 + (0.15 * i)), 80, 95 - (6 * i),
            [KeyValuePair.Create(ListeningRule.FixedVolume, 0.2 + (0.15 * i)), KeyValuePair.Create(ListeningRule.FixedRatio, 0.55), KeyValuePair.Create(ListeningRule.FollowsNoise, 0.35 + (0.07 * i))], null))
            .Append(new("dogwood", "Dogwood", null, false, null, null, null, [], "published, not measured: its bands at the ear are not known")).ToList();
        return new(new(new(SoundWay.Headset, 80, VocalEffort.Raised, [], 300, 3400, 2, ListeningRule.FixedVolume, "alder", "read under Alder on the ground"), SpeechProcedure.ThirdOctave, speech,
                "Radio speech of 80.0 dB(A) at the ear is understood best under Cedar, active."),
            [Warning("stall", "Stall horn", rows, 17), Warning("gear", "Gear warning with a name that is longer than any panel of a cockpit would ever bear", rows, 3)],
            [Hiss("birch-on", "Birch, active")],
            new([.. rows.Skip(1).Take(2).Select((r, i) => new ConditionComms(r.Id, r.Name, i == 1, 1 - i, 0.3, 6, 0.75, new(74, 72, 76), new(80, 78, 82), 100, 25, i == 0 ? "Talk left no pause." : null))], "NIOSH 98-126", "Birch: rises by 6.0 dB."),
            new(10, [.. rows.Skip(1).Select(r => (r.Id, r.Name, new Interval(85, 84, 86)))], "With one ear uncovered for 10 % of the time that ear gets 85.0 dB(A)."),
            ["Stall horn may be missed under Alder, passive. Confirm by ear before flight.", AudibilityRule.Caution]);
    }

    private static WarningAnswer Warning(string id, string name, (string Id, string Name)[] rows, double over)
    {
        Band[] bands = [.. Enumerable.Range(0, 8).Select(Band.ThirdOctave)];
        ConditionWarning Row((string Id, string Name) row, int i)
        {
            var judged = WarningSound.Judge(Spectrum.Of(bands, [.. bands.Select(b => 60 + over - (2.0 * i) - Math.Abs(b.Index - 4))]), Spectrum.Of(bands, [.. bands.Select(_ => 60.0)]), SoundField.Diffuse, AudibilityRule.Iso7731FromMemory);
            return new(row.Id, row.Name, judged.Verdict, new(judged.BestBand.Excess.Decibels, judged.BestBand.Excess.Decibels - 2.5, judged.BestBand.Excess.Decibels + 2.5), 13, judged, null);
        }
        return new(new(id, name, "left door post", SoundWay.Air, new("horn", 0, 5), null, [], 1), 92.4, [.. rows.Select(Row)], $"{name}: clearly heard with the open ear. Confirm by ear before flight.");
    }

    private static HissAnswer Hiss(string id, string name) => new(id, name, [.. Enumerable.Range(-9, 19).Select(Band.ThirdOctave).Select(b => new HissBand(b, 18 - (0.2 * b.Index), b.Index < -4 ? 19 - (0.2 * b.Index) : 8,
        b.Index < -4 ? null : 17.5, HearingThreshold.At(b.ExactMidband, SoundField.Diffuse).Decibels, b.Index < -4 ? -1 : 10, b.Index < -4 ? "the noise of the room" : null))],
        HissVerdict.Heard, 26.3, $"{name}: its hiss is heard in a quiet room.");
}
