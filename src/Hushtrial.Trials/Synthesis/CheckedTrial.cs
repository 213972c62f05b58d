using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Synthesis;

/// <summary>A clean trial of two channels (ear and outside) whose takes can be made again one by one with a fault: what the checks are proved on.</summary>
/// <remarks>One run of 24 takes in a helicopter or a piston aircraft by turns; passive, active and on-ear conditions, two donnings each, open-ear brackets.
/// The outside microphone shares the field below some 300 Hz with the ear and less and less above. Two runs of the same seed are equal.</remarks>
public sealed class CheckedTrial
{
    /// <summary>Sampling rate, Hz: bands up to 10 kHz, at half the cost of 48 kHz.</summary>
    public const int Rate = 24_000;

    /// <summary>Length of a take, s.</summary>
    public const double Seconds = 12;

    /// <summary>Level of 0 dB re full scale, dB.</summary>
    public const double FullScale = 127.2;

    private const double OwnNoise = -12.5;
    private const double Apart = 15;
    private static readonly string[] _order =
        ["open", "alder", "birch", "open", "cedar", "alder", "open", "birch", "cedar", "open"];

    private readonly LevelWander _wander;
    private readonly bool _piston;
    private readonly List<Made> _takes = [];

    private sealed record Made(TakeEntry Entry, Func<double, double> Loss, Draws Draws);

    /// <summary>Plans a trial; takes are rendered when they are asked for.</summary>
    /// <param name="seed">The same seed gives the same takes.</param>
    public CheckedTrial(ulong seed)
    {
        var draws = new Draws(seed);
        _piston = seed % 2 == 1;
        var clock = 2.0;
        for (var step = 0; step < _order.Length; step++)
        {
            var id = _order[step];
            var (factor, modes) = id switch { "birch" => (1.0, new[] { "birch-active", "birch-passive", "birch-passive", "birch-active" }), "cedar" => (1.35, ["cedar-active", "cedar-active"]), _ => (1.0, [id, id]) };
            var scatter = id == "open" ? DonningScatter.None : DonningScatter.Draw(factor, draws.Normal);
            foreach (var mode in modes)
            {
                var (even, high) = (0.25 * draws.Normal(), 0.4 * draws.Normal());
                var curve = Curve(mode);
                _takes.Add(new(new TakeEntry(string.Create(CultureInfo.InvariantCulture, $"T{_takes.Count + 1:00}"), "F1", null, mode, id == "open" ? null : $"{id}-{step}", "f1",
                    clock, clock + Seconds, null, null, [], null, null, null, null, ""), f => (curve?.At(f) ?? 0) + (curve is null ? 0 : scatter.At(f)) - even - (f > 4000 ? high : 0), draws.Split()));
                clock += Apart;
            }
            clock += 10;
        }
        _wander = new LevelWander(clock, 0.1, draws.Normal, slowDeviation: 0.5, fastDeviation: 0.8);
        QuietDraws = draws.Split();
        FaultDraws = draws.Split();
    }

    private Draws QuietDraws { get; }

    /// <summary>Draws for faults.</summary>
    public Draws FaultDraws { get; }

    /// <summary>The takes as they would be written down.</summary>
    public IReadOnlyList<TakeEntry> Takes => [.. _takes.Select(t => t.Entry)];

    /// <summary>The document of the trial.</summary>
    /// <param name="takes">Its takes.</param>
    /// <param name="outside">With the second channel.</param>
    public static TrialDocument Document(IReadOnlyList<TakeEntry> takes, bool outside) => new()
    {
        Schema = 1,
        Identity = new("Takes with and without faults", null, null, null, null, null, null, "A made-up trial for the proof of the checks."),
        Quantity = MeasuredQuantity.InsertionLoss,
        Design = outside ? TrialDesign.OutsideChannel : TrialDesign.Sequential,
        Channels = outside ? [new("ear", false, "left", 1, []), new("outside", true, null, 2, [])] : [new("ear", false, "left", 1, [])],
        Recordings = [new("f1", "flight-1.wav", 0, "F1")],
        Devices =
        [
            new("alder", "Alder", DeviceKind.OverEar, true, null, null, [], null), new("birch", "Birch", DeviceKind.OverEar, true, null, null, [], null),
            new("cedar", "Cedar", DeviceKind.OnEar, true, null, null, [], null),
        ],
        Conditions = [new("alder", "alder", "passive", []), new("birch-passive", "birch", "passive", []), new("birch-active", "birch", "active", []), new("cedar-active", "cedar", "active", [])],
        Runs = [new("F1", null, [])],
        Takes = takes,
    };

