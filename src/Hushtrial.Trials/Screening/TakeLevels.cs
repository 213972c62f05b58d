using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Screening;

/// <summary>The levels of one take, as read, in dB re 20 µPa or, uncalibrated, re full scale.</summary>
/// <param name="Entry">The take as written.</param>
/// <param name="Clock">Mid time on the clock of its run, s; null when there is none.</param>
/// <param name="Seconds">Length, s; null for a noted reading.</param>
/// <param name="Ears">One reading per ear microphone (noted readings: one).</param>
/// <param name="Outside">The outside microphone at the same time, or null.</param>
/// <param name="Findings">What the checks found.</param>
public sealed record TakeLevels(TakeEntry Entry, double? Clock, double? Seconds, IReadOnlyList<ChannelLevels> Ears, ChannelLevels? Outside,
    IReadOnlyList<Problem> Findings)
{
    /// <summary>Whether it enters the estimate: not left out by the user, without radio, not refused, and something was read.</summary>
    public bool Used => Entry.LeftOut is null && Refused is null && Ears.Count > 0;

    /// <summary>Why it cannot be used although the user did not leave it out; null when it can.</summary>
    public string? Refused { get; init; }

    /// <summary>Bands in which a tone stands on the other side of an edge than in the other takes of the run, so that no difference can be read from them.</summary>
    public IReadOnlyList<Band> Incomparable { get; init; } = [];

    /// <summary>The channels that were read from their safety track, whose gain is known with an uncertainty.</summary>
    public IReadOnlyList<SafetyReading> Safety { get; init; } = [];

    /// <summary>What checks over several takes found while the sound was there; null for a take whose sound is there still.</summary>
    public IReadOnlyList<Problem>? ComparedBefore { get; init; }

    /// <summary>The take with speech and bursts set aside; null when there are none.</summary>
    public Gate? Gate { get; init; }

    /// <summary>Mean coherence of each ear with the outside microphone from 20 to 100 Hz, 0…1; empty without one, or for a take shorter than 4 s.</summary>
    public IReadOnlyList<double> Coherence { get; init; } = [];
}

/// <summary>A channel of a take that was read from its safety track.</summary>
/// <param name="Recording">Identity of the recording: the gain was measured once, for all takes in it; null where it is the stated one of all recordings.</param>
/// <param name="Channel">Identity of the channel.</param>
/// <param name="StandardUncertainty">Of the gain below the main track, dB.</param>
public sealed record SafetyReading(string? Recording, string Channel, double StandardUncertainty);

/// <summary>The levels of one channel in one take, dB; null where nothing was read or digital silence has no level.</summary>
/// <param name="Channel">Identity of the channel; empty for a noted reading.</param>
/// <param name="A">A-weighted.</param>
/// <param name="C">C-weighted.</param>
/// <param name="Bands">Unweighted one-third octaves that the sampling rate can carry.</param>
public sealed record ChannelLevels(string Channel, double? A, double? C, IReadOnlyDictionary<Band, double> Bands)
{
    /// <summary>Narrow-band looks at the frequencies that claims name; empty without such claims.</summary>
    public IReadOnlyList<NarrowLook> Looks { get; init; } = [];

    /// <summary>C-weighted peak, dB re 20 µPa or re full scale (a signal that just reaches full scale has 0 dB); null for a noted reading or silence.</summary>
    public double? PeakC { get; init; }

    /// <summary>Levels of half seconds inside the take, dB; null for a noted reading.</summary>
    public ShortTermLevels? HalfSeconds { get; init; }

    /// <summary>What the checks need beside the levels; null for a noted reading.</summary>
    public ChannelSignal? Signal { get; init; }
}

/// <summary>Levels of one channel in consecutive half seconds, dB. A series with a moment of digital silence is absent.</summary>
/// <param name="A">A-weighted.</param>
/// <param name="C">C-weighted.</param>
/// <param name="Bands">Unweighted one-third octaves.</param>
public sealed record ShortTermLevels(IReadOnlyList<double>? A, IReadOnlyList<double>? C, IReadOnlyDictionary<Band, IReadOnlyList<double>> Bands)
{
    /// <summary>Length of a value, s.</summary>
    public const double Seconds = 0.5;
}
