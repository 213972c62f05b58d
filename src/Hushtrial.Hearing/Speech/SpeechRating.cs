namespace Hushtrial.Hearing.Speech;

/// <summary>Intelligibility in the words of ISO 9921.</summary>
public enum SpeechRating
{
    /// <summary>Sentences below 70 %.</summary>
    Bad,

    /// <summary>Sentences 70 to 100 %.</summary>
    Poor,

    /// <summary>Sentences all understood, single words 80 to 93 %.</summary>
    Fair,

    /// <summary>Single words 93 to 98 %.</summary>
    Good,

    /// <summary>Single words above 98 %.</summary>
    Excellent,
}

/// <summary>A rating that a measure narrows down to one word or to a range of them.</summary>
/// <param name="Worst">The worst word that fits.</param>
/// <param name="Best">The best word that fits.</param>
public readonly record struct SpeechRatingRange(SpeechRating Worst, SpeechRating Best)
{
    /// <summary>One word, or 'poor or worse' and the like.</summary>
    public override string ToString() => Worst == Best ? Worst.ToString().ToLowerInvariant()
        : $"{Worst.ToString().ToLowerInvariant()} to {Best.ToString().ToLowerInvariant()}";
}

/// <summary>From a measure of intelligibility to the words of ISO 9921.</summary>
/// <remarks>Source: the table of ISO 9921:2003 relating scores, STI, SIL and SII, as summarised by the former convenor of its working group. The words
/// describe average talkers and listeners; safety messages need at least 'fair'.</remarks>
public static class SpeechRatings
{
    /// <summary>By speech transmission index.</summary>
    public static SpeechRating FromSti(double sti) => sti switch
    {
        > 0.75 => SpeechRating.Excellent,
        >= 0.60 => SpeechRating.Good,
        >= 0.45 => SpeechRating.Fair,
        >= 0.30 => SpeechRating.Poor,
        _ => SpeechRating.Bad,
    };

    /// <summary>By speech level minus speech interference level, dB.</summary>
    public static SpeechRating FromSpeechOverInterference(double decibels) => decibels switch
    {
        > 21 => SpeechRating.Excellent,
        >= 15 => SpeechRating.Good,
        >= 10 => SpeechRating.Fair,
        >= 3 => SpeechRating.Poor,
        _ => SpeechRating.Bad,
    };

    /// <summary>By speech intelligibility index: the table gives only the outer limits.</summary>
    public static SpeechRatingRange FromSii(double sii) => sii switch
    {
        > 0.75 => new(SpeechRating.Excellent, SpeechRating.Excellent),
        >= 0.45 => new(SpeechRating.Fair, SpeechRating.Good),
        _ => new(SpeechRating.Bad, SpeechRating.Poor),
    };
}
