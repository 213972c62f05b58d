using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Synthesis;

/// <summary>The demo trial of an air-ambulance crew: Alder (with and without spectacles), Birch (passive and active), Cedar and the moulded
/// plug Dogwood, three flights, open-ear brackets, one radio call, a calibrator before and after, what has to be heard, and the truth beside it.</summary>
public static class HelicopterTrial
{
    private const int Rate = 48_000;
    private const double TakeSeconds = 12;
    private const double BetweenTakes = 3;
    private const double ChangeSeconds = 14;
    private const double OwnNoiseDensityLevel = -12.5;
    private static readonly string[][] _orders =
    [
        ["open", "alder", "birch", "open", "cedar", "alder-spectacles", "open"],
        ["open", "cedar", "alder", "open", "alder-spectacles", "birch", "open"],
        ["open", "birch", "alder-spectacles", "open", "alder", "cedar", "open"],
    ];

    /// <summary>Makes the trial.</summary>
    /// <param name="seed">The same seed gives the same samples.</param>
    public static SyntheticTrial Make(ulong seed)
    {
        var conditions = MadeConditions();
        var draws = new Draws(seed);
        var truthGain = 127.2 + (0.3 * draws.Normal());
        var takes = new List<TakeEntry>();
        var recordings = new List<SyntheticRecording>();
        var worn = conditions.ToDictionary(c => c.Id, _ => new List<Func<double, double>>());
        for (var flight = 0; flight < _orders.Length; flight++)
            recordings.Add(MakeFlight(flight, conditions, draws, draws.Split(), truthGain, takes, worn));
        recordings.Add(Quiet("quiet.wav", draws.Split(), truthGain));
        var calibratorError = 0.15 * draws.Normal();
        recordings.Add(Calibrator("calibrator-before.wav", truthGain + calibratorError, draws.Split()));
        recordings.Add(Calibrator("calibrator-after.wav", truthGain + calibratorError - 0.08, draws.Split()));
        recordings.AddRange(HelicopterListening.Recordings(seed, OwnNoiseDensityLevel, truthGain));
        takes.Add(HelicopterListening.Take(takes.Count + 1));
        return new(HelicopterDocument.Write(takes), recordings, Truth(seed, conditions, worn, draws.Split()));
    }

    private sealed record MadeCondition(string Id, string Donned, LossCurve Loss, double Factor);

    private static List<MadeCondition> MadeConditions() =>
    [
        new("alder", "alder", HelicopterCabin.AlderPassive, 1),
        new("alder-spectacles", "alder-spectacles", HelicopterCabin.AlderWithSpectacles, 1.25),
        new("birch-passive", "birch", HelicopterCabin.BirchPassive, 1),
        new("birch-active", "birch", HelicopterCabin.BirchActive, 1),
        new("cedar-active", "cedar", HelicopterCabin.CedarActive, 1.35),
    ];

    private static SyntheticRecording MakeFlight(int flight, List<MadeCondition> conditions, Draws draws, Draws samples, double fullScale,
        List<TakeEntry> takes, Dictionary<string, List<Func<double, double>>> worn)
    {
        var run = string.Create(CultureInfo.InvariantCulture, $"F{flight + 1}");
        var stretches = new List<Stretch>();
        var calls = new List<RadioCall>();
        var clock = 4.0;
        foreach (var step in _orders[flight])
        {
            var order = step == "birch" ? new[] { "birch-active", "birch-passive", "birch-passive", "birch-active" } : [step, step];
            if (step == "cedar") order = step == "cedar" && flight == 1 ? ["cedar-active", "cedar-active", "cedar-active"] : ["cedar-active", "cedar-active"];
            var scatter = step == "open" ? DonningScatter.None : DonningScatter.Draw(conditions.First(c => c.Donned == step).Factor, draws.Normal);
            foreach (var id in order.Distinct().Where(id => id != "open"))
            {
                var curve = conditions.First(c => c.Id == id).Loss;
                worn[id].Add(f => curve.At(f) + scatter.At(f));
            }
            var previous = "";
            var placement = (0.0, 0.0);
            foreach (var (index, id) in order.Index())
            {
                // The microphone sits a little differently after every change.
                if (id != previous) placement = (0.25 * draws.Normal(), 0.4 * draws.Normal());
                previous = id;
                var place = placement;
                var curve = conditions.FirstOrDefault(c => c.Id == id)?.Loss;
                stretches.Add(new(clock - BetweenTakes, clock + TakeSeconds, f => (curve?.At(f) ?? 0) + (curve is null ? 0 : scatter.At(f)) - place.Item1 - (f > 4000 ? place.Item2 : 0)));
                var isCall = flight == 1 && id == "cedar-active" && index == 1;
                if (isCall) calls.Add(new(clock + 2, clock + 9, 86));
                takes.Add(new TakeEntry(string.Create(CultureInfo.InvariantCulture, $"T{takes.Count + 1:00}"), run, null, id == "open" ? TrialDocument.OpenEar : id,
                    id == "open" ? null : $"{run}-{step}", $"{run.ToLowerInvariant()}-recording", clock, clock + TakeSeconds, null, null, [], null,
                    null, isCall ? "radio call from second 2 to 9" : null, null, ""));
                clock += TakeSeconds + BetweenTakes;
            }
            clock += ChangeSeconds - BetweenTakes;
        }
        // While a device changes, the last loss holds until the next one is on.
        for (var i = 0; i < stretches.Count - 1; i++) stretches[i] = stretches[i] with { To = stretches[i + 1].From };
        var seconds = clock - ChangeSeconds + 4;
        stretches[^1] = stretches[^1] with { To = seconds + 1 };
        var frames = (long)(seconds * Rate);
        var synthesis = new NoiseSynthesis(Rate, HelicopterCabin.Noise, OwnNoiseDensityLevel, fullScale);
        return new($"flight-{flight + 1}.wav", Rate, frames, sink =>
        {
            var own = samples.Copy();
            var wander = new LevelWander(seconds, 0.1, own.Normal, slowDeviation: 0.5, fastDeviation: 0.8);
            synthesis.Render(frames, stretches, wander, calls, own, s => sink(s));
        });
    }

