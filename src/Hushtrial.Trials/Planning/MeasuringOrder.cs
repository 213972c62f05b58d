using System.Globalization;
using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Trials.Planning;

/// <summary>A device to be tried and its modes, for example 'active' and 'passive'; without modes it has one.</summary>
public sealed record PlannedDevice(string Name, IReadOnlyList<string> Modes);

/// <summary>One step of the order: an open bracket, or one donning with its takes.</summary>
/// <param name="Number">Number on the card, from 1.</param>
/// <param name="Flight">Flight, from 1.</param>
/// <param name="Device">The device; null for the open ear.</param>
/// <param name="Code">The blind code that stands for the device on the card; null for the open ear.</param>
/// <param name="Takes">What is read, take by take: the mode, or '' for a device of one mode and for the open ear.</param>
public sealed record OrderStep(int Number, int Flight, string? Device, string? Code, IReadOnlyList<string> Takes);

/// <summary>A balanced order for a whole trial.</summary>
/// <param name="Steps">The steps.</param>
/// <param name="Codes">Device by blind code: the key, to be kept from the wearer.</param>
/// <param name="Seed">Seed the order was drawn with.</param>
public sealed record MeasuringOrder(IReadOnlyList<OrderStep> Steps, IReadOnlyList<KeyValuePair<string, string>> Codes, ulong Seed)
{
    /// <summary>Takes in an open bracket.</summary>
    public const int BracketTakes = 2;

    /// <summary>Donnings between two open brackets.</summary>
    public const int DonningsBetweenBrackets = 2;

    // No letters or digits that look alike, none that form words.
    private const string Letters = "BDFHKMRTXZ";

    /// <summary>Draws an order: one balanced row per round of donnings, an open bracket first, last and every two donnings, modes inside a donning
    /// there and back, a device never twice in succession.</summary>
    /// <param name="devices">The devices, at least 1.</param>
    /// <param name="flights">Flights, at least 1.</param>
    /// <param name="donningsPerFlight">Donnings of every device in a flight, at least 1.</param>
    /// <param name="takesPerDonning">Takes of every mode in a donning, at least 1.</param>
    /// <param name="openEar">Whether there are open brackets.</param>
    /// <param name="seed">Seed; equal seeds give equal orders.</param>
    public static MeasuringOrder Draw(IReadOnlyList<PlannedDevice> devices, int flights, int donningsPerFlight, int takesPerDonning, bool openEar, ulong seed)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(flights, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(donningsPerFlight, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(takesPerDonning, 1);
        var generator = new SeededGenerator(seed);
        int[] who = Permutation(devices.Count, generator);              // who stands at which place of the rows
        var codes = BlindCodes(devices.Count, generator);
        var rows = WilliamsRows.Of(devices.Count);
        var next = generator.NextIndex(rows.Count);
        var steps = new List<OrderStep>();
        for (var flight = 1; flight <= flights; flight++)
        {
            var (before, sinceBracket) = (-1, 0);
            if (openEar) Open(flight);
            for (var round = 0; round < donningsPerFlight; round++)
            {
                // Never the same device twice in succession: the first row, from the one whose turn it is, that begins with another.
                var tries = 0;
                while (devices.Count > 1 && rows[next][0] == before && tries++ < rows.Count) next = (next + 1) % rows.Count;
                foreach (var place in rows[next])
                {
                    if (openEar && sinceBracket == DonningsBetweenBrackets) Open(flight);
                    var device = who[place];
                    steps.Add(new(steps.Count + 1, flight, devices[device].Name, codes[device], Takes(devices[device].Modes, takesPerDonning)));
                    before = place;
                    sinceBracket++;
                }
                next = (next + 1) % rows.Count;
            }
            if (openEar) Open(flight);

            void Open(int number)
            {
                steps.Add(new(steps.Count + 1, number, null, null, [.. Enumerable.Repeat("", BracketTakes)]));
                sinceBracket = 0;
            }
        }
        return new(steps, [.. codes.Select((code, d) => KeyValuePair.Create(code, devices[d].Name)).OrderBy(c => c.Key, StringComparer.Ordinal)], seed);
    }

    // Modes there and back, so that drift inside the donning weighs on all alike: on, off, off, on.
    private static string[] Takes(IReadOnlyList<string> modes, int takes)
    {
        if (modes.Count == 0) return [.. Enumerable.Repeat("", takes)];
        return [.. Enumerable.Range(0, takes).SelectMany(pass => pass % 2 == 0 ? modes : modes.Reverse())];
    }

    private static int[] Permutation(int count, SeededGenerator generator)
    {
        int[] order = [.. Enumerable.Range(0, count)];
        for (var i = count - 1; i > 0; i--)
        {
            var j = generator.NextIndex(i + 1);
            (order[i], order[j]) = (order[j], order[i]);
        }
        return order;
    }

    private static string[] BlindCodes(int count, SeededGenerator generator)
    {
        if (count > Letters.Length * 8) throw new ArgumentOutOfRangeException(nameof(count), count, "There are blind codes for 80 devices.");
        var codes = new List<string>();
        while (codes.Count < count)
        {
            var code = string.Create(CultureInfo.InvariantCulture, $"{Letters[generator.NextIndex(Letters.Length)]}{2 + generator.NextIndex(8)}");
            if (!codes.Contains(code, StringComparer.Ordinal)) codes.Add(code);
        }
        return [.. codes];
    }
}
