using Hushtrial.Quantities;

namespace Hushtrial.Trials.Results;

/// <summary>What a level at the ear refers to.</summary>
public enum LevelKind
{
    /// <summary>As read at the microphone.</summary>
    AsRead,

    /// <summary>Referred to the field without the head.</summary>
    FieldRelated,
}

/// <summary>How the levels of a trial are referred to the field.</summary>
/// <param name="Kind">Whether they can be.</param>
/// <param name="Words">How, or why not, as it stands on figures and tables.</param>
/// <param name="Transfer">Transfer from the field to the ear by band, dB; empty when not known.</param>
public sealed record LevelReference(LevelKind Kind, string Words, IReadOnlyDictionary<Band, double> Transfer)
{
    /// <summary>As read, nothing more stated.</summary>
    public static LevelReference AsRead { get; } = new(LevelKind.AsRead, "as read at the microphone", new Dictionary<Band, double>());
}

/// <summary>What the electronics of one condition add in the same donning: off minus on. The seal is common to both and cancels.</summary>
/// <param name="Condition">Identity of the condition with the electronics on.</param>
/// <param name="Name">Its name for readers.</param>
/// <param name="Off">Identity of the condition with them off.</param>
/// <param name="Fits">Number of donnings with both.</param>
/// <param name="Part">The active part.</param>
/// <param name="Sentence">In plain words, with the bands in which it is worse.</param>
public sealed record ActivePartResult(string Condition, string Name, string Off, int Fits, SpectrumEffect Part, string? Sentence);

/// <summary>The level at the outside microphone, mean of all takes used, dB re 20 µPa.</summary>
/// <param name="A">A-weighted; null when not read.</param>
/// <param name="C">C-weighted; null when not read.</param>
/// <param name="Bands">Unweighted band levels.</param>
/// <param name="StandardUncertainty">Of its calibration, dB.</param>
public sealed record OutsideLevel(double? A, double? C, IReadOnlyDictionary<Band, double> Bands, double StandardUncertainty);
