namespace Hushtrial.Trials.Proof;

/// <summary>A share of simulated trials (or pairs) with its simulation error.</summary>
/// <param name="Value">The share, 0 to 1; null when nothing of the kind occurs in the design.</param>
/// <param name="Error">Standard error from the number of trials: the pairs of one trial count as one.</param>
public sealed record ProofShare(double? Value, double Error)
{
    internal static ProofShare Of(IReadOnlyList<double> perTrial)
    {
        if (perTrial.Count == 0) return new(null, 0);
        var mean = perTrial.Average();
        // At least what one odd trial more would change: a share of 0 or 1 is not known exactly either.
        return new(mean, Math.Max(Math.Sqrt(perTrial.Average(v => (v - mean) * (v - mean)) / perTrial.Count), 1.0 / (perTrial.Count + 1)));
    }
}

/// <summary>What the estimator did in many simulated trials of one design in one world.</summary>
/// <param name="Design">The design.</param>
/// <param name="Scenario">The scenario.</param>
/// <param name="Trials">Number of simulated trials.</param>
/// <param name="Coverage">Share of pairs whose single 95 % interval in the general scope holds the true difference.</param>
/// <param name="WorstPair">The same for the pair that fared worst.</param>
/// <param name="WorstPairName">That pair.</param>
/// <param name="CoverageAsWorn">Share of pairs whose 95 % interval as worn holds the difference really worn.</param>
/// <param name="CoverageLoss">Share of insertion losses whose 95 % interval in the general scope holds the true one.</param>
/// <param name="HalfWidth">Median half-width of a pair's 95 % interval in the general scope, dB.</param>
/// <param name="HalfWidthAsWorn">Median half-width as worn, dB.</param>
/// <param name="FalseDifferent">Share of trials in which any equal pair is called different (all pairs at once).</param>
/// <param name="FalseEquivalent">Share of trials in which any pair that differs by the margin or more is called equivalent.</param>
/// <param name="WrongSign">Share of trials in which any pair is called different the wrong way round.</param>
/// <param name="PowerTwo">Share of pairs up to 2 dB apart (not equal) whose single 95 % interval excludes 0.</param>
/// <param name="PowerMore">Share of pairs more than 2 dB apart whose single 95 % interval excludes 0.</param>
public sealed record ProofCell(ProofDesign Design, ProofScenario Scenario, int Trials, ProofShare Coverage, ProofShare WorstPair, string WorstPairName, ProofShare CoverageAsWorn,
    ProofShare CoverageLoss, double HalfWidth, double HalfWidthAsWorn, ProofShare FalseDifferent, ProofShare FalseEquivalent, ProofShare WrongSign, ProofShare PowerTwo, ProofShare PowerMore);
