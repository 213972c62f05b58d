using System.Globalization;
using Hushtrial.Hearing.Cabins;
using Hushtrial.Quantities;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests.Summary;

/// <summary>Simulated trials, band by band through the estimator, carried to another cabin: do the intervals hold what the devices really lose there?</summary>
/// <remarks>Three devices, two flights of one donning of two takes each (method, design D3) and an open bracket around every donning. A donning moves all bands
/// together, tilts them, and moves each a little for itself, as the test says. Invented data: the coverage is what is tested.</remarks>
public sealed class CarriedCoverageTests
{
    private const int Trials = 60;
    private static readonly Band[] _bands = [.. Enumerable.Range(-4, 8).Select(Band.Octave)];
    private static readonly string[] _devices = ["oak", "elm", "ash"];

    private static double Loss(int device, int band) => device switch { 0 => 7 + (4 * band), 1 => 20 + (1 * band), _ => 13 + (2.7 * band) };

    private static double Measured(int band) => 95 - (3.6 * band);

    // Quieter low down, with a hump in the middle.
    private static readonly Spectrum _other = Spectrum.Of(_bands, [.. _bands.Select((_, i) => 70 + (8 * Math.Exp(-Math.Pow(i - 3.7, 2))))]);

    private static double Carried(Func<int, double> loss) =>
        Carrying.To(_other, [.. _bands.Select((b, i) => BandLoss.Exact(b, LevelDifference.FromDecibels(loss(i))))], FrequencyWeighting.A).Loss.Decibels;

    [Theory]
    [InlineData(0.0)]
    [InlineData(1.0)]
    public void The_95_percent_intervals_hold_the_truth_in_the_other_cabin(double own)
    {
        var random = new SeededGenerator(2026);
        var layout = new List<(string Flight, double Clock, string Episode, string? Donning, int Device)>();
        for (var f = 0; f < 2; f++)
        {
            var (clock, episode) = (0.0, 0);
            foreach (var device in new[] { -1, 0, -1, 1, -1, 2, -1 })
            {
                var name = string.Create(CultureInfo.InvariantCulture, $"F{f}/{episode++}");
                for (var k = 0; k < 2; k++, clock += 20) layout.Add(($"F{f}", clock, name, device < 0 ? null : name, device));
                clock += 60;
            }
        }
        var values = layout.Select(_ => new Dictionary<string, double>(StringComparer.Ordinal)).ToArray();
        var worn = new double[Trials, _devices.Length];
        for (var t = 0; t < Trials; t++)
        {
            var donnings = layout.Where(l => l.Device >= 0).Select(l => l.Episode).Distinct().ToDictionary(e => e, _ =>
            {
                var (common, tilt) = (1.5 * random.NextNormal(), 0.5 * random.NextNormal());
                return _bands.Select((_, i) => common + (tilt * (i - 3.5) / 3.5) + (own * random.NextNormal())).ToArray();
            }, StringComparer.Ordinal);
            foreach (var (flight, i) in new[] { ("F0", 0), ("F1", 1) })
            {
                var offset = random.NextNormal();
                foreach (var (slot, at) in layout.Index().Select(x => (x.Item, x.Index)).Where(x => x.Item.Flight == flight))
                {
                    var shared = 0.4 * random.NextNormal();
                    for (var b = 0; b < _bands.Length; b++)
                        values[at][Name(t, b)] = Measured(b) + offset + shared + (0.4 * random.NextNormal()) - (slot.Device < 0 ? 0 : Loss(slot.Device, b) + donnings[slot.Episode][b]);
                }
            }
            for (var d = 0; d < _devices.Length; d++)
                worn[t, d] = layout.Where(l => l.Device == d).Select(l => l.Episode).Distinct().Average(e => Carried(b => Loss(d, b) + donnings[e][b]));
        }
        var readings = layout.Select((l, i) => new Reading(l.Flight, null, l.Clock, l.Episode, l.Donning, l.Device < 0 ? TrialDocument.OpenEar : _devices[l.Device], values[i])).ToList();
        var fits = Estimator.FitAll(readings, [.. _devices.Select(d => new ConditionTraits(d))], [.. Enumerable.Range(0, Trials).SelectMany(t => Enumerable.Range(0, _bands.Length).Select(b => Name(t, b)))],
            new EstimatorSettings { Draws = 1 });
        var (general, asWorn, all) = (0, 0, Trials * _devices.Length);
        for (var t = 0; t < Trials; t++)
            for (var d = 0; d < _devices.Length; d++)
            {
                CarriedLoss In(EstimateScope scope) => Carrying.To(_other, [.. _bands.Select((b, i) => Of(b, fits[Name(t, i)].Loss(_devices[d]).In(scope)!))], FrequencyWeighting.A);
                if (Holds(In(EstimateScope.General), Carried(b => Loss(d, b)))) general++;
                if (Holds(In(EstimateScope.AsWorn), worn[t, d])) asWorn++;
            }
        // 180 intervals of 95 % hold at least 91.5 % with a probability of 97.5 %, had they no margin at all (binomial).
        Assert.True(general >= 0.915 * all, $"general: {general} of {all}");
        Assert.True(asWorn >= 0.915 * all, $"as worn: {asWorn} of {all}");
    }

    private static string Name(int trial, int band) => string.Create(CultureInfo.InvariantCulture, $"t{trial}b{band}");

    private static BandLoss Of(Band band, Estimate e) => new(band, LevelDifference.FromDecibels(e.Value), LevelDifference.FromDecibels(e.Low), LevelDifference.FromDecibels(e.High));

    private static bool Holds(CarriedLoss carried, double truth) => carried.Low.Decibels <= truth && truth <= carried.High!.Value.Decibels;
}
