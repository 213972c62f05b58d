using Hushtrial.Hearing.Cabins;
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
        return results with { Claims = Claims(results), Exposure = Exposure(results), Loudness = Loudness(results), Shares = Shares(results), Cabins = Cabins(results), Week = Week(), Peaks = Peaks(results), PredictedPairs = PredictedPairs(results) };
    }

    private static List<EnergyShareResult> Shares(TrialResults results) => [.. results.Conditions.Where(c => !c.Predicted).Select(c =>
    {
        var left = Spectrum.Of(results.OpenSpectrum.Select(b => KeyValuePair.Create(b.Key, Level.FromDecibels(b.Value - c.Loss.Bands.First(l => l.Band == b.Key).Effect.General!.Value))));
        var shares = EnergyShares.Of(left, FrequencyWeighting.A);
        var octaves = EnergyShares.ByOctave(shares);
        return new EnergyShareResult(c.Condition.Id, c.Name, shares, octaves, octaves.MaxBy(o => o.Value).Key, 2.7, $"{c.Name}: 47 % of the A-weighted energy left lies in the octave at 125 Hz.");
    })];

    private static TrialWeek Week()
    {
        EarLevel Ear(double level) => EarLevel.Of(Level.FromDecibels(level), LevelDifference.FromDecibels(1), _calibration);
        var duty = DayExposure.Of([new() { Name = "flights", Duration = TimeSpan.FromHours(3), AtEar = Ear(72), Outside = Ear(96), ShareOff = 0.05, Communication = Ear(82), CommunicationShare = 0.2 }, new() { Name = "loading", Duration = TimeSpan.FromHours(0.5), AtEar = Ear(72), Outside = Ear(96), OneEarUncovered = true }]);
        var day = new WeekDay("duty day", 4, [new("flights", 3, "alder", null, 9, false, null, null, 82, 20), new("loading", 0.5, "alder", null, 0, true, null, null, null, 0)]);
        ExposureRules[] rules = [RuleSets.EuropeanUnion, RuleSets.Niosh];
        var level = WeekExposure.Level40Hours([duty, duty, duty, duty]);
        return new(EstimateScope.General, [new(day, duty.NormalisedLevel(TimeSpan.FromHours(8)), duty.Parts(), [.. rules.Select(duty.Under)])], level,
            [.. RuleSets.EuropeanUnion.Thresholds.Select(t => new WeekStanding(RuleSets.EuropeanUnion, t, Standing.Unresolved))], null, "A week of 4 × ‘duty day’ as drawn.", [ExposureRules.Deference]);
    }

    private static TrialPeaks Peaks(TrialResults results)
    {
        ConditionPeaks Row(string id, string name, double peak, bool full) => new(id, name, peak, [peak - 2, peak - 0.7, peak], full, [(RuleSets.EuropeanUnion, PeakCheck.Against(RuleSets.EuropeanUnion, Level.FromDecibels(128), Level.FromDecibels(peak)))]);
        return new([Row(TrialDocument.OpenEar, "Open ear", 128, true), .. results.Conditions.Where(c => !c.Predicted).Select((c, i) => Row(c.Condition.Id, c.Name, 112 - i, false))], 128.4, "The highest peak in the takes was 128.0 dB(C).", ["The recorder is full at a peak of 128 dB, unweighted."]);
    }

    private static List<PredictedPair> PredictedPairs(TrialResults results) => [.. results.Conditions.Where(c => !c.Predicted).SelectMany(m => results.Conditions.Where(c => c.Predicted)
        .Select((p, i) => new PredictedPair(m.Condition.Id, m.Name, p.Condition.Id, p.Name, Helicopter.Estimate(-3 + i, 5), 0.3, $"{m.Name}, measured, beside {p.Name}, predicted and not measured: cannot be told from it.")))];

    private static List<CabinResult> Cabins(TrialResults results)
    {
        CabinEntry Entry(string id, string name) => new(id, name, "invented", [], null, null, null, null, null, null, null);
        var noise = Spectrum.Of(Helicopter.Bands.Select(b => KeyValuePair.Create(b, Level.FromDecibels(Helicopter.Open(b) - 9))));
        CarriedCondition Carried(ConditionResult c, int i) => c.Predicted
            ? new(c.Condition.Id, c.Name, true, new(null, Helicopter.Estimate(26, 5.5), "published"), null, new(null, Helicopter.Estimate(60, 5.5), "published"), null, false, 0, null, [], new Dictionary<Band, double>(), ["predicted from published threshold data; not measured"])
            : i == 3 ? new(c.Condition.Id, c.Name, false, null, null, null, null, false, 0.4, "40 % of this noise’s A-weighted energy lies in bands without a trusted loss", [], new Dictionary<Band, double>(), [])
            : new(c.Condition.Id, c.Name, false, Helicopter.Effect(18 + (3 * i), 0.8, 1.2), Helicopter.Effect(12 + i, 0.8, 1.2), Helicopter.Effect(68 - (3 * i), 1, 1.4), Helicopter.Effect(80 - i, 1, 1.4), i == 2, 0.02, null, [17 + (3 * i), 19 + (3 * i)],
                new Dictionary<Band, double> { [Band.Octave(-3)] = 1 }, i == 2 ? [$"{c.Name}: at least this loss; 12 % of what is left lies in bands in which the microphone’s own noise was reached."] : []);
        return
        [
            new(Entry("four-blade", "a quieter four-blade cabin with a name that is long enough to be broken into lines on a phone"), "typed levels: invented", noise, 86.2, 97.9, [.. results.Conditions.Select(Carried)],
                "Carried to a quieter four-blade cabin (86.2 dB(A)), the measured bands give from 18.0 to 24.0 dB.", ["Nothing was measured in this cabin."]),
            new(Entry("lost", "a cabin without its recording"), "the recording 'x' could not be read", null, null, null, [], "Nothing can be said of a cabin without its recording: the recording 'x' could not be read.", []),
        ];
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