    /// <summary>The microphones' own noise: ear and outside.</summary>
    public IReadOnlyList<float[]> Quiet()
    {
        var draws = QuietDraws.Copy();
        var deviation = Math.Sqrt(Math.Pow(10, OwnNoise / 10) * Rate / 2) * Math.Pow(10, -FullScale / 20);
        return [.. Enumerable.Range(0, 2).Select(_ => Enumerable.Range(0, 10 * Rate).Select(_ => (float)(deviation * draws.Normal())).ToArray())];
    }

    /// <summary>Samples of one take: the ear, then outside.</summary>
    /// <param name="index">Place among the takes.</param>
    public IReadOnlyList<float[]> Render(int index)
    {
        var take = _takes[index];
        var cabin = Cabin(1);
        // Share of the field that both microphones hear: nearly all of it below 100 Hz, nearly nothing of it above 1 kHz.
        static double Shared(double f) => 0.95 / (1 + Math.Pow(f / 350, 2));
        var toneless = new CabinNoise(_piston ? PistonCabin.Broadband : HelicopterCabin.Broadband, []);
        var outside = Channel(take, cabin, f => -10 * Math.Log10(Shared(f)), take.Draws.Copy());
        var alone = Channel(take, toneless, f => -10 * Math.Log10(1 - Shared(f)), take.Draws.Copy().Split());
        for (var i = 0; i < outside.Length; i++) outside[i] += alone[i];
        return [Channel(take, cabin, take.Loss, take.Draws.Copy()), outside];
    }

    /// <summary>Samples of one take at the ear, made otherwise.</summary>
    /// <param name="index">Place among the takes.</param>
    /// <param name="condition">As if under this condition; null for its own.</param>
    /// <param name="speed">Speed of rotor or engine relative to the usual.</param>
    /// <param name="less">Loss taken away at a frequency, dB; null for none.</param>
    public float[] RenderEar(int index, string? condition = null, double speed = 1, Func<double, double>? less = null)
    {
        var take = _takes[index];
        var loss = take.Loss;
        if (condition is not null)
        {
            var (own, other) = (Curve(take.Entry.Condition), Curve(condition));
            loss = f => take.Loss(f) - (own?.At(f) ?? 0) + (other?.At(f) ?? 0);
        }
        if (less is not null)
        {
            var inner = loss;
            loss = f => inner(f) - less(f);
        }
        return Channel(take, Cabin(speed), loss, take.Draws.Copy());
    }

    private CabinNoise Cabin(double speed) => _piston ? PistonCabin.At(speed) : HelicopterCabin.At(speed);

    private float[] Channel(Made take, CabinNoise cabin, Func<double, double> loss, Draws draws)
    {
        var samples = new float[(int)(Seconds * Rate)];
        var at = 0;
        new NoiseSynthesis(Rate, cabin, OwnNoise, FullScale).Render(samples.Length, [new Stretch(0, Seconds + 1, loss)], _wander.From(take.Entry.From!.Value), [], draws, block =>
        {
            foreach (var sample in block) samples[at++] = (float)sample;
        });
        return samples;
    }

    private static LossCurve? Curve(string condition) => condition switch
    {
        "alder" => HelicopterCabin.AlderPassive,
        "birch-passive" => HelicopterCabin.BirchPassive,
        "birch-active" => HelicopterCabin.BirchActive,
        "cedar-active" => HelicopterCabin.CedarActive,
        _ => null,
    };
}
