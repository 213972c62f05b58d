namespace Hushtrial.Trials.Finding;

/// <summary>A stretch between two changes of the level, and its usable part.</summary>
/// <param name="FirstStep">First step behind the change.</param>
/// <param name="EndStep">Step of the next change.</param>
/// <param name="Core">Median level of each group inside, dB.</param>
/// <param name="Parts">Clean parts in steps, edges and transients left off; those shorter than a take included.</param>
/// <param name="Range">Spread of half-second levels inside, the middle 90 %, the largest of the groups, dB.</param>
/// <param name="Trend">Largest change of a group from the first to the last third, dB.</param>
/// <param name="Transients">Sounds kept out.</param>
internal sealed record SteadySpan(int FirstStep, int EndStep, double[] Core, IReadOnlyList<(int First, int End)> Parts, double Range, double Trend, int Transients)
{
    /// <summary>Mean of the groups from 2 kHz on, dB.</summary>
    public double HighLevel => BandGroups.High.Average(g => Core[g]);

    /// <summary>Most spread of half-second levels in a take, dB (method, section 6).</summary>
    public const double MostRange = 6;

    /// <summary>Most trend in a take, dB (method, section 6).</summary>
    public const double MostTrend = 5;

    /// <summary>Whether it is steady enough for a take.</summary>
    public bool IsSteady => Range <= MostRange && Trend <= MostTrend;
}
