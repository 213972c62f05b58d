using Hushtrial.Hearing.Speech;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>How a sound comes to the ear.</summary>
public enum SoundWay
{
    /// <summary>Through the headset's own electronics: the device's loss does not act on it.</summary>
    Headset,

    /// <summary>Through the air of the cabin: it loses what the noise loses.</summary>
    Air,
}

/// <summary>What becomes of the level of headset speech when another device lets another noise through.</summary>
public enum ListeningRule
{
    /// <summary>The volume stays as it was set.</summary>
    FixedVolume,

    /// <summary>The wearer sets the volume again until speech stands as far over the noise as before.</summary>
    FixedRatio,

    /// <summary>The wearer follows the noise by 0.42 dB for each dB, as field data on communication headsets show.</summary>
    FollowsNoise,
}

/// <summary>What a person has to hear: speech, warnings, and the quiet in which a device's own hiss shows.</summary>
/// <param name="Speech">Radio, intercom or spoken words; null when not asked.</param>
/// <param name="Warnings">Warning sounds.</param>
/// <param name="Quiet">Spans in a quiet room with the electronics on and off.</param>
/// <param name="OneEarOffPercent">Share of the time with one ear uncovered, 0…100; null when not asked.</param>
public sealed record ListeningPlan(SpeechHeard? Speech, IReadOnlyList<WarningHeard> Warnings, IReadOnlyList<QuietPair> Quiet, double? OneEarOffPercent)
{
    /// <summary>The recordings it names.</summary>
    public IEnumerable<string> Recordings => Warnings.Select(w => w.Span?.Recording).Concat(Warnings.SelectMany(w => w.Under).SelectMany(u => new[] { u.Sound?.Recording, u.Background?.Recording })).Concat(Quiet.SelectMany(q => new[] { q.On.Recording, q.Off.Recording })).OfType<string>();
}

/// <summary>Speech as it stands at the ear while somebody talks.</summary>
/// <param name="Way">Through the headset, or through the air of the cabin.</param>
/// <param name="LevelA">A-weighted level, dB re 20 µPa: under the device for the headset's way, at the open ear for the air; null when the spectrum alone is stated.</param>
/// <param name="Effort">The standard's spectrum that gives its shape; null when the bands do.</param>
/// <param name="Bands">Unweighted band levels; empty when the effort gives the shape.</param>
/// <param name="LowHertz">Lower end of the channel's pass band; null for no limit.</param>
/// <param name="HighHertz">Upper end; null for no limit.</param>
/// <param name="Uncertainty">Standard uncertainty of the level, dB.</param>
/// <param name="Rule">What becomes of the level under another device.</param>
/// <param name="SetUnder">Condition (identity, or 'open') under which the level was stated; null when it does not matter.</param>
/// <param name="Source">How the level is known, as written.</param>
public sealed record SpeechHeard(SoundWay Way, double? LevelA, VocalEffort? Effort, IReadOnlyList<KeyValuePair<Band, double>> Bands, double? LowHertz, double? HighHertz,
    double Uncertainty, ListeningRule Rule, string? SetUnder, string? Source);

/// <summary>One warning sound.</summary>
/// <param name="Id">Identity.</param>
/// <param name="Name">Name for readers.</param>
/// <param name="Place">Where it sounds and where it was taken, as written.</param>
/// <param name="Way">Through the air, or through the headset.</param>
/// <param name="Span">Where it was recorded, at the open ear (headset's way: under the device); null when its bands are stated.</param>
/// <param name="Background">A span of the same recording without it, or null.</param>
/// <param name="Bands">Its band levels where it was not recorded.</param>
/// <param name="Uncertainty">Standard uncertainty of its level, dB.</param>
public sealed record WarningHeard(string Id, string Name, string? Place, SoundWay Way, NamedSpan? Span, NamedSpan? Background, IReadOnlyList<KeyValuePair<Band, double>> Bands, double Uncertainty)
{
    /// <summary>The same sound under devices, on the ground.</summary>
    public IReadOnlyList<WarningUnder> Under { get; init; } = [];
}

/// <summary>What somebody who wore a device heard of a warning sound on the ground.</summary>
public enum GroundHearing
{
    /// <summary>Clearly.</summary>
    Clearly,

    /// <summary>Faintly, or not every time.</summary>
    Faintly,

    /// <summary>Not at all.</summary>
    Not,
}

/// <summary>A warning sound under a device on the ground, recorded, listened to, or both.</summary>
/// <param name="Condition">The condition worn.</param>
/// <param name="Sound">Where it was recorded under the device; null when it was listened to alone.</param>
/// <param name="Background">A span without it, the device left as it was; null for none.</param>
/// <param name="Heard">What was heard by ear; null when nobody said.</param>
/// <param name="By">Who listened and how, as written.</param>
public sealed record WarningUnder(string Condition, NamedSpan? Sound, NamedSpan? Background, GroundHearing? Heard, string? By);

/// <summary>A device in a quiet room, its electronics on and off, nothing else changed.</summary>
/// <param name="Condition">The condition with the electronics on.</param>
/// <param name="On">Span with the electronics on.</param>
/// <param name="Off">Span with them off, in the same fit.</param>
public sealed record QuietPair(string Condition, NamedSpan On, NamedSpan Off);

/// <summary>A span of a recording.</summary>
/// <param name="Recording">Identity of the recording.</param>
/// <param name="From">Start, s.</param>
/// <param name="To">End, s.</param>
public sealed record NamedSpan(string Recording, double From, double To);
