using Hushtrial.Quantities;

namespace Hushtrial.Trials.Screening;

/// <summary>All checks of takes, one rule a file. A finding never deletes data by itself: the user decides, and the results are shown with and without.</summary>
/// <remarks>Detection and false-alarm rates on synthetic faults: docs/validation-checks.md.</remarks>
public static class SignalChecks
{
    /// <summary>The rules that need one channel of one take alone.</summary>
    internal static IEnumerable<Problem> OfTake(ChannelTake take) =>
    [
        .. ClippingCheck.Check(take), .. LimiterCheck.Check(take), .. DropoutCheck.Check(take), .. SteadinessCheck.Check(take), .. BeatCheck.Check(take),
        .. KnockCheck.Check(take), .. CombCheck.Check(take), .. OverloadCheck.Check(take), .. BatteryCheck.Check(take),
    ];

    /// <summary>The rules that hold takes against each other.</summary>
    internal static IEnumerable<Finding> OfTrial(ComparedTakes trial, ChannelCalibrations? calibrations) =>
    [
        .. AutomaticGainCheck.Check(trial, calibrations), .. WindCheck.Check(trial), .. PowerCheck.Check(trial), .. CabinCheck.Check(trial), .. LabelCheck.Check(trial),
        .. ActiveCheck.Check(trial), .. LeakCheck.Check(trial), .. GainCheck.Check(trial), .. SwapCheck.Check(trial), .. PlausibilityCheck.Check(trial), .. LowCutCheck.Check(trial), .. OrderCheck.Check(trial),
    ];

    /// <summary>Codes that keep an insertion loss from being published while a take that has one is used.</summary>
    public static IReadOnlyList<string> Blocking { get; } = ["TAK-036", "TAK-037"];

    /// <summary>Whether something among problems keeps an insertion loss from being published.</summary>
    public static bool Blocks(IEnumerable<Problem> problems) => problems.Any(p => Blocking.Contains(p.Code));
}
