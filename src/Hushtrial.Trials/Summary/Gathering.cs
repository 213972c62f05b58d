using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Claims;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Listening;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Verdicts;

namespace Hushtrial.Trials.Summary;

/// <summary>Gathers what the stages found into the results that report, JSON and page show.</summary>
internal static class Gathering
{
    public static TrialResults Of(TrialInputs inputs, MeasuredTrial measured, ReadingTable table, IReadOnlyList<PairedLoss> losses,
        TrialEffects effects, IReadOnlyList<PairResult> pairs, RobustnessResult robustness)
    {
        var document = inputs.Document;
        var used = document.Takes.Where(t => t.LeftOut is null && t.Recording is not null).Select(t => t.Recording!).ToHashSet(StringComparer.Ordinal);
        var obstacles = Publication.Obstacles(measured);
        var trust = new BandTrust(table, document, used.Any(id => (inputs.Recordings.TryGetValue(id, out var r) && r.Lossy) || (inputs.Kept.TryGetValue(id, out var k) && k.Lossy)), obstacles.Count > 0, new MovedTones(document, measured.Takes));
        var ambient = table.Ambient;
        var open = ReferenceSpectrum.Open(effects, ambient);
        var gathered = new ConditionResults(document, effects, trust, losses, measured.Absolute ? ambient : null, open, table.Readings, table.Field);
        var conditions = gathered.All();
        var openLevel = measured.Absolute ? gathered.OpenEarLevel() : null;
        double? Open(string name) => gathered.OpenEarLevel() is not null && effects.Levels[name].Level(TrialDocument.OpenEar).General is { } l ? l.Value + ambient.GetValueOrDefault(name) : null;
        var outside = document.Quantity == MeasuredQuantity.LevelDifference && measured.Absolute ? Outside(ambient, effects.Bands, measured.OutsideUncertainty(document) ?? 0) : null;
        var reference = new LevelReference(measured.Absolute && conditions.Any(c => c.FieldLevel?.A is not null) ? LevelKind.FieldRelated : LevelKind.AsRead, table.Field.Words, table.Field.Values);
        var related = reference.Kind == LevelKind.FieldRelated;
        var active = ActiveParts.Of(document, effects, trust);
        var openField = measured.Absolute ? gathered.OpenFieldLevel() : null;
        var without = outside is { A: { } a } ? Known(a, outside.StandardUncertainty) : related ? openField : openLevel;
        // Only what the open ear is compared with says what is left in another noise.
        var insertion = document.Quantity == MeasuredQuantity.InsertionLoss;
        var cabins = new OtherCabins(document, conditions, open, measured.Absolute).All(measured.Cabins);
        var noise = document.Quantity == MeasuredQuantity.LevelDifference ? OpenNoise.Of(open, null, null) : OpenNoise.Of(open, Open(QuantityName.A), Open(QuantityName.C));
        return new TrialResults
        {
            Document = document,
            Mode = measured.Absolute ? TrialMode.Absolute : TrialMode.Relative,
            RelativeReason = measured.RelativeReason,
            OpenEarLevel = openLevel,
            OpenFieldLevel = openField,
            Reference = reference,
            ActiveParts = active,
            Outside = outside,
            OpenTransfer = effects.OpenTransfer is { } transfer ? Transfer(transfer, trust) : null,
            OpenSpectrum = open,
            Conditions = conditions,
            Pairs = [.. BandComparisons.Of(document, effects, conditions, pairs).Select(p => Told(p, active))],
            PriorFree = PriorFreeCheck.Of(document, effects, pairs),
            // Where nothing may be published there is no answer that could change.
            Robustness = obstacles.Count > 0 ? robustness : robustness with { WithoutGreyed = Verdicts.Robustness.WithoutGreyed(document, measured, effects, pairs, conditions) },
            NotToPublish = obstacles,
            Claims = TrialClaims.Of(document, effects, conditions, noise),
            Exposure = measured.Absolute ? ExposureAtEar.Of(document, conditions, without, CalibrationWords(document, measured), reference) : null,
            Loudness = measured.Absolute ? LoudnessAtEar.Of(document, conditions, related ? openField : openLevel, reference.Kind) : [],
            Listening = ListeningAnswers.Of(document, measured, effects, conditions, ambient, trust.OfLevel),
            Cabins = cabins,
            Week = measured.Absolute ? new WeekAtEar(document, conditions, without, cabins, CalibrationWords(document, measured), related).Of() : null,
            Peaks = PeaksAtEar.Of(document, measured, conditions),
            PredictedPairs = insertion ? MeasuredAgainstPredicted.Of(document, effects, conditions, noise) : [],
            Shares = insertion ? SharesAtEar.Of(document, conditions, open) : [],
            Takes = [.. measured.Takes.Select(Take)],
            Histories = measured.Histories,
            Calibrations = [.. document.Channels.Select(c => Channel(c, measured))],
            Inputs = inputs.Files,
            Method = Method(effects, table, reference),
            Problems = [.. measured.Problems, .. table.Problems, .. robustness.Problems],
            Headline = Headline.Of(document, conditions, pairs, obstacles, reference),
            Version = inputs.Version,
        };
    }

