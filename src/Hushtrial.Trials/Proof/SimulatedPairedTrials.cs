using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Proof;

/// <summary>Simulated trials of the level difference and of the active part, with known truth; no open ear in either.</summary>
internal static class SimulatedPairedTrials
{
    private const double TakeEvery = 20;
    private const double ChangeSeconds = 80;

    /// <summary>The condition with the electronics off that belongs to a device's own.</summary>
    public static string Off(int device) => ProofDesign.DeviceName(device) + " off";

    public static SimulatedTrials Make(ProofDesign design, ProofScenario scenario, int trials, SeededGenerator generator)
    {
        var active = scenario.Quantity == MeasuredQuantity.ActivePart;
        var layout = Layout(design, active, generator);
        var values = layout.Select(_ => new Dictionary<string, double>(trials, StringComparer.Ordinal)).ToArray();
        var worn = new double[trials][];
        for (var s = 0; s < trials; s++) worn[s] = active ? Active(design, scenario, layout, values, SimulatedTrials.Quantity(s), generator) : Difference(design, scenario, layout, values, SimulatedTrials.Quantity(s), generator);
        return new([.. layout.Select((slot, i) => new Reading($"F{slot.Flight}", null, slot.Clock, slot.Episode, slot.Donning, slot.Off ? Off(slot.Device) : ProofDesign.DeviceName(slot.Device), values[i]))], worn);
    }

    private sealed record Slot(int Flight, double Clock, string Episode, string Donning, int Device, bool Off);

    // Active part: off, on, on, off in every donning, as many takes of each as the design has; with a single take off and on once.
    private static List<Slot> Layout(ProofDesign design, bool active, SeededGenerator generator)
    {
        var slots = new List<Slot>();
        for (var f = 0; f < design.Flights; f++)
        {
            var (clock, number) = (6.0, 0);
            for (var round = 0; round < design.DonningsPerFlight; round++)
            {
                int[] order = [.. Enumerable.Range(0, design.Devices)];
                for (var i = order.Length - 1; i > 0; i--)
                {
                    var j = generator.NextIndex(i + 1);
                    (order[i], order[j]) = (order[j], order[i]);
                }
                foreach (var device in order)
                {
                    var donning = $"F{f}/{number++}";
                    bool[] off = !active ? [.. Enumerable.Repeat(false, design.TakesPerDonning)] : design.TakesPerDonning == 1 ? [true, false] : [true, .. Enumerable.Repeat(false, design.TakesPerDonning), .. Enumerable.Repeat(true, design.TakesPerDonning - 1)];
                    var part = 0;
                    for (var k = 0; k < off.Length; k++, clock += TakeEvery)
                    {
                        if (k > 0 && off[k] != off[k - 1]) part++;
                        slots.Add(new(f, clock, $"{donning}/{part}", donning, device, off[k]));
                    }
                    clock += ChangeSeconds - TakeEvery;
                }
            }
        }
        return slots;
    }

    private static double[] Difference(ProofDesign design, ProofScenario scenario, List<Slot> layout, Dictionary<string, double>[] values, string quantity, SeededGenerator g)
    {
        var flights = Enumerable.Range(0, design.Flights).Select(_ => scenario.Flight * g.NextNormal()).ToArray();
        var effects = new Effects(scenario, scenario.Donning, g);
        for (var i = 0; i < layout.Count; i++)
        {
            var slot = layout[i];
            values[i][quantity] = flights[slot.Flight] + effects.Of(slot) - design.TrueLoss(slot.Device) + Take(scenario, outside: true, g);
        }
        // What was really worn includes what the flights' outside microphone read.
        var flight = flights.Average();
        return [.. effects.Means(design).Select((fit, d) => design.TrueLoss(d) - fit - flight)];
    }

    private static double[] Active(ProofDesign design, ProofScenario scenario, List<Slot> layout, Dictionary<string, double>[] values, string quantity, SeededGenerator g)
    {
        var effects = new Effects(scenario, scenario.ActiveScatter, g);
        double slow = 0, offset = 0, seal = 0, switching = 0;
        Slot? before = null;
        for (var i = 0; i < layout.Count; i++)
        {
            var slot = layout[i];
            if (before?.Flight != slot.Flight) (offset, slow) = (75 + (2 * g.NextNormal()), scenario.Slow * g.NextNormal());
            else
            {
                var keep = Math.Exp(-(slot.Clock - before!.Clock) / scenario.SlowSeconds);
                slow = (slow * keep) + (scenario.Slow * Math.Sqrt(1 - (keep * keep)) * g.NextNormal());
            }
            if (before?.Donning != slot.Donning) seal = scenario.Donning * g.NextNormal();
            if (before?.Episode != slot.Episode) switching = 0.1 * g.NextNormal();
            // Effects are levels: a donning in which the electronics do less reads higher.
            var on = slot.Off ? 0 : effects.Of(slot) - design.TrueLoss(slot.Device);
            values[i][quantity] = (scenario.OutsideChannel ? 0 : offset + slow + (scenario.Trend * slot.Clock / 600)) + seal + on + switching + Take(scenario, scenario.OutsideChannel, g);
            before = slot;
        }
        return [.. effects.Means(design).Select((fit, d) => design.TrueLoss(d) - fit)];
    }

    private static double Take(ProofScenario scenario, bool outside, SeededGenerator g) => (outside ? 0.15 : Math.Sqrt(SimulatedTrials.FastVariance(scenario))) * g.NextNormal() + (0.1 * g.NextNormal());

    /// <summary>What scatters from donning to donning and from flight to flight, drawn when first met.</summary>
    private sealed class Effects(ProofScenario scenario, double scatter, SeededGenerator g)
    {
        private readonly Dictionary<string, (int Device, double Value)> _donnings = new(StringComparer.Ordinal);
        private readonly Dictionary<(int, int), double> _occasions = [];

        public double Of(Slot slot)
        {
            if (_donnings.TryGetValue(slot.Donning, out var known)) return known.Value;
            if (!_occasions.TryGetValue((slot.Flight, slot.Device), out var occasion)) _occasions[(slot.Flight, slot.Device)] = occasion = scenario.Occasion * g.NextNormal();
            var position = scenario.Quantity == MeasuredQuantity.ActivePart ? 0 : scenario.Position * g.NextNormal();
            var value = occasion + (scatter * g.NextNormal()) + position;
            _donnings[slot.Donning] = (slot.Device, value);
            return value;
        }

        public IEnumerable<double> Means(ProofDesign of) => Enumerable.Range(0, of.Devices).Select(d => _donnings.Values.Where(v => v.Device == d).Average(v => v.Value));
    }
}
