using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Claims;

/// <summary>What a measurement says of a claim.</summary>
public enum ClaimVerdict
{
    /// <summary>The claim, less the allowance, is met with 95 % confidence.</summary>
    Supported,

    /// <summary>It is missed with 95 % confidence.</summary>
    Contradicted,

    /// <summary>The measurement cannot tell.</summary>
    Unresolved,
}

/// <summary>The outcome for one claim.</summary>
/// <param name="Verdict">The verdict.</param>
/// <param name="Probability">Probability that the claim, less the allowance, holds for what was measured.</param>
/// <param name="Sentence">The outcome in one plain sentence, fair to the maker.</param>
/// <param name="ReachedAt">For 'up to' claims: the band where the value is reached with confidence; null otherwise.</param>
public sealed record ClaimOutcome(ClaimVerdict Verdict, double Probability, string Sentence, Band? ReachedAt = null)
{
    /// <summary>Allowance for differences of method between maker and trial: 2 dB; 0 is strict.</summary>
    public static LevelDifference UsualAllowance { get; } = LevelDifference.FromDecibels(2);

    /// <summary>What is printed with every claim.</summary>
    public const string Fairness = "Measured on these heads, with these fits and in this noise. The maker may have used another method, other people and another noise; "
        + "a difference is no proof of a wrong statement, and agreement no certificate.";
}

/// <summary>A measured loss beside the one predicted from published octave data.</summary>
public enum PublishedStanding
{
    /// <summary>The difference is compatible with 0.</summary>
    Consistent,

    /// <summary>Measured less than published, with 97.5 % confidence.</summary>
    Below,

    /// <summary>Measured more than published, with 97.5 % confidence.</summary>
    Above,
}

/// <summary>Measured minus predicted.</summary>
/// <param name="Standing">Where the measurement lies.</param>
/// <param name="Difference">Mean of measured minus predicted.</param>
/// <param name="Low">Lower 95 % limit.</param>
/// <param name="High">Upper 95 % limit.</param>
/// <param name="ProbabilityBelow">Probability that the measured loss is the smaller.</param>
/// <param name="Sentence">In one plain sentence.</param>
public sealed record PublishedComparison(PublishedStanding Standing, LevelDifference Difference, LevelDifference Low, LevelDifference High, double ProbabilityBelow, string Sentence);
