using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Synthesis;

/// <summary>A fault of a stated size that can be put into takes of a <see cref="CheckedTrial"/>.</summary>
/// <param name="Name">The fault.</param>
/// <param name="Size">Its size, in words.</param>
/// <param name="Codes">Codes of findings that detect it.</param>
/// <param name="Fits">Takes it can happen to.</param>
/// <param name="Make">Samples with the fault (ear, outside) from the clean ones; channels that do not change are handed back as they are.</param>
public sealed record Fault(string Name, string Size, IReadOnlyList<string> Codes, Func<TakeEntry, bool> Fits,
    Func<FaultyTake, IReadOnlyList<float[]>> Make)
{
    /// <summary>Whether it happens to every take of the run at once.</summary>
    public bool WholeRun { get; init; }

    /// <summary>Name of its sound where another fault of the whole run has the same one and need not be made again; null for one of its own.</summary>
    public string? Sound { get; init; }

    /// <summary>Whether it happens to every take of the donning at once.</summary>
    public bool WholeDonning { get; init; }

    /// <summary>Whether it is looked for with the outside channel; else with the ear's channel alone.</summary>
    public bool Outside { get; init; }

    /// <summary>The entry as wrongly written down; null when the fault is in the sound.</summary>
    public Func<TakeEntry, TakeEntry>? Write { get; init; }

    /// <summary>The lasting difference left − right, dB, for an exchange of the two ears' plugs in one recording of a <see cref="TwoEarTrial"/>; null for every other fault.</summary>
    public double? BetweenEars { get; init; }

    /// <summary>A-weighted level of the microphone's own noise, dB re the take: it is in the take and in the recording of the own noise. Null for every other fault.</summary>
    public double? OwnNoise { get; init; }

    /// <summary>Whether it is so small that it need not be found: kept in the table to show where detection begins.</summary>
    public bool Small { get; init; }
}

/// <summary>What a fault is made from.</summary>
/// <param name="Trial">The trial.</param>
/// <param name="Index">Place of the take.</param>
/// <param name="Clean">Its clean samples: ear, outside.</param>
/// <param name="RmsA">A-weighted root mean square of the clean ear, full scale.</param>
/// <param name="LowLevel">Level of the bands from 25 to 50 Hz of the clean ear together, dB.</param>
/// <param name="Draws">Draws for this take.</param>
public sealed record FaultyTake(CheckedTrial Trial, int Index, IReadOnlyList<float[]> Clean, double RmsA, double LowLevel, Draws Draws)
{
    /// <summary>The samples with the ear's replaced.</summary>
    public IReadOnlyList<float[]> Ear(float[] samples) => [samples, Clean[1]];
}
