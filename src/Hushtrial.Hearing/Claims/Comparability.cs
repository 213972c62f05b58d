namespace Hushtrial.Hearing.Claims;

/// <summary>What a published figure is.</summary>
public enum PublishedKind
{
    /// <summary>Octave means and deviations from threshold tests.</summary>
    ThresholdOctaves,

    /// <summary>Octave means and deviations from microphones at the ear.</summary>
    MicrophoneOctaves,

    /// <summary>SNR, NRR or H, M, L.</summary>
    SingleNumber,

    /// <summary>A figure at one frequency, or 'up to'.</summary>
    OneFrequency,

    /// <summary>The part of the electronics alone.</summary>
    ActivePart,
}

/// <summary>Why a published figure and a field measurement disagree, and by how much they usually do.</summary>
/// <param name="Text">The reason, for readers.</param>
/// <param name="UsualLow">Lower end of the usual disagreement, dB; negative when the published figure can be the lower.</param>
/// <param name="UsualHigh">Upper end, dB.</param>
/// <param name="Source">Where the size comes from.</param>
public sealed record Disagreement(string Text, double UsualLow, double UsualHigh, string Source);

/// <summary>Says which published figures cannot be compared one to one with a measured insertion loss.</summary>
public static class Comparability
{
    private static readonly Disagreement _masking = new("Threshold tests read high at 125 Hz and below, because the wearer's own body noise masks the covered threshold; from 250 Hz to 8 kHz the methods agree.",
        0, 4, "published comparisons of threshold and microphone methods");

    private static readonly Disagreement _wearer = new("Field losses of single wearers differ from predictions; loose fits, spectacles, hair and worn cushions lower them.",
        -3, 26.5, "surveys of 91 and 238 earmuff wearers in factories: prediction minus found");

    private static readonly Disagreement _singleNumber = new("A single number hides the spectrum. In a cabin with C − A of 12 dB one and the same plug is predicted between 11 and 29 dB(A), depending on the rating used; look at C − A before using any.",
        0, 18, "computed for a piston-aircraft-like spectrum");

    private static readonly Disagreement _oneFrequency = new("A figure at one frequency is the best band, not the dB(A): 15 dB in the best band were 12.5 dB(A) in one cabin; in flight 3 to 19 dB in bands became 4 to 8 dB overall.",
        2, 15, "a built cabin spectrum; published flights with active helmets");

    private static readonly Disagreement _ear = new("Figures from a microphone in the ear canal without referring them to the field count the ear's own gain near 3 kHz and read high in dB(A).",
        3, 6, "computed for an aircraft-like and a broadband spectrum");

    private static readonly Disagreement _active = new("The active part depends on level: it shrinks in very loud noise, and electronics can raise the level at 1 to 2 kHz.",
        0, 15, "published laboratory tests up to 135 dB");

    /// <summary>The reasons that apply to one kind of published figure.</summary>
    public static IReadOnlyList<Disagreement> Of(PublishedKind kind) => kind switch
    {
        PublishedKind.ThresholdOctaves => [_masking, _wearer],
        PublishedKind.MicrophoneOctaves => [_ear, _wearer],
        PublishedKind.SingleNumber => [_singleNumber, _masking, _wearer],
        PublishedKind.OneFrequency => [_oneFrequency, _ear],
        PublishedKind.ActivePart => [_active, _oneFrequency],
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Unknown kind."),
    };
}
