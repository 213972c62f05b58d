using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>A peak held against one peak level of a rule set.</summary>
/// <param name="Threshold">The level.</param>
/// <param name="Standing">Where it stands; a peak without uncertainty is never unresolved.</param>
public sealed record PeakResult(PeakThreshold Threshold, Standing Standing);

/// <summary>C-weighted peaks against a rule set.</summary>
public static class PeakCheck
{
    /// <summary>Judges peaks.</summary>
    /// <param name="rules">The rule set.</param>
    /// <param name="outside">C-weighted peak level outside the device; null when not measured.</param>
    /// <param name="atEar">C-weighted peak level under the device; null when not measured: no loss is assumed for impulses, because the losses of steady noise do not hold for them.</param>
    public static IReadOnlyList<PeakResult> Against(ExposureRules rules, Level? outside, Level? atEar) =>
        [.. rules.Peaks.Select(p => new PeakResult(p, (p.ProtectorCounted ? atEar ?? outside : outside) switch
        {
            null => Standing.NotKnown,
            { } peak when peak.CompareTo(p.Level) < 0 => Standing.Below,
            // A peak outside above the limit says nothing about the ear under the device.
            _ when p.ProtectorCounted && atEar is null => Standing.NotKnown,
            _ => Standing.Above,
        }))];
}
