using Hushtrial.Hearing.Claims;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Wording;

/// <summary>The outcomes of all claims in one plain sentence.</summary>
public static class ClaimSummary
{
    /// <summary>Counts the claims, and their outcomes over the conditions that they were held against, and says what the labelled figures are worth here.</summary>
    public static string Of(TrialResults results)
    {
        var claims = results.Claims.Where(c => c.Kind is PublishedFigureKind.AtLeast or PublishedFigureKind.UpTo or PublishedFigureKind.Mean).ToList();
        // A claim of a device is held against every condition that it speaks of.
        var published = claims.Select(c => (c.Device.Id, c.Kind, c.Words, c.Claimed, c.Band, c.ActivePart)).Distinct().Count();
        var parts = new List<string>();
        Add(claims.Count(c => c.Verdict == ClaimVerdict.Supported), "supported");
        Add(claims.Count(c => c.Verdict == ClaimVerdict.Contradicted), "contradicted by this measurement");
        Add(claims.Count(c => c.ReachedAt is not null), "reached in at least one band, which is all that ‘up to’ promises");
        Add(claims.Count(c => c.Verdict == ClaimVerdict.Unresolved && c.ReachedAt is null && c.Probability is not null), "not resolved");
        Add(claims.Count(c => c.Probability is null), "not tested");
        var sentence = claims.Count == 0 ? "" : $"Of {Words.Count(published, "claim")}, each on each condition it speaks of{(claims.Count == published ? "" : $", {Words.Count(claims.Count, "outcome")}")}: {string.Join("; ", parts)}. ";
        return sentence + (results.Claims.Count > claims.Count ? "Published octave data and labelled numbers are values for many wearers: one wearer neither proves nor refutes them." : "");

        void Add(int n, string words)
        {
            if (n > 0) parts.Add($"{n} {words}");
        }
    }
}
