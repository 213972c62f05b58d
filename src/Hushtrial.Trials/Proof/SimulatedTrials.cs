using System.Globalization;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Pairing;

namespace Hushtrial.Trials.Proof;

/// <summary>Simulated trials of one layout with known truth. Each trial is one quantity of the same readings, so that all share their design.</summary>
/// <param name="Readings">Readings; quantity 's0', 's1' … is trial 0, 1 ….</param>
/// <param name="AsWornLosses">Loss really worn, by trial and device: the true loss and the mean of its donnings.</param>
internal sealed record SimulatedTrials(IReadOnlyList<Reading> Readings, double[][] AsWornLosses)
{
    // As in the fixed example: takes of 12 s every 20 s, 80 s to change, an open bracket of two takes first, last and every two donnings.
    private const double TakeSeconds = 12;
    private const double TakeEvery = 20;
    private const double ChangeSeconds = 80;

    public static string Quantity(int trial) => string.Create(CultureInfo.InvariantCulture, $"s{trial}");

    public static SimulatedTrials Make(ProofDesign design, ProofScenario scenario, int trials, SeededGenerator generator)
    {
        if (scenario.Quantity != MeasuredQuantity.InsertionLoss) return SimulatedPairedTrials.Make(design, scenario, trials, generator);
        var layout = Layout(design, generator);
        var values = layout.Select(_ => new Dictionary<string, double>(trials, StringComparer.Ordinal)).ToArray();
        var worn = new double[trials][];
        for (var s = 0; s < trials; s++) worn[s] = OneTrial(design, scenario.Mixed ? Drawn(scenario, generator) : scenario, layout, values, Quantity(s), generator);
        Reading[] readings = [.. layout.Select((slot, i) => new Reading(slot.Flight, null, slot.Clock, slot.Episode, slot.Donning, slot.Device < 0 ? TrialDocument.OpenEar : ProofDesign.DeviceName(slot.Device), values[i]))];
        return new(readings, worn);
    }

    private sealed record Slot(string Flight, double Clock, string Episode, string? Donning, int Device);

    private static List<Slot> Layout(ProofDesign design, SeededGenerator generator)
    {
        var slots = new List<Slot>();
        for (var f = 0; f < design.Flights; f++)
        {
            var (clock, episode, donnings, before) = (6.0, 0, 0, -1);
            void Episode(int device, int takes)
            {
                var name = string.Create(CultureInfo.InvariantCulture, $"F{f}/{episode++}");
                for (var k = 0; k < takes; k++, clock += TakeEvery) slots.Add(new($"F{f}", clock, name, device < 0 ? null : name, device));
                clock += ChangeSeconds - TakeEvery;
            }
            Episode(-1, 2);
            for (var round = 0; round < design.DonningsPerFlight; round++)
                foreach (var device in Order(design.Devices, before, generator))
                {
                    Episode(device, design.TakesPerDonning);
                    before = device;
                    if (++donnings % 2 == 0) Episode(-1, 2);
                }
            if (donnings % 2 != 0) Episode(-1, 2);
        }
        return slots;
    }

    private static int[] Order(int devices, int before, SeededGenerator generator)
    {
        int[] order = [.. Enumerable.Range(0, devices)];
        do
            for (var i = devices - 1; i > 0; i--)
            {
                var j = generator.NextIndex(i + 1);
                (order[i], order[j]) = (order[j], order[i]);
            }
        while (devices > 1 && order[0] == before);
        return order;
    }

    private static ProofScenario Drawn(ProofScenario scenario, SeededGenerator generator)
    {
        double Factor() => Math.Exp((2 * generator.NextUniform() - 1) * Math.Log(2));
        return scenario with
        {
            Donning = scenario.Donning * Factor(), Occasion = scenario.Occasion * Factor(), Position = scenario.Position * Factor(), Fast = scenario.Fast * Factor(),
            Slow = scenario.Slow * Factor(),
        };
    }

    private static double[] OneTrial(ProofDesign design, ProofScenario scenario, List<Slot> layout, Dictionary<string, double>[] values, string quantity, SeededGenerator g)
    {
        var occasions = new Dictionary<(string, int), double>();
        var sums = new double[design.Devices];
        var counts = new int[design.Devices];
        double slow = 0, offset = 0, effect = 0;
        Slot? before = null;
        var wrong = scenario.WrongReading == 0 ? -1 : g.NextIndex(layout.Count);
        var take = Math.Sqrt(FastVariance(scenario));
        for (var i = 0; i < layout.Count; i++)
        {
            var slot = layout[i];
            if (before?.Flight != slot.Flight)
            {
                offset = 95 + 2 * g.NextNormal();
                slow = scenario.Slow * g.NextNormal();
            }
            else
            {
                var keep = Math.Exp(-(slot.Clock - before!.Clock) / scenario.SlowSeconds);
                slow = slow * keep + scenario.Slow * Math.Sqrt(1 - keep * keep) * g.NextNormal();
            }
            if (before?.Episode != slot.Episode)
            {
                effect = scenario.Position * g.NextNormal();
                if (slot.Device >= 0)
                {
                    if (!occasions.TryGetValue((slot.Flight, slot.Device), out var occasion)) occasions[(slot.Flight, slot.Device)] = occasion = scenario.Occasion * g.NextNormal();
                    var factor = scenario.DonningFactors.Count == 0 ? 1 : scenario.DonningFactors[slot.Device % scenario.DonningFactors.Count];
                    var fit = occasion + scenario.Donning * factor * g.NextNormal() + (g.NextUniform() < scenario.Leak.Share ? scenario.Leak.Loss : 0);
                    effect += fit - design.TrueLoss(slot.Device);
                    sums[slot.Device] += design.TrueLoss(slot.Device) - fit;
                    counts[slot.Device]++;
                }
            }
            var ambient = offset + slow + scenario.Trend * slot.Clock / 600 + take * g.NextNormal();
            values[i][quantity] = (scenario.OutsideChannel ? 0.15 * g.NextNormal() : ambient) + effect + 0.1 * g.NextNormal() + (i == wrong ? scenario.WrongReading : 0);
            before = slot;
        }
        return [.. sums.Select((sum, d) => sum / counts[d])];
    }

    // Variance of the mean of a wander over a take (method 1.4).
    internal static double FastVariance(ProofScenario scenario)
    {
        var ratio = scenario.FastSeconds / TakeSeconds;
        return scenario.Fast * scenario.Fast * 2 * ratio * (1 - ratio * (1 - Math.Exp(-1 / ratio)));
    }
}