    private static SyntheticRecording Quiet(string file, Draws samples, double fullScale) => new(file, Rate, 15 * Rate, sink =>
    {
        var own = samples.Copy();
        var deviation = Math.Sqrt(Math.Pow(10, OwnNoiseDensityLevel / 10) * Rate / 2) * Math.Pow(10, -fullScale / 20);
        var block = new double[Rate];
        for (var second = 0; second < 15; second++)
        {
            for (var i = 0; i < Rate; i++) block[i] = deviation * own.Normal();
            sink(block);
        }
    });

    private static SyntheticRecording Calibrator(string file, double fullScale, Draws samples) => new(file, Rate, 12 * Rate, sink =>
    {
        var own = samples.Copy();
        var amplitude = Math.Sqrt(2) * Math.Pow(10, (94 - fullScale) / 20);
        var noise = Math.Sqrt(Math.Pow(10, OwnNoiseDensityLevel / 10) * Rate / 2) * Math.Pow(10, -fullScale / 20);
        var block = new double[Rate];
        for (var second = 0; second < 12; second++)
        {
            for (var i = 0; i < Rate; i++)
                block[i] = (amplitude * Math.Sin(2 * Math.PI * 1000 * i / Rate)) + (noise * own.Normal());
            sink(block);
        }
    });

    private static TrialTruth Truth(ulong seed, List<MadeCondition> conditions, Dictionary<string, List<Func<double, double>>> worn, Draws draws)
    {
        // The general truth is the mean over putting-ons; 60 antithetic pairs leave 0.02 dB of it to chance.
        var possible = conditions.ToDictionary(c => c.Id, c => Enumerable.Range(0, 60).SelectMany(_ =>
        {
            var scatter = DonningScatter.Draw(c.Factor, draws.Normal);
            return new Func<double, double>[] { f => c.Loss.At(f) + scatter.At(f), f => c.Loss.At(f) - scatter.At(f) };
        }).ToList(), StringComparer.Ordinal);
        var (open, truth) = In(HelicopterCabin.Noise);
        var (other, carried) = In(HelicopterCabin.QuieterFourBlade);
        return new("helicopter", seed, open.A, open.C, truth)
        {
            Listening = HelicopterListening.Truth(open, truth),
            Cabins = new Dictionary<string, CabinTruth>(StringComparer.Ordinal) { [HelicopterDocument.OtherCabin] = new(other.A, carried) },
        };

        (TruthBands Open, Dictionary<string, ConditionTruth> Conditions) In(CabinNoise cabin)
        {
            var bare = TruthBands.Of(cabin, _ => 0);
            return (bare, conditions.ToDictionary(c => c.Id, c =>
            {
                var (general, made) = (TruthBands.MeanLoss(cabin, bare, possible[c.Id]), TruthBands.MeanLoss(cabin, bare, worn[c.Id]));
                return new ConditionTruth(general.A, general.C, general.Bands, made.A, made.C, made.Bands);
            }, StringComparer.Ordinal));
        }
    }
}
