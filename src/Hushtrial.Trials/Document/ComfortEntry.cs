namespace Hushtrial.Trials.Document;

/// <summary>What a wearer said of a device at one moment, or at the end of the day. It stands beside the results and never enters a decibel or a verdict.</summary>
/// <param name="Condition">Identity of the condition worn.</param>
/// <param name="Wearer">Identity of the wearer; null when there is only one.</param>
/// <param name="Fit">The fit (one putting-on); null when not stated.</param>
/// <param name="Run">The run whose clock it was noted by; null without a clock.</param>
/// <param name="Clock">Clock, s since the start of the run; null when not stated.</param>
/// <param name="WornMinutes">Minutes since it was put on; null when not stated.</param>
/// <param name="EndOfDay">Whether it speaks of the whole day.</param>
/// <param name="Discomfort">0 (nothing noticed) to 10 (could not be borne); null when not said.</param>
/// <param name="HotSpot">Where it pressed; null when nowhere or not said.</param>
/// <param name="HotSpotMinutes">Minutes until that was noticed; null when not said.</param>
/// <param name="Glasses">Whether spectacles were worn; null when not said.</param>
/// <param name="Remarks">Free text.</param>
public sealed record ComfortEntry(string Condition, string? Wearer, string? Fit, string? Run, double? Clock, double? WornMinutes, bool EndOfDay, double? Discomfort, string? HotSpot, double? HotSpotMinutes,
    bool? Glasses, string? Remarks)
{
    /// <summary>Most that discomfort can be.</summary>
    public const double MostDiscomfort = 10;
}
