namespace Hushtrial.Trials.Alignment;

/// <summary>How the clock of one instrument lies on that of another, with what speaks for it.</summary>
/// <remarks>Time of the reference = <see cref="Offset"/> + time of the other · (1 + <see cref="DriftPpm"/>·10⁻⁶), both in seconds from their first sample or row.</remarks>
/// <param name="Offset">Time of the reference at the first sample or row of the other, s.</param>
/// <param name="DriftPpm">Parts per million by which the clock of the other is slow.</param>
/// <param name="Residual">Root mean square of what the single pieces differ from the line, s.</param>
/// <param name="WorstResidual">The largest of these, s.</param>
/// <param name="Uncertainty">Standard uncertainty of the line where it is worst, at an end of the common time, s.</param>
/// <param name="Pieces">Pieces (windows of the curves, or claps) that had something to compare.</param>
/// <param name="Used">Those that lie on the line.</param>
/// <param name="Overlap">Common time, s.</param>
/// <param name="Evidence">What the decision rests on, in words.</param>
/// <param name="Refusal">Why it must not be used, in words; null when it may be.</param>
public sealed record ClockFit(double Offset, double DriftPpm, double Residual, double WorstResidual, double Uncertainty, int Pieces, int Used, double Overlap, string Evidence, string? Refusal)
{
    /// <summary>Nothing was found.</summary>
    public static ClockFit Refused(string why, string evidence = "") => new(double.NaN, double.NaN, double.NaN, double.NaN, double.NaN, 0, 0, 0, evidence, why);

    /// <summary>Whether it may be used.</summary>
    public bool IsAccepted => Refusal is null;

    /// <summary>The same seen from the other instrument.</summary>
    public ClockFit Reversed()
    {
        var rate = 1 + (DriftPpm * 1e-6);
        return this with { Offset = -Offset / rate, DriftPpm = ((1 / rate) - 1) * 1e6 };
    }
}
