using Hushtrial.Trials.Document;
using static System.FormattableString;

namespace Hushtrial.Trials.Screening;

/// <summary>The open-ear brackets of one run held against each other: what is left to tell a changed cabin where no microphone stands outside.</summary>
/// <remarks>A bracket is what the estimate calls an episode: open-ear takes with no covered ear between them. Limits: <see cref="CabinCheck"/>.</remarks>
internal static class OpenBrackets
{
    private const double MostBetweenNeighbours = 3;
    private const double MostInside = 3;
    private const double MostInRun = 5;

    /// <summary>A difference beyond its limit.</summary>
    /// <param name="Decibels">The difference, A-weighted, dB.</param>
    /// <param name="Words">It in words.</param>
    /// <param name="Expected">The limit in words.</param>
    /// <param name="Takes">The takes of both sides.</param>
    public sealed record Difference(double Decibels, string Words, string Expected, IReadOnlyList<string> Takes);

    private sealed record Bracket(IReadOnlyList<(string Take, double A)> Takes)
    {
        public double Mean => Takes.Average(t => t.A);
    }

    /// <summary>The difference that goes furthest beyond its limit; null when none does.</summary>
    /// <param name="run">All takes of one run and wearer.</param>
    public static Difference? Furthest(IEnumerable<TakeLevels> run)
    {
        var brackets = Of(run);
        var all = new List<(Difference Difference, double Limit)>();
        for (var i = 0; i < brackets.Count; i++)
        {
            var (low, high) = (brackets[i].Takes.MinBy(t => t.A), brackets[i].Takes.MaxBy(t => t.A));
            all.Add((new(high.A - low.A, Invariant($"open-ear levels {high.A - low.A:0.0} dB apart in one bracket"), "open-ear levels within 3 dB in a bracket", [low.Take, high.Take]), MostInside));
            for (var j = i + 1; j < brackets.Count; j++) all.Add((Between(brackets[i], brackets[j], j == i + 1), j == i + 1 ? MostBetweenNeighbours : MostInRun));
        }
        return all.Where(d => d.Difference.Decibels > d.Limit).OrderByDescending(d => d.Difference.Decibels - d.Limit).Select(d => d.Difference).FirstOrDefault();
    }

    private static Difference Between(Bracket one, Bracket other, bool neighbours)
    {
        var apart = Math.Abs(one.Mean - other.Mean);
        return new(apart, neighbours ? Invariant($"open-ear levels {apart:0.0} dB apart from one bracket to the next") : Invariant($"open-ear levels {apart:0.0} dB apart in one run"),
            neighbours ? "open-ear levels within 3 dB from one bracket to the next" : "open-ear levels within 5 dB in a run", [.. one.Takes.Concat(other.Takes).Select(t => t.Take)]);
    }

    private static List<Bracket> Of(IEnumerable<TakeLevels> run)
    {
        var takes = run.ToList();
        // Where one take has no clock the order in which they were written stands in for it.
        if (takes.All(t => t.Clock is not null)) takes = [.. takes.OrderBy(t => t.Clock)];
        var brackets = new List<List<(string, double)>> { new() };
        foreach (var take in takes)
        {
            if (take.Entry.Condition != TrialDocument.OpenEar) brackets.Add([]);
            else if (take.Entry.Excluded is null && take.Ears[0].A is { } a) brackets[^1].Add((take.Entry.Id, a));
        }
        return [.. brackets.Where(b => b.Count > 0).Select(b => new Bracket(b))];
    }
}
