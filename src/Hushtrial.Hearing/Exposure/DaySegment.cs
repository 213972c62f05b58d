using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>A stretch of a day at one steady state.</summary>
/// <remarks>At least one of <see cref="AtEar"/> and <see cref="Outside"/> is given. All levels are A-weighted and referred to the field.</remarks>
public sealed record DaySegment
{
    /// <summary>What it is, for example 'cruise'.</summary>
    public required string Name { get; init; }

    /// <summary>How long it lasts on the day.</summary>
    public required TimeSpan Duration { get; init; }

    /// <summary>Level at the ear under the device, communication not included; null without a device.</summary>
    public EarLevel? AtEar { get; init; }

    /// <summary>Level outside the device (cabin); null when not known.</summary>
    public EarLevel? Outside { get; init; }

    /// <summary>Share of the stretch with the device off, 0…1; needs <see cref="Outside"/> when above 0.</summary>
    public double ShareOff { get; init; }

    /// <summary>True when one ear is left uncovered, as with one cup pushed back; needs <see cref="Outside"/>.</summary>
    public bool OneEarUncovered { get; init; }

    /// <summary>Level of the communication alone at the ear while someone talks; null without.</summary>
    public EarLevel? Communication { get; init; }

    /// <summary>Share of the worn time with communication, 0…1.</summary>
    public double CommunicationShare { get; init; }

    /// <summary>What is wrong with the entry, in words; null when it can be used.</summary>
    public string? Fault() => this switch
    {
        { Duration.Ticks: <= 0 } => "the duration is not above 0",
        { Duration.TotalHours: > 24 } => "the duration exceeds 24 h",
        { AtEar: null, Outside: null } => "neither the level at the ear nor the level outside is given",
        { ShareOff: not (>= 0 and <= 1) } => "the share of off-time is outside 0…1",
        { CommunicationShare: not (>= 0 and <= 1) } => "the share of communication is outside 0…1",
        { ShareOff: > 0, AtEar: not null, Outside: null } => "off-time needs the level outside",
        { OneEarUncovered: true, Outside: null } => "an uncovered ear needs the level outside",
        { CommunicationShare: > 0, Communication: null } => "a share of communication needs its level",
        _ => null,
    };

    /// <summary>Mean-square ratio at the covered ear: worn with communication, and off.</summary>
    internal double CoveredEnergy(LimitKind kind) => NoiseEnergy(kind) + CommunicationEnergy(kind);

    /// <summary>Mean-square ratio of the noise alone at the covered ear.</summary>
    internal double NoiseEnergy(LimitKind kind)
    {
        var worn = Energy(AtEar ?? Outside!, kind);
        return ShareOff > 0 && Outside is { } outside ? ((1 - ShareOff) * worn) + (ShareOff * Energy(outside, kind)) : worn;
    }

    /// <summary>Mean-square ratio of the communication, averaged over the stretch.</summary>
    internal double CommunicationEnergy(LimitKind kind) => Communication is { } c ? (1 - ShareOff) * CommunicationShare * Energy(c, kind) : 0;

    /// <summary>Mean-square ratio at the worse ear.</summary>
    internal double WorseEnergy(LimitKind kind) =>
        OneEarUncovered && Outside is { } outside ? Math.Max(CoveredEnergy(kind), Energy(outside, kind)) : CoveredEnergy(kind);

    private static double Energy(EarLevel level, LimitKind kind) => Math.Pow(10, level.At(kind) / 10);
}
