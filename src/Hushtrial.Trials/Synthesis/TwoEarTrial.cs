using System.Globalization;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Synthesis;

/// <summary>A clean trial with a microphone at each ear, recorded in three files: what the check for exchanged ears is proved on.</summary>
/// <remarks>Three runs of 6 takes (open, open, one donning of a passive device twice, open, open) in a helicopter or a piston aircraft by turns. Left and right of the one
/// wearer differ by a curve that stays: the seat's side, the shape of ears and microphones. Whenever the device comes or goes the microphones are put back anew, each
/// with a scatter of its own. The two ears share the wander of the cabin. Two trials of the same seed are equal. Sizes: common practice, no source.</remarks>
public sealed class TwoEarTrial
{
    private const double OwnNoise = -12.5;
    private const double Apart = 15;
    private const int Runs = 3;
    private static readonly double[] _points = [100, 250, 500, 1000, 2000, 4000, 8000];

    /// <summary>How the difference of a person's ears grows with frequency, and how microphones scatter when they are put back, dB.</summary>
    private static readonly double[] _shape = [0.4, 0.4, 0.5, 0.7, 1, 1.2, 1.4], _placement = [0.2, 0.2, 0.2, 0.3, 0.5, 0.8, 1.2];

    private static readonly string[] _order = [TrialDocument.OpenEar, TrialDocument.OpenEar, "alder", "alder", TrialDocument.OpenEar, TrialDocument.OpenEar];
    private readonly bool _piston;
    private readonly List<Made> _takes = [];

    private sealed record Made(TakeEntry Entry, LevelWander Wander, Func<double, double> Left, Func<double, double> Right, Draws Draws);

    /// <summary>Plans a trial; takes are rendered when they are asked for.</summary>
    /// <param name="seed">The same seed gives the same takes.</param>
    /// <param name="betweenEars">Root mean square of the lasting difference left − right over the bands from 100 Hz to 8 kHz, dB.</param>
    public TwoEarTrial(ulong seed, double betweenEars)
    {
        var draws = new Draws(seed ^ 0x2E4A5UL);
        _piston = seed % 2 == 1;
        // The seat's side moves all frequencies alike.
        var even = 0.5 * draws.Normal();
        var raw = _shape.Select(s => even + (s * draws.Normal())).ToArray();
        var size = Math.Sqrt(raw.Average(r => r * r));
        var ears = Curve([.. raw.Select(r => r * betweenEars / size)]);
        for (var run = 1; run <= Runs; run++)
        {
            var wander = new LevelWander((_order.Length * Apart) + 30, 0.1, draws.Normal, slowDeviation: 0.5, fastDeviation: 0.8);
            var donning = (Left: DonningScatter.Draw(1, draws.Normal), Right: DonningScatter.Draw(1, draws.Normal));
            var placed = (Left: Placement(draws), Right: Placement(draws));
            for (var i = 0; i < _order.Length; i++)
            {
                if (i % 2 == 0 && i > 0) placed = (Placement(draws), Placement(draws));
                var (open, left, right) = (_order[i] == TrialDocument.OpenEar, placed.Left, placed.Right);
                var id = string.Create(CultureInfo.InvariantCulture, $"F{run}-{i + 1}");
                var from = 2 + (i * Apart);
                _takes.Add(new(new TakeEntry(id, $"F{run}", null, _order[i], open ? null : $"alder-{run}", $"f{run}", from, from + CheckedTrial.Seconds, null, null, [], null, null, null, null, ""), wander,
                    f => left.At(f) - (ears.At(f) / 2) + (open ? 0 : HelicopterCabin.AlderPassive.At(f) + donning.Left.At(f)),
                    f => right.At(f) + (ears.At(f) / 2) + (open ? 0 : HelicopterCabin.AlderPassive.At(f) + donning.Right.At(f)), draws.Split()));
            }
        }
    }

    /// <summary>The takes as they would be written down.</summary>
    public IReadOnlyList<TakeEntry> Takes => [.. _takes.Select(t => t.Entry)];

    /// <summary>The document of the trial.</summary>
    public TrialDocument Document() => new()
    {
        Schema = 1,
        Identity = new("Takes at both ears", null, null, null, null, null, null, "A made-up trial for the proof of the checks."),
        Quantity = MeasuredQuantity.InsertionLoss,
        Design = TrialDesign.Sequential,
        Channels = [new("left", false, "left", 1, []), new("right", false, "right", 2, [])],
        Recordings = [.. Enumerable.Range(1, Runs).Select(r => new RecordingEntry($"f{r}", $"flight-{r}.wav", 0, $"F{r}"))],
        Devices = [new("alder", "Alder", DeviceKind.OverEar, true, null, null, [], null)],
        Conditions = [new("alder", "alder", "passive", [])],
        Runs = [.. Enumerable.Range(1, Runs).Select(r => new Run($"F{r}", null, []))],
        Takes = Takes,
    };

    /// <summary>Samples of one take: left, then right.</summary>
    /// <param name="index">Place among the takes.</param>
    public IReadOnlyList<float[]> Render(int index)
    {
        var draws = _takes[index].Draws.Copy();
        return [Ear(_takes[index], _takes[index].Left, draws.Split()), Ear(_takes[index], _takes[index].Right, draws.Split())];
    }

    private float[] Ear(Made take, Func<double, double> loss, Draws draws)
    {
        var samples = new float[(int)(CheckedTrial.Seconds * CheckedTrial.Rate)];
        var at = 0;
        new NoiseSynthesis(CheckedTrial.Rate, _piston ? PistonCabin.At(1) : HelicopterCabin.At(1), OwnNoise, CheckedTrial.FullScale)
            .Render(samples.Length, [new Stretch(0, CheckedTrial.Seconds + 1, loss)], take.Wander.From(take.Entry.From!.Value), [], draws, block =>
            {
                foreach (var sample in block) samples[at++] = (float)sample;
            });
        return samples;
    }

    private static LossCurve Placement(Draws draws)
    {
        var even = 0.25 * draws.Normal();
        return Curve([.. _placement.Select(p => even + (p * draws.Normal()))]);
    }

    private static LossCurve Curve(double[] values) => new([.. _points.Zip(values)]);
}
