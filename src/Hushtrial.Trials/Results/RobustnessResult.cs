using Hushtrial.Quantities;

namespace Hushtrial.Trials.Results;

/// <summary>A loss under a changed set of readings.</summary>
/// <param name="Condition">The condition.</param>
/// <param name="Value">A-weighted loss with the readings as used, dB.</param>
/// <param name="Changed">The same with the changed set, dB.</param>
public sealed record LossShift(string Condition, double Value, double Changed);

/// <summary>A verdict that a changed set of readings turns.</summary>
/// <param name="First">First condition.</param>
/// <param name="Second">Second condition.</param>
/// <param name="From">The verdict with the readings as used.</param>
/// <param name="To">The verdict with the changed set; null when nothing can be said then.</param>
/// <param name="Low">Lower simultaneous 95 % limit with the changed set, first minus second, dB; null when nothing can be said.</param>
/// <param name="High">Upper simultaneous 95 % limit, dB.</param>
public sealed record VerdictShift(string First, string Second, VerdictKind From, VerdictKind? To, double? Low, double? High);

/// <summary>The A-weighted answer of the leading scope under a changed set of readings.</summary>
/// <param name="Changed">Identity of what was left out or put back.</param>
/// <param name="Losses">Loss of every condition in question before and after.</param>
/// <param name="Verdicts">The verdicts that change; empty when none does.</param>
/// <param name="Sentence">The same in one plain sentence.</param>
public sealed record ChangedAnswer(string Changed, IReadOnlyList<LossShift> Losses, IReadOnlyList<VerdictShift> Verdicts, string Sentence)
{
    /// <summary>Why it was left out or put back, in words; null where the sentence alone says it.</summary>
    public string? Why { get; init; }
}

/// <summary>What would change the verdicts.</summary>
/// <param name="WithoutDonning">Each donning left out in turn; donnings that are the only one of their condition are not in it.</param>
/// <param name="WithExcluded">Each take that the user left out, or that was refused, put back in turn.</param>
/// <param name="Problems">Outlying readings: flagged, never dropped.</param>
/// <param name="Sentence">What the donnings left out in turn show, in one plain sentence.</param>
public sealed record RobustnessResult(IReadOnlyList<ChangedAnswer> WithoutDonning, IReadOnlyList<ChangedAnswer> WithExcluded, IReadOnlyList<Problem> Problems, string Sentence)
{
    /// <summary>Each used take that a check flagged, left out in turn.</summary>
    public IReadOnlyList<ChangedAnswer> WithoutFlagged { get; init; } = [];

    /// <summary>All takes that a check flagged left out together; null with fewer than two, or when nothing would be left.</summary>
    public ChangedAnswer? WithoutAllFlagged { get; init; }

    /// <summary>Every take with speech or bursts by its noise alone; null when no used take has any.</summary>
    public ChangedAnswer? NoiseOnly { get; init; }

    /// <summary>The bands that are not trusted left out, one reason at a time; empty where none is greyed. The A-weighted results themselves hold every band.</summary>
    public IReadOnlyList<ChangedAnswer> WithoutGreyed { get; init; } = [];

    /// <summary>Nothing examined.</summary>
    public static RobustnessResult None { get; } = new([], [], [], "There is nothing to leave out.");
}