    // What switching on does is said once: by the model in which the seal of a donning cancels.
    private static PairResult Told(PairResult pair, IReadOnlyList<ActivePartResult> active) =>
        active.FirstOrDefault(p => (p.Condition, p.Off) == (pair.First, pair.Second) || (p.Condition, p.Off) == (pair.Second, pair.First)) is { Sentence: { } sentence } ? pair with { OnlySentence = sentence } : pair;

    private static OutsideLevel Outside(IReadOnlyDictionary<string, double> ambient, IReadOnlyList<Band> bands, double uncertainty) => new(
        ambient.TryGetValue(QuantityName.A, out var a) ? a : null, ambient.TryGetValue(QuantityName.C, out var c) ? c : null,
        bands.Where(b => ambient.ContainsKey(QuantityName.Of(b))).ToDictionary(b => b, b => ambient[QuantityName.Of(b)]), uncertainty);

    private static SpectrumEffect Known(double level, double uncertainty)
    {
        var estimate = new Estimate(level, level - (1.96 * uncertainty), level + (1.96 * uncertainty), uncertainty, null, [new("calibration of the outside microphone", uncertainty)]);
        return new(new Effect(estimate, estimate, null), null, []);
    }

    // Ear minus outside with the ear open: what an insertion loss has and a level difference has not.
    private static SpectrumEffect Transfer(TrialEffects transfer, BandTrust trust) => new(transfer.A.Level(TrialDocument.OpenEar), transfer.C.Level(TrialDocument.OpenEar), [.. transfer.Bands.Select(b =>
    {
        var (valid, reason) = trust.Level(TrialDocument.OpenEar, b);
        return new BandEffect(b, transfer.Of(b).Level(TrialDocument.OpenEar), valid, reason);
    })]);

    private static TakeResult Take(TakeLevels take)
    {
        var first = take.Ears.Count > 0 ? take.Ears[0] : null;
        return new(take.Entry, take.Used, take.Clock, take.Seconds, Mean(take.Ears.Select(e => e.A)), Mean(take.Ears.Select(e => e.C)),
            first is null ? new Dictionary<Band, double>() : first.Bands.Keys.Where(b => take.Ears.All(e => e.Bands.ContainsKey(b)))
                .ToDictionary(b => b, b => take.Ears.Average(e => e.Bands[b])), take.Findings)
        {
            Refused = take.Refused,
            NoiseOnly = take.Gate is not { } gate ? null : new([.. gate.Spans.Select(s => (s.From, s.To))], Mean(gate.Ears.Select(e => e.A)), Mean(gate.Ears.Select(e => e.C)),
                gate.Ears[0].Bands.Keys.Where(b => gate.Ears.All(e => e.Bands.ContainsKey(b))).ToDictionary(b => b, b => gate.Ears.Average(e => e.Bands[b]))),
        };
    }

    private static double? Mean(IEnumerable<double?> levels)
    {
        var all = levels.ToList();
        return all.Count == 0 || all.Any(l => l is null) ? null : all.Average();
    }

    private static ChannelCalibration Channel(ChannelEntry channel, MeasuredTrial measured)
    {
        var calibration = measured.Calibrations.ByChannel[channel.Id];
        return new(channel.Id, calibration.IsUsable, calibration.FullScale?.Decibels, calibration.FullScale is null ? null : calibration.StandardUncertainty.Decibels,
            calibration.Drift?.Decibels, calibration.Words);
    }

    private static string CalibrationWords(TrialDocument document, MeasuredTrial measured) => MeasuredTrial.EarLogs(document).Count > 0 ? "levels logged by an instrument that is said to be calibrated"
        : document.Channels.Count == 0
        ? "readings noted from a meter that is said to be calibrated"
        : string.Join("; ", document.Channels.Where(c => !c.Outside).Select(c => measured.Calibrations.ByChannel[c.Id].Words));

    private static MethodStatement Method(TrialEffects effects, ReadingTable table, LevelReference reference)
    {
        string Number(double value) => value.ToString("0.###", CultureInfo.InvariantCulture);
        var settings = effects.Settings;
        return new("linear mixed model in dB, variance components integrated numerically over weakly informative priors; posterior mixture of normals",
            Priors.InWords(settings),
            [
                new("margin of equivalence", $"{Number(settings.MarginDecibels)} dB"), new("outside channel", settings.OutsideChannel ? "yes" : "no"),
                new("donning scatter per kind of device", settings.ScatterPerClass ? "yes" : "no"), new("step of noted readings", $"{Number(settings.ReadingStep)} dB"),
                new("joint draws", settings.Draws.ToString(CultureInfo.InvariantCulture)), new("seed", settings.Seed.ToString(CultureInfo.InvariantCulture)),
                new("bands", "one-third octaves 20 Hz to 20 kHz, base ten"), new("levels at the ear", reference.Words),
                .. table.OutsideShares.Count > 0 ? [new KeyValuePair<string, string>("share of the outside level taken off", string.Join(", ", table.OutsideShares.Select(s => $"{s.Key}: {Number(s.Value)}")))] : Array.Empty<KeyValuePair<string, string>>(),
            ], effects.A.General?.Components ?? []);
    }
}
