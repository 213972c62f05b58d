using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Samples;

/// <summary>Invented results of an air-ambulance helicopter crew: plausible in size and shape, made by formulas, measured by nobody.</summary>
internal static class Helicopter
{
    internal static readonly Band[] Bands = [.. Enumerable.Range(-16, 29).Select(Band.ThirdOctave)];

    private static readonly (string Id, string Device, string Mode, double Active, double Leak)[] _conditions =
        [("alder", "alder", "passive", 0, 1.5), ("birch-off", "birch", "passive", 0, 0), ("birch-on", "birch", "active", 1, 0), ("cedar-on", "cedar", "active", 0.8, -0.6)];

    /// <summary>The whole trial: two flights, three donnings of each measured device, one take left out, one device by published data alone.</summary>
    public static TrialResults Results()
    {
        var document = HelicopterDocument.Document();
        List<ConditionResult> conditions = [.. _conditions.Select((c, i) => Measured(document, c, i)), Published(document)];
        return new()
        {
            Document = document,
            Mode = TrialMode.Absolute,
            OpenEarLevel = new(Effect(OpenA, 0.8, 1.1), Effect(OpenA + 8.9, 0.8, 1.0), [.. Bands.Select(b => new BandEffect(b, Effect(Open(b), 0.9, 1.3), Trusted(b), Trusted(b) ? null : NotTrusted))]),
            OpenSpectrum = Bands.ToDictionary(b => b, Open),
            Conditions = conditions,
            Pairs = Pairs(conditions),
            Robustness = new([new("birch-2", [new("birch-on", 24.9, 25.6)], [new("birch-on", "cedar-on", VerdictKind.Unresolved, VerdictKind.Different, 0.4, 6.1)],
                    "Without donning birch-2 Birch, active has 25.6 dB instead of 24.9 dB; Birch, active against Cedar, active would be different (+0.4 to +6.1 dB)."),
                    new("alder-1", [new("alder", 17.2, 17.4)], [], "Without donning alder-1 Alder, passive has 17.4 dB instead of 17.2 dB; no verdict changes.")],
                [new("T09", [new("cedar-on", 22.1, 20.7)], [], "With take T09 put back Cedar, active has 20.7 dB instead of 22.1 dB; no verdict changes.")], [],
                "Each of 12 donnings was left out in turn. 1 of 6 verdicts hang on a single donning: Birch, active against Cedar, active (1 of 12).")
            {
                WithoutGreyed =
                [
                    new("from 25 Hz to 40 Hz and at 16 kHz", [new("alder", 17.2, 17.5), new("birch-on", 24.9, 25.1)], [],
                        "Without the bands from 25 Hz to 40 Hz and at 16 kHz, which are not trusted (the microphone's own noise was reached), Alder, passive has 17.5 dB instead of 17.2 dB, Birch, active has 25.1 dB instead of 24.9 dB; no verdict changes.")
                    { Why = "the microphone's own noise was reached" },
                ],
            },
            Takes = HelicopterDocument.Takes(document),
            Histories = HelicopterDocument.Histories(),
            Calibrations =
            [
                new("ear", true, 131.42, 0.25, 0.12, "Tone of 94 dB at 1 kHz from a feedback-type calibrator, before and after both flights; no correction for pressure."),
                new("cabin", true, 128.06, 0.7, null, "Read beside a reference meter in cabin noise, before the flights only."),
            ],
            Inputs =
            [
                new("trial.yaml", 8123, new string('a', 64)), new("flight-1.wav", 518_400_044, "0f343b0931126a20f133d67c2b018a3b45a4f6d1e7a5c2e49f5ac2b7b5b0d9c1"),
                new("flight-2.wav", 518_400_044, "7d865e959b2466918c9863afca942d0fb89d7c9ac0c99bafc3749504ded97730"),
            ],
            Method = new("Linear mixed model in dB, variance components integrated out over weakly informative priors",
                ["Donning scatter: lognormal, median 1.6 dB, log-sd 0.6, times 1 for over-ear devices", "Occasion: half-t3, scale 0.6 dB", "Wander: half-t3, scale 0.5 dB"],
                [new("One-third-octave filters", "base ten, class 1"), new("Time constant of screening", "0.5 s"), new("Grid nodes", "11 / 7 / 6 / 7 / 11"), new("Draws for simultaneous intervals", "200000, seed 1")],
                [new("donning", 1.32), new("occasion", 0.41), new("wander", 0.38), new("episode", 0.33), new("take", 0.52)]),
            Problems =
            [
                new("REC-021", Severity.Warning, "flight-2.wav, 0:06:41", "three clipped samples between takes", "none", "Nothing needs doing: no take holds them.", 0),
                new("TRL-007", Severity.Note, "trial.yaml, line 88, column 5", "clamp force of Cedar is missing", "a force in newton", "Add it if it was measured.", null),
            ],
            Headline = "In this helicopter Birch, active, takes most off the A-weighted level, 24.9 dB (95 %: 22.8 to 27.0 dB), and cannot be told apart from Cedar, active.",
            Version = "0.1.0",
        };
    }

