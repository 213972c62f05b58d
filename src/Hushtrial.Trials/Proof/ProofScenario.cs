using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Proof;

/// <summary>How the simulated world scatters: standard deviations in dB, times in seconds.</summary>
/// <param name="Name">Name.</param>
/// <param name="Words">What it tries, in words.</param>
public sealed record ProofScenario(string Name, string Words)
{
    /// <summary>What the trials measure.</summary>
    public MeasuredQuantity Quantity { get; init; } = MeasuredQuantity.InsertionLoss;

    /// <summary>Level difference: what moves all conditions of a flight alike, the outside microphone put back.</summary>
    public double Flight { get; init; } = 0.4;

    /// <summary>Scatter of the active part from donning to donning.</summary>
    public double ActiveScatter { get; init; } = 0.6;

    /// <summary>Donning scatter of every device.</summary>
    public double Donning { get; init; } = 1.5;

    /// <summary>Factor of the donning scatter by device, repeated when there are more devices; empty: 1 for all.</summary>
    public IReadOnlyList<double> DonningFactors { get; init; } = [];

    /// <summary>Whether <see cref="DonningFactors"/> is declared to the estimator as classes with a scatter of their own.</summary>
    public bool ClassesDeclared { get; init; }

    /// <summary>Scatter of a device between flights.</summary>
    public double Occasion { get; init; }

    /// <summary>Microphone put back, at every change.</summary>
    public double Position { get; init; } = 0.3;

    /// <summary>Fast wander of the level inside a take.</summary>
    public double Fast { get; init; } = 1;

    /// <summary>Correlation time of the fast wander, s.</summary>
    public double FastSeconds { get; init; } = 2;

    /// <summary>Slow wander of the noise over the flight.</summary>
    public double Slow { get; init; } = 0.5;

    /// <summary>Correlation time of the slow wander, s.</summary>
    public double SlowSeconds { get; init; } = 120;

    /// <summary>Trend of the noise, dB over 600 s.</summary>
    public double Trend { get; init; }

    /// <summary>Share of donnings that leak, and what a leak costs, dB.</summary>
    public (double Share, double Loss) Leak { get; init; }

    /// <summary>Error of one reading in the trial, dB.</summary>
    public double WrongReading { get; init; }

    /// <summary>Whether the noise outside is read at the same time, so that ambient changes cancel.</summary>
    public bool OutsideChannel { get; init; }

    /// <summary>Whether every simulated trial draws its own scatters around these: factors between a half and two, evenly in the logarithm.</summary>
    public bool Mixed { get; init; }

    /// <summary>The scenarios of the method's coverage table (2.3), and declared classes beside the undeclared ones.</summary>
    public static IReadOnlyList<ProofScenario> All { get; } =
    [
        new("base", "donnings scatter by 1.5 dB"),
        new("quiet", "donnings scatter by 0.6 dB") { Donning = 0.6 },
        new("loose", "donnings scatter by 3 dB, twice the assumed median") { Donning = 3 },
        new("slow-drift", "the noise wanders by 1.2 dB over 180 s") { Slow = 1.2, SlowSeconds = 180 },
        new("correlated", "the level wanders by 1.5 dB over 10 s inside takes") { Fast = 1.5, FastSeconds = 10 },
        new("trend", "the noise rises by 3 dB over the flight") { Trend = 3 },
        new("uneven", "donning scatter 0.5 and 2 times by device, not declared") { DonningFactors = [0.5, 2] },
        new("uneven-declared", "donning scatter 0.5 and 2 times by device, declared as classes") { DonningFactors = [0.5, 2], ClassesDeclared = true },
        new("wrong-reading", "one reading is 6 dB wrong") { WrongReading = 6 },
        new("leak", "one donning in ten loses 6 dB") { Leak = (0.1, 6) },
        new("occasion", "a device scatters by 1.2 dB between flights, twice its assumed scale; donnings 0.8 dB") { Occasion = 1.2, Donning = 0.8 },
        new("outside-channel", "the noise outside is read at the same time") { OutsideChannel = true },
        new("level-difference", "level differences; donnings 1.5 dB, the outside microphone put back within 0.4 dB") { Quantity = MeasuredQuantity.LevelDifference },
        new("level-difference-loose", "level differences; donnings 3 dB") { Quantity = MeasuredQuantity.LevelDifference, Donning = 3 },
        new("level-difference-occasion", "level differences; a device scatters by 0.8 dB between flights, all alike by 0.8 dB") { Quantity = MeasuredQuantity.LevelDifference, Occasion = 0.8, Flight = 0.8 },
        new("active-part", "active parts, which scatter by 0.6 dB between donnings whose seals scatter by 3 dB") { Quantity = MeasuredQuantity.ActivePart, Donning = 3 },
        new("active-part-loose", "active parts scatter by 1.6 dB, twice the assumed median") { Quantity = MeasuredQuantity.ActivePart, ActiveScatter = 1.6 },
        new("active-part-drift", "active parts; the noise wanders by 1.2 dB over 180 s") { Quantity = MeasuredQuantity.ActivePart, Slow = 1.2, SlowSeconds = 180 },
        new("mix", "every trial has scatters of its own") { Mixed = true, Occasion = 0.4 },
    ];
}
