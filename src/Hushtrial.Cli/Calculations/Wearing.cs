using Hushtrial.Hearing.Exposure;
using static Hushtrial.Cli.Calculations.CalculationCommand;

namespace Hushtrial.Cli.Calculations;

/// <summary>A device judged by the level under it, and apart from it what the way of wearing adds to the day.</summary>
internal sealed class Wearing(DayExposure day)
{
    // Half a decibel is an eighth of the energy; below that nobody need be told. Own rule.
    private const double WorthSaying = 0.5;

    /// <summary>The judgement of the level while worn; of the level at the ear where no device is worn.</summary>
    public string Remark => ProtectionBands.Describe(ProtectionBands.At(day.LevelWhileWorn ?? day.EquivalentLevel.Best, ProtectionBands.UsualActionLevel));

    /// <summary>By how many decibels the level over the whole time lies above that while worn; null when no device is worn.</summary>
    public double? Raised => day.LevelWhileWorn is { } worn ? (day.EquivalentLevel.Best - worn).Decibels : null;

    /// <summary>The judgement, and the fault of wearing where there is one.</summary>
    public IEnumerable<string> Lines()
    {
        yield return (day.LevelWhileWorn is { } worn ? Words($"while worn, {worn.Decibels:0.0} dB(A) under the device: ") : "no device is worn: ") + Remark;
        if (Raised is not > WorthSaying) yield break;
        var causes = Causes().ToList();
        yield return Words($"the level over the whole time lies {Raised:0.0} dB above that because of {string.Join(" and ", causes)}")
            + (causes.Count == 1 && causes[0] == Communication ? "." : ": that is a matter of wearing, and a better device does little against it.");
    }

    private const string Communication = "what is said over the device";

    private IEnumerable<string> Causes()
    {
        var off = day.Segments.Where(s => s.AtEar is not null).Sum(s => s.Duration.TotalMinutes * s.ShareOff);
        if (off > 0) yield return Words($"{off:0.#} min with the device off");
        if (day.Segments.Any(s => s.AtEar is null)) yield return "the segments without a device";
        if (day.Segments.Any(s => s.OneEarUncovered)) yield return "an uncovered ear";
        if (day.CommunicationShare > 0) yield return Communication;
    }
}
