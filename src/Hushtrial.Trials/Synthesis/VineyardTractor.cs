using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Synthesis;

/// <summary>The second demo: a vineyard tractor, two ear muffs, readings of an uncalibrated phone noted by hand to half a decibel.
/// Nothing absolute can be said; the devices can still be compared.</summary>
public static class VineyardTractor
{
    private const double Step = 0.5;
    private static readonly (string Id, double Loss, double Factor)[] _truth = [("juniper", 24, 1), ("juniper-cap", 20.5, 1.25), ("laurel", 18, 1)];
    private static readonly string[][] _orders =
    [
        ["open", "juniper", "laurel", "open", "juniper-cap", "open"],
        ["open", "laurel", "juniper-cap", "open", "juniper", "open"],
        ["open", "juniper-cap", "juniper", "open", "laurel", "open"],
    ];

    /// <summary>Makes the trial.</summary>
    /// <param name="seed">The same seed gives the same readings.</param>
    public static SyntheticTrial Make(ulong seed)
    {
        var draws = new Draws(seed);
        var takes = new List<TakeEntry>();
        var worn = _truth.ToDictionary(t => t.Id, _ => new List<double>());
        foreach (var (pass, order) in _orders.Index())
        {
            var run = string.Create(CultureInfo.InvariantCulture, $"row-{pass + 1}");
            var wander = new LevelWander(1200, 1, draws.Normal, slowDeviation: 0.6, fastDeviation: 1);
            var clock = 20.0;
            foreach (var id in order)
            {
                var truth = _truth.FirstOrDefault(t => t.Id == id);
                var loss = id == "open" ? 0 : truth.Loss + (1.3 * truth.Factor * draws.Normal());
                if (id != "open") worn[id].Add(loss);
                var placement = 0.3 * draws.Normal();
                for (var reading = 0; reading < 2; reading++)
                {
                    // A person reads a jumping display: about the mean of ten seconds.
                    var level = 92 - loss + placement + Enumerable.Range(0, 10).Average(s => wander.High(clock + s)) + (0.4 * draws.Normal());
                    takes.Add(new TakeEntry(string.Create(CultureInfo.InvariantCulture, $"N{takes.Count + 1:00}"), run, null, id,
                        id == "open" ? null : $"{run}-{id}", null, null, null, Math.Round(level / Step) * Step, null, [], clock, null, null, null, ""));
                    clock += 20;
                }
                clock += 40;
            }
        }
        return new(Document(takes), [], new("tractor", seed, 92, null, _truth.ToDictionary(t => t.Id, t => new ConditionTruth(t.Loss, null,
            new Dictionary<Band, double>(), worn[t.Id].Average(), null, new Dictionary<Band, double>()), StringComparer.Ordinal)));
    }

    private static TrialDocument Document(IReadOnlyList<TakeEntry> takes) => new()
    {
        Schema = 1,
        Identity = new("Two ear muffs on a vineyard tractor", "Which of the two keeps more of the tractor out, and what the cap costs", "The driver's neighbour, from the trailer",
            "Between the rows, tractor without cab", "2026-04-02", "The driver", "None declared", "A made-up demonstration: devices and figures are invented."),
        Quantity = MeasuredQuantity.InsertionLoss,
        Design = TrialDesign.ReadingsOnly,
        Scope = EstimateScope.General,
        Margin = LevelDifference.FromDecibels(2),
        MarginSet = "2026-03-28, before the first row",
        ReadingStep = Step,
        Noise = [new("vehicle", "narrow vineyard tractor without cab"), new("power", "mowing"), new("rpm", "2000"), new("speed", "5 km/h"), new("phase", "steady work along the row")],
        Chain = [new("recorder", "phone with a clip-on microphone at the ear, not calibrated"), new("weighting", "A, slow"), new("automatic_functions", "not known")],
        Devices =
        [
            new("juniper", "Juniper", DeviceKind.OverEar, true, 250, null, [new("cushions", "new")], null),
            new("laurel", "Laurel", DeviceKind.OverEar, true, 210, null, [new("cushions", "four years old, cushions hard")], null),
        ],
        Conditions = [new("juniper", "juniper", "passive", []), new("juniper-cap", "juniper", "passive", ["cap"]), new("laurel", "laurel", "passive", [])],
        Wearers = [new("driver", "The driver", [new("spectacles", "none")])],
        Runs = [new("row-1", "First row", []) { StartOfDay = 30600 }, new("row-2", "Second row", []) { StartOfDay = 32700 }, new("row-3", "Third row", []) { StartOfDay = 34800 }],
        Takes = takes,
    };
}