    private const string NotTrusted = "lower than the microphone can be trusted, or within 3 dB of its own noise";

    /// <summary>Open-ear level of a band, dB: rotor and gearbox tones on a falling noise.</summary>
    internal static double Open(Band b) => 101 - (0.11 * Math.Pow(b.Index + 13, 2) / 2.2) - (0.9 * Math.Max(0, b.Index - 3)) + (b.Index is -15 or -12 or -9 ? 5.5 : 0) + (b.Index == 2 ? 4 : 0);

    /// <summary>Loss of a cup, dB, with the active part below 500 Hz and what it costs at 1 to 2 kHz.</summary>
    internal static double Loss(Band b, double active, double leak)
    {
        var passive = 38 / (1 + Math.Exp(-(b.Index + 4.2) / 3.1)) - (2.5 * Math.Exp(-Math.Pow((b.Index - 4) / 2.0, 2))) + 1;
        var electronics = active * ((17 * Math.Exp(-Math.Pow((b.Index + 9) / 3.4, 2))) - (2.4 * Math.Exp(-Math.Pow((b.Index - 1) / 2.2, 2))));
        return passive + electronics - (leak * (b.Index < -3 ? 1.6 : 0.7));
    }

    internal static double OpenA => Total(Bands.ToDictionary(b => b, Open));

    internal static double Total(IReadOnlyDictionary<Band, double> levels) =>
        10 * Math.Log10(levels.Sum(l => Math.Pow(10, (l.Value + Weightings.At(FrequencyWeighting.A, l.Key.ExactMidband).Decibels) / 10)));

    /// <summary>A repeatable wobble of about ±1.</summary>
    internal static double Wobble(int a, int b) => Math.Sin((a * 12.9898) + (b * 78.233)) * 0.7 + Math.Sin((a * 3.1) + (b * 7.7)) * 0.3;

    internal static bool Trusted(Band b) => b.Index is > -16 and < 11;

    internal static Estimate Estimate(double value, double sd) => new(value, value - (1.96 * sd), value + (1.96 * sd), sd, null,
        [new("donning", sd * 0.82), new("sampling inside takes", sd * 0.35), new("wander between readings", sd * 0.3), new("gain drift", sd * 0.1), new("cable under the cushion", sd * 0.3)]);

    internal static Effect Effect(double value, double worn, double general) => new(Estimate(value, worn), Estimate(value + 0.02, general), null);

    private static ConditionResult Measured(TrialDocument document, (string Id, string Device, string Mode, double Active, double Leak) c, int seed)
    {
        var condition = document.Conditions.Single(x => x.Id == c.Id);
        var device = document.Devices.Single(d => d.Id == c.Device);
        double[] donning = [.. Enumerable.Range(0, 3).Select(f => Wobble((seed * 2) + 3, f + 1) * 1.9)];
        double Mean(Band b) => Loss(b, c.Active, c.Leak);
        var ear = Bands.ToDictionary(b => b, b => Open(b) - Mean(b));
        var lossA = OpenA - Total(ear);
        BandEffect Band(Band b, double value, bool level) => new(b, Effect(value, 0.6 + (0.02 * Math.Abs(b.Index)), 1.0 + (b.Index < -3 ? 0.7 : 0.2)), Trusted(b) && !(c.Id == "birch-on" && b.Index == 10),
            !Trusted(b) ? NotTrusted : c.Id == "birch-on" && b.Index == 10 ? "hiss of the electronics above the residual noise" : b.Index > 8 && c.Id == "cedar-on" ? "microphone noise reached" : null,
            LowerBoundOnly: b.Index is 9 or 10 && c.Id == "cedar-on");
        var fits = Enumerable.Range(0, 3).Select(f => new FitLoss($"{c.Device}-{f + 1}", f < 2 ? "flight-1" : "flight-2", null, 2, lossA + donning[f],
            lossA - 6 + donning[f], Bands.Where(Trusted).ToDictionary(b => b, b => Mean(b) + donning[f] * (b.Index < -3 ? 1.3 : 0.7) + 0.5 * Wobble(b.Index, f + seed)))).ToList();
        return new(condition, device, $"{device.Name}, {c.Mode}", 3, 6, new(Effect(lossA, 0.62, 1.06), Effect(lossA - 6.1, 0.65, 1.1), [.. Bands.Select(b => Band(b, Mean(b), level: false))]),
            new(Effect(OpenA - lossA, 0.9, 1.3), Effect(OpenA - lossA + 13, 0.9, 1.3), [.. Bands.Select(b => Band(b, ear[b], level: true))]), Estimate(lossA + 0.1, 1.05), fits, false);
    }

