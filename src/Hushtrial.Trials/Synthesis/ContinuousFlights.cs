using System.Globalization;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Synthesis;

/// <summary>The air-ambulance crew's three flights with the recorder left running: nothing is marked, only the order card is known.</summary>
public static class ContinuousFlights
{
    private const int Rate = 48_000;
    private const double OwnNoiseDensityLevel = -12.5;

    /// <summary>The order cards of the three flights.</summary>
    public static IReadOnlyList<IReadOnlyList<IReadOnlyList<string>>> Cards { get; } =
    [
        [["open", "open"], ["alder", "alder"], _birch, ["open", "open"], ["cedar-active", "cedar-active"], ["alder-spectacles", "alder-spectacles"], ["open", "open"]],
        [["open", "open"], ["cedar-active", "cedar-active"], ["alder", "alder"], ["open", "open"], ["alder-spectacles", "alder-spectacles"], _birch, ["open", "open"]],
        [["open", "open"], _birch, ["alder-spectacles", "alder-spectacles"], ["open", "open"], ["alder", "alder"], ["cedar-active", "cedar-active"], ["open", "open"]],
    ];

    private static string[] _birch => ["birch-active", "birch-passive", "birch-passive", "birch-active"];

    /// <summary>The loss curve of a condition of the demo and the scatter factor of its donnings.</summary>
    internal static (LossCurve Curve, double Factor) Loss(string condition) => condition switch
    {
        "alder" => (HelicopterCabin.AlderPassive, 1),
        "alder-spectacles" => (HelicopterCabin.AlderWithSpectacles, 1.25),
        "birch-passive" => (HelicopterCabin.BirchPassive, 1),
        "birch-active" => (HelicopterCabin.BirchActive, 1),
        "cedar-active" => (HelicopterCabin.CedarActive, 1.35),
        _ => throw new ArgumentOutOfRangeException(nameof(condition), condition, "The demo measures alder, alder-spectacles, birch-passive, birch-active and cedar-active."),
    };

    /// <summary>Draws what happens in the three flights.</summary>
    /// <param name="seed">The same seed gives the same flights.</param>
    public static IReadOnlyList<FlightScript> Scripts(ulong seed)
    {
        var draws = new Draws(seed);
        return [.. Cards.Select((card, flight) => FlightScripts.Draw(string.Create(CultureInfo.InvariantCulture, $"F{flight + 1}"), card, Loss, flight == 0, draws.Split()))];
    }

    /// <summary>The crew's document without a take, with its order card; the calibrator and the quiet are in the first flight's recording.</summary>
    public static TrialDocument Document()
    {
        var document = HelicopterDocument.Write([]);
        var card = string.Join('\n', Cards.Select((rows, flight) => string.Create(CultureInfo.InvariantCulture, $"F{flight + 1}: {string.Join("; ", rows.Select(r => string.Join(", ", r)))}")));
        return document with
        {
            Fitting = [.. document.Fitting.Select(f => f.Key == "order" ? new("order", card) : f)],
            // One recording a flight and nothing else: what is asked of radio and warnings needs recordings of its own.
            Recordings = [.. document.Recordings.Where(r => Enumerable.Range(1, Cards.Count).Any(f => r.Id == string.Create(CultureInfo.InvariantCulture, $"f{f}-recording")))],
            Listening = null,
            Channels = [.. document.Channels.Select(c => c with { NoiseRecording = "f1-recording", NoiseFrom = 18, NoiseTo = 31 })],
            Calibrations = [document.Calibrations[0] with { Recording = "f1-recording", From = 3, To = 13 }],
        };
    }

    /// <summary>Makes the recordings and the document.</summary>
    /// <param name="seed">The same seed gives the same samples.</param>
    public static (TrialDocument Document, IReadOnlyList<SyntheticRecording> Recordings, IReadOnlyList<FlightScript> Truth) Make(ulong seed)
    {
        var scripts = Scripts(seed);
        var draws = new Draws(seed ^ 0xc0117);
        var fullScale = 127.2 + (0.3 * draws.Normal());
        return (Document(), [.. scripts.Select((script, i) => Recording($"flight-{i + 1}.wav", script, fullScale, draws.Split()))], scripts);
    }

    private static SyntheticRecording Recording(string file, FlightScript script, double fullScale, Draws samples)
    {
        var frames = (long)(script.Seconds * Rate);
        return new(file, Rate, frames, sink =>
        {
            var own = samples.Copy();
            var wander = new LevelWander(script.Seconds, 0.1, own.Normal, slowDeviation: 0.5, fastDeviation: 0.8);
            var extra = own.Split();
            var block = new double[16_384];
            var (at, low) = (0L, 0.0);
            new NoiseSynthesis(Rate, HelicopterCabin.Noise, OwnNoiseDensityLevel, fullScale).Render(frames, script.Stretches, wander, script.Calls, own, s =>
            {
                var mixed = block.AsSpan(0, s.Length);
                s.CopyTo(mixed);
                AddGround(mixed, at, script, fullScale, extra, ref low);
                at += s.Length;
                sink(mixed);
            });
        });
    }

    // What passes no headset: hands at the microphone and cable, and the calibrator on the ground.
    private static void AddGround(Span<double> block, long first, FlightScript script, double fullScale, Draws draws, ref double low)
    {
        var scale = Math.Pow(10, -fullScale / 20);
        var pass = 1 - Math.Exp(-2 * Math.PI * HandlingNoise.Corner / Rate);
        var (from, to) = (first / (double)Rate, (first + block.Length) / (double)Rate);
        foreach (var h in script.Handling.Where(h => h.From < to && h.To > from))
        {
            var deviation = Math.Sqrt(Math.Pow(10, h.Level / 10) * Rate / HandlingNoise.CornerWidth) * scale;
            for (var i = 0; i < block.Length; i++)
            {
                var t = (first + i) / (double)Rate;
                if (t < h.From || t >= h.To) continue;
                low += pass * ((deviation * draws.Normal()) - low);
                block[i] += low;
            }
        }
        var amplitude = Math.Sqrt(2) * Math.Pow(10, 94 / 20.0) * scale;
        for (var i = 0; i < block.Length; i++)
            if ((first + i) / (double)Rate is > FlightScript.ToneFrom and var t && t < script.ToneUntil) block[i] += amplitude * Math.Sin(2 * Math.PI * 1000 * (first + i) / Rate);
    }
}
