using Hushtrial.Hearing.Claims;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Samples;

/// <summary>The helicopter trial with claims of every outcome, a day's exposure and loudness; invented like the rest.</summary>
internal static class Meaning
{
    private static readonly CalibrationStatement _calibration = CalibrationStatement.Of("tone of 94 dB");

    public static TrialResults Results()
    {
        var results = Helicopter.Results();
        return results with { Claims = Claims(results), Exposure = Exposure(results), Loudness = Loudness(results) };
    }

    private static List<ClaimResult> Claims(TrialResults results)
    {
        ConditionResult Of(string id) => results.Conditions.First(c => c.Condition.Id == id);
        ClaimResult Claim(string id, PublishedFigureKind kind, string words, double? q, Effect? measured, ClaimVerdict verdict, double? p, string sentence) =>
            new(id, Of(id).Name, Of(id).Device, kind, words, q, null, false, measured, null, verdict, p, sentence) { Allowance = 2, Comparability = Comparability.Of(PublishedKind.OneFrequency) };
        var open = Spectrum.Of(results.OpenSpectrum.Select(b => KeyValuePair.Create(b.Key, Level.FromDecibels(b.Value))));
        return
        [
            Claim("birch-on", PublishedFigureKind.AtLeast, "at least 20 dB", 20, Of("birch-on").Loss.A, ClaimVerdict.Supported, 0.998, "Supported: measured as said."),
            Claim("birch-on", PublishedFigureKind.AtLeast, "20 dB of active reduction at 125 Hz, more than in any other headset of its size, weight and price", 20, Helicopter.Effect(14.1, 0.4, 0.6), ClaimVerdict.Contradicted, 0.001, "Contradicted by this measurement: missed.")
                with { ActivePart = true, Band = Band.ThirdOctave(-9), Translation = [ClaimTranslation.Of(open, LevelDifference.FromDecibels(20), Frequency.FromHertz(125), FrequencyWeighting.A)] },
            Claim("cedar-on", PublishedFigureKind.UpTo, "up to 30 dB", 30, Helicopter.Effect(33, 0.7, 1.1), ClaimVerdict.Unresolved, 0.999, "Reached at 4 kHz.") with { ReachedAt = Band.ThirdOctave(6), Band = Band.ThirdOctave(6) },
            Claim("alder", PublishedFigureKind.Rating, "SNR 27 dB", 16, Of("alder").Loss.A, ClaimVerdict.Unresolved, 0.9, "The measured reduction lies above the labelled one."),
            Claim("alder", PublishedFigureKind.Octaves, "published octave means and deviations", null, Of("alder").Loss.A, ClaimVerdict.Unresolved, 0.3, "Consistent.")
                with { Standing = PublishedStanding.Consistent, Predicted = Helicopter.Estimate(21, 4) },
            Claim("alder", PublishedFigureKind.Mean, "24 dB at 63 Hz on average", 24, null, ClaimVerdict.Unresolved, null, "Not tested: in the band at 63 Hz: not trusted."),
        ];
    }

    private static TrialExposure Exposure(TrialResults results)
    {
        EarLevel Ear(double level) => EarLevel.Of(Level.FromDecibels(level), LevelDifference.FromDecibels(1), _calibration);
        ConditionExposure Row(string id, string name, double level)
        {
            var day = DayExposure.Of([new() { Name = name, Duration = TimeSpan.FromHours(3.5), AtEar = Ear(level), Outside = Ear(Helicopter.OpenA), ShareOff = 0.05 }]);
            return new(id, name, false, new(Level.FromDecibels(level), Level.FromDecibels(level - 1.96), Level.FromDecibels(level + 1.96), Level.FromDecibels(level + 1.65)), day.NormalisedLevel(TimeSpan.FromHours(8)), 0.93,
                ProtectionBands.At(Level.FromDecibels(level), ProtectionBands.UsualActionLevel),
                [.. new[] { RuleSets.EuropeanUnion, RuleSets.Niosh }.Select(day.Under).Select(r => new RuleExposure(r.Rules, r.AllowedTime, r.DosePercent, r.TimeWeightedAverage, r.Thresholds))], $"{name}: LEX,8h as drawn.");
        }
        return new(EstimateScope.General, 3.5, 10, true, [Row(TrialDocument.OpenEar, "Open ear", Helicopter.OpenA), .. results.Conditions.Where(c => !c.Predicted).Select(c => Row(c.Condition.Id, c.Name, c.EarLevel!.A!.General!.Value))],
            "With 3.5 h a day in this noise, 10 min of them with the device off, every measured condition stays below.", [ExposureRules.Deference]);
    }

    private static List<ConditionLoudness> Loudness(TrialResults results)
    {
        var open = Spectrum.Of(StationaryLoudness.Bands.Select(b => KeyValuePair.Create(b, Level.FromDecibels(Helicopter.Open(b)))));
        ConditionLoudness Of(ConditionResult c) => new(c.Condition.Id, c.Name, LoudnessComparison.Between(open,
            Spectrum.Of(StationaryLoudness.Bands.Select(b => KeyValuePair.Create(b, Level.FromDecibels(c.EarLevel!.Bands.First(e => e.Band == b).Effect.General!.Value)))), new Dictionary<Band, LevelDifference>(), SoundField.Diffuse), null);
        return [.. results.Conditions.Where(c => !c.Predicted).Take(2).Select(Of), new("cedar-on", "Cedar, active", null, "under it the band at 10 kHz is missing or not trusted")];
    }
}