    private static ConditionResult Published(TrialDocument document)
    {
        double[] means = [17.5, 20.1, 25.3, 28.4, 34.0, 41.2, 42.8];
        var bands = Enumerable.Range(-3, 7).Select(i => Band.Octave(i)).Select((b, i) => new BandEffect(b,
            new(null, new(means[i], means[i] - 9, means[i] + 9, 4.5, null, [new("spread over test subjects", 4.3), new("low-frequency bias of threshold data", 1.2)]), "predicted from published data"), true, "published")).ToList();
        var a = new Effect(null, new(25.2, 16.9, 33.1, 4.2, null, [new("spread over test subjects", 4.0), new("low-frequency bias of threshold data", 1.2)]), "predicted from published data");
        return new(document.Conditions.Single(x => x.Id == "dogwood"), document.Devices.Single(d => d.Id == "dogwood"), "Dogwood", 0, 0, new(a, null, bands), null, null, [], true);
    }

    private static List<PairResult> Pairs(List<ConditionResult> conditions)
    {
        var pairs = new List<PairResult>();
        for (var i = 0; i < conditions.Count; i++)
            for (var j = i + 1; j < conditions.Count; j++)
            {
                Estimate g1 = conditions[i].Loss.A!.General!, g2 = conditions[j].Loss.A!.General!;
                var predicted = conditions[i].Predicted || conditions[j].Predicted;
                var general = Verdict(conditions[i], conditions[j], g1.Value - g2.Value, predicted ? 4.5 : 1.25);
                pairs.Add(new(conditions[i].Condition.Id, conditions[j].Condition.Id, predicted ? null : Verdict(conditions[i], conditions[j], g1.Value - g2.Value, 0.6),
                    general, general.Verdict == VerdictKind.Unresolved && !predicted ? 5 : null)
                {
                    Bands = predicted ? [] : [.. conditions[i].Loss.Bands.Zip(conditions[j].Loss.Bands, Difference)],
                    BandSentence = predicted ? null : $"{conditions[i].Name} keeps out more than {conditions[j].Name} from 125 Hz to 250 Hz, and less at no band that can be told.",
                    Only = conditions[i].Device == conditions[j].Device ? OnlyDifference.Mode : null,
                    OnlySentence = conditions[i].Device == conditions[j].Device ? "Switching Birch on adds 7.3 dB to its A-weighted loss (3.9 to 10.7); most at 125 Hz, 17.0 dB." : null,
                });
            }
        return pairs;
    }

    private static BandDifference Difference(BandEffect a, BandEffect b)
    {
        BandContrast Contrast(double sd)
        {
            var d = a.Effect.General!.Value - b.Effect.General!.Value;
            return new(d, d - (1.96 * sd), d + (1.96 * sd), d - (3.1 * sd), d + (3.1 * sd));
        }
        return new(a.Band, Contrast(0.6), Contrast(1.1), a.Valid && b.Valid && !a.LowerBoundOnly && !b.LowerBoundOnly);
    }

    private static PairVerdict Verdict(ConditionResult first, ConditionResult second, double d, double sd)
    {
        double l95 = d - (2.7 * sd), h95 = d + (2.7 * sd), l90 = d - (2.3 * sd), h90 = d + (2.3 * sd);
        bool different = l95 > 0 || h95 < 0, inside = l90 > -2 && h90 < 2;
        var kind = different ? inside ? VerdictKind.DifferentWithinMargin : VerdictKind.Different : inside ? VerdictKind.Equivalent : VerdictKind.Unresolved;
        var words = FormattableString.Invariant($"{Math.Abs(d):F1} dB (95 %: {Math.Min(Math.Abs(l95), Math.Abs(h95)):F1} to {Math.Max(Math.Abs(l95), Math.Abs(h95)):F1} dB)");
        var sentence = kind switch
        {
            VerdictKind.Unresolved => FormattableString.Invariant($"{first.Name} and {second.Name} cannot be told apart: differences from {l95:F1} to {h95:F1} dB remain possible.").Replace('-', '−'),
            VerdictKind.Equivalent => $"{first.Name} and {second.Name} are equivalent within ±2.0 dB.",
            _ => $"{(d > 0 ? first : second).Name} takes away {words} more than {(d > 0 ? second : first).Name}.",
        };
        return new(Estimate(d, sd), l95, h95, l90, h90, kind, d > 0 ? 0.97 : 0.03, inside ? 0.96 : 0.2, kind == VerdictKind.Unresolved, sentence);
    }
}
