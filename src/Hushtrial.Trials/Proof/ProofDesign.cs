namespace Hushtrial.Trials.Proof;

/// <summary>Shape of a simulated trial.</summary>
/// <param name="Name">Name.</param>
/// <param name="Flights">Flights.</param>
/// <param name="DonningsPerFlight">Donnings of every device in a flight.</param>
/// <param name="TakesPerDonning">Takes in a donning.</param>
/// <param name="Devices">Devices.</param>
public sealed record ProofDesign(string Name, int Flights, int DonningsPerFlight, int TakesPerDonning, int Devices = 4)
{
    /// <summary>True losses by device, dB, repeated when there are more devices: equal ones, some 2 dB apart, some 3 to 5 dB.</summary>
    public IReadOnlyList<double> Losses { get; init; } = [20, 20, 22, 25, 20, 22];

    /// <summary>The designs of the method's coverage table (2.3).</summary>
    public static IReadOnlyList<ProofDesign> All { get; } =
    [
        new("D1", 1, 1, 3), new("D2", 1, 1, 1), new("D3", 2, 1, 3), new("D4", 3, 1, 2, 6), new("D5", 1, 3, 1), new("D6", 3, 2, 4, 3), new("D7", 2, 2, 2), new("D8", 3, 3, 2),
    ];

    /// <summary>True loss of a device, dB.</summary>
    public double TrueLoss(int device) => Losses[device % Losses.Count];

    /// <summary>Name of a device.</summary>
    public static string DeviceName(int device) => ((char)('A' + device)).ToString();
}
