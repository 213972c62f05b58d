using System.Globalization;
using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Effects;

/// <summary>The sources of scatter of a trial: names, priors and fineness of their grids (method 2.1, 2.2).</summary>
public static class Priors
{
    /// <summary>Name of the donning scatter.</summary>
    public const string Fit = "fit";

    /// <summary>Name of the scatter between flights of one device.</summary>
    public const string Occasion = "occ";

    /// <summary>Name of the wander of the ambient noise over minutes.</summary>
    public const string Wander = "wander";

    /// <summary>Name of the scatter of an episode: the microphone put back, open or covered.</summary>
    public const string Episode = "epi";

    /// <summary>Name of the scatter of a single take.</summary>
    public const string Take = "take";

    /// <summary>Name of the scatter of a condition between wearers.</summary>
    public const string Wearer = "wearer";

    /// <summary>Name of the scatter of the active part between donnings. It begins as <see cref="Fit"/> does: what is asked of the one is asked of the other.</summary>
    public const string ActiveFit = Fit + " of the active part";

    /// <summary>Name of the scatter between flights that moves all conditions alike: the outside microphone put back.</summary>
    public const string Flight = "flight";

    /// <summary>Name of the scatter of an episode inside one donning, where no microphone was moved.</summary>
    public const string Switching = "switch";

    /// <summary>Assumed scatter of the active part between donnings, as a share of that of the donnings themselves (own assumption: the loop makes up for part
    /// of a leak, and the passive loss takes the rest with it).</summary>
    public const double ActiveShare = 0.5;

    /// <summary>Correlation time of the ambient wander, s.</summary>
    public const double WanderSeconds = 300;

    internal const int FitNodes = 11;
    internal const int FitNodesPerClass = 7;
    internal const int OccasionNodes = 7;
    internal const int WanderNodes = 6;
    internal const int EpisodeNodes = 7;
    internal const int TakeNodes = 11;
    internal const int WearerNodes = 5;

    internal static ScalePrior OfOccasion { get; } = new HalfT(0.6);

    internal static ScalePrior OfWander { get; } = new HalfT(0.5);

    internal static ScalePrior OfEpisode { get; } = new HalfT(0.5);

    internal static ScalePrior OfTake { get; } = new HalfT(1.0);

    internal static ScalePrior OfWearer { get; } = new LogNormalScale(2.5, 0.5);

    internal const int FlightNodes = 6;

    internal static ScalePrior OfFlight { get; } = new HalfT(0.5);

    internal static ScalePrior OfActiveFit(EstimatorSettings settings) => new LogNormalScale(ActiveShare * settings.DonningScatterMedian, settings.DonningScatterLogSd);

    internal static ScalePrior OfFit(EstimatorSettings settings) => new LogNormalScale(settings.DonningScatterMedian, settings.DonningScatterLogSd);

    /// <summary>Each prior in words, as a report prints it.</summary>
    public static IReadOnlyList<string> InWords(EstimatorSettings settings) =>
    [
        settings.Quantity == MeasuredQuantity.ActivePart
            ? string.Create(CultureInfo.InvariantCulture, $"Scatter of the active part between donnings (over-ear; on-ear × 1.35, in-canal × 2, with spectacles × 1.25): lognormal, median {ActiveShare * settings.DonningScatterMedian:0.##} dB, 95 % between {ActiveShare * AssumedRange(settings, 1).Low:0.0} and {ActiveShare * AssumedRange(settings, 1).High:0.0} dB. The donning itself, common to off and on, has a mean of its own and cancels.")
            : string.Create(CultureInfo.InvariantCulture, $"Donning scatter (over-ear; on-ear × 1.35, in-canal × 2, with spectacles × 1.25): lognormal, median {settings.DonningScatterMedian:0.##} dB, 95 % between {AssumedRange(settings, 1).Low:0.0} and {AssumedRange(settings, 1).High:0.0} dB."),
        "Occasion (the same device in another flight): half-t with 3 degrees of freedom, scale 0.6 dB; only where the design can tell it from the donning, or in a single flight.",
        settings.OutsideChannel ? "Wander of the ambient noise: left out, the outside channel takes it away." : "Wander of the ambient noise over minutes: half-t with 3 degrees of freedom, scale 0.5 dB, correlation time 300 s.",
        .. settings.Quantity == MeasuredQuantity.LevelDifference ? ["The outside microphone put back between flights: half-t with 3 degrees of freedom, scale 0.5 dB."] : Array.Empty<string>(),
        settings.Quantity == MeasuredQuantity.ActivePart ? "Changes inside a donning beside the switching: half-t with 3 degrees of freedom, scale 0.5 dB." : "Re-placement of the microphone: half-t with 3 degrees of freedom, scale 0.5 dB.",
        "Single takes: half-t with 3 degrees of freedom, scale 1.0 dB.",
        "Wearers (three or more): lognormal, median 2.5 dB, log standard deviation 0.5.",
    ];

    /// <summary>95 % range of the assumed donning scatter of a condition, dB.</summary>
    /// <param name="settings">The settings.</param>
    /// <param name="factor">The condition's <see cref="ConditionTraits.ScatterFactor"/>.</param>
    public static (double Median, double Low, double High) AssumedRange(EstimatorSettings settings, double factor)
    {
        var median = settings.DonningScatterMedian * factor;
        var spread = Math.Exp(1.959964 * settings.DonningScatterLogSd);
        return (median, median / spread, median * spread);
    }
}
