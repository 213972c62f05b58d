using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Ratings;

/// <summary>Customary reductions of labelled ratings. Applied on request only, and named when applied.</summary>
public enum Derating
{
    /// <summary>As labelled.</summary>
    None,

    /// <summary>Half: OSHA field practice (OSHA Technical Manual, read in secondary pages).</summary>
    OshaHalf,

    /// <summary>Three quarters, for earmuffs (NIOSH 98-126, chapter 6, read in a secondary source).</summary>
    NioshEarmuff,

    /// <summary>Half, for slow-recovery formable earplugs (same source).</summary>
    NioshFormablePlug,

    /// <summary>Three tenths, for all other earplugs (same source).</summary>
    NioshOtherPlug,
}

/// <summary>Levels under a protector with a derated NRR.</summary>
public static class Deratings
{
    /// <summary>What the UK regulator adds to a predicted level for real-world use: 4 dB (HSE L108, confirmed in secondary pages).</summary>
    public static LevelDifference UkRealWorldAllowance { get; } = LevelDifference.FromDecibels(4);

    /// <summary>From the C-weighted level: LC − f · NRR.</summary>
    public static Level ByNrr(Level levelC, LevelDifference nrr, Derating derating) => levelC - (nrr * Factor(derating));

    /// <summary>From the A-weighted level. OSHA halves what is left after the 7 dB: LA − 0.5 (NRR − 7); NIOSH derates first: LA − (f · NRR − 7), from memory.</summary>
    public static Level ByNrrFromA(Level levelA, LevelDifference nrr, Derating derating) => derating == Derating.OshaHalf
        ? levelA - ((nrr - LevelDifference.FromDecibels(7)) * 0.5)
        : levelA - ((nrr * Factor(derating)) - LevelDifference.FromDecibels(7));

    /// <summary>How the level is found, in words: what is taken off which level, and whose derating it is.</summary>
    /// <param name="derating">The derating.</param>
    /// <param name="fromA">True for the A-weighted level (<see cref="ByNrrFromA"/>), false for the C-weighted one (<see cref="ByNrr"/>).</param>
    public static string Words(Derating derating, bool fromA)
    {
        var level = fromA ? "with the A-level" : "with the C-level";
        return derating switch
        {
            Derating.None => (fromA ? "NRR − 7 " : "NRR ") + level,
            Derating.OshaHalf => (fromA ? "half of (NRR − 7) " : "half the NRR ") + level + ", the customary OSHA derating",
            Derating.NioshEarmuff => (fromA ? "0.75 NRR − 7 " : "0.75 NRR ") + level + ", the NIOSH derating for earmuffs",
            Derating.NioshFormablePlug => (fromA ? "0.5 NRR − 7 " : "0.5 NRR ") + level + ", the NIOSH derating for formable earplugs",
            Derating.NioshOtherPlug => (fromA ? "0.3 NRR − 7 " : "0.3 NRR ") + level + ", the NIOSH derating for other earplugs",
            _ => throw new ArgumentOutOfRangeException(nameof(derating), derating, "Unknown derating."),
        };
    }

    /// <summary>What is left of the rating, 0…1.</summary>
    public static double Factor(Derating derating) => derating switch
    {
        Derating.None => 1,
        Derating.OshaHalf or Derating.NioshFormablePlug => 0.5,
        Derating.NioshEarmuff => 0.75,
        Derating.NioshOtherPlug => 0.3,
        _ => throw new ArgumentOutOfRangeException(nameof(derating), derating, "Unknown derating."),
    };
}
