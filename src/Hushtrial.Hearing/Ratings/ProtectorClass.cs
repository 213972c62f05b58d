using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Ratings;

/// <summary>A class of the Australian and New Zealand scheme.</summary>
/// <param name="Number">1 to 5.</param>
/// <param name="LowestSlc80">Lowest SLC80 of the class.</param>
/// <param name="ExposureBelow">The daily level below which the class is meant to be used.</param>
public sealed record ProtectorClass(int Number, LevelDifference LowestSlc80, Level ExposureBelow)
{
    /// <summary>The classes, rising.</summary>
    /// <remarks>Source: AS/NZS 1270 and 1269.3, as read in a public summary. SLC80 itself is not calculated here: its reference spectrum was not at hand.</remarks>
    public static IReadOnlyList<ProtectorClass> All { get; } = [Of(1, 10, 90), Of(2, 14, 95), Of(3, 18, 100), Of(4, 22, 105), Of(5, 26, 110)];

    /// <summary>The class of an SLC80, or null below 10 dB.</summary>
    public static ProtectorClass? FromSlc80(LevelDifference slc80) => All.LastOrDefault(c => Math.Round(slc80.Decibels, MidpointRounding.AwayFromZero) >= c.LowestSlc80.Decibels);

    /// <summary>The class a daily exposure level asks for; null below 85 dB(A), where none is, and above what class 5 is meant for.</summary>
    public static ProtectorClass? ForExposure(Level daily8Hours) => daily8Hours.Decibels < 85 ? null : All.FirstOrDefault(c => daily8Hours.CompareTo(c.ExposureBelow) < 0);

    private static ProtectorClass Of(int number, double lowest, double below) => new(number, LevelDifference.FromDecibels(lowest), Level.FromDecibels(below));
}
