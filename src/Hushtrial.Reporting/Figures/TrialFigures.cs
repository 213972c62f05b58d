using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Figures;

/// <summary>All figures of a trial, by their place in the report. A list is empty when the results have nothing to draw.</summary>
/// <param name="Spectrum">Spectrum at the ear; the shape of the noise in relative mode.</param>
/// <param name="Loss">Loss per band, one panel per device.</param>
/// <param name="Overall">A-weighted loss with both intervals.</param>
/// <param name="Pairs">The matrix of verdicts.</param>
/// <param name="Histories">Level and takes of each run.</param>
/// <param name="Ladder">Who was shown to keep out more than whom.</param>
/// <param name="Differences">Difference by band of pairs that differ in one thing alone.</param>
public sealed record TrialFigures(IReadOnlyList<Figure> Spectrum, IReadOnlyList<Figure> Loss, IReadOnlyList<Figure> Overall, IReadOnlyList<Figure> Pairs,
    IReadOnlyList<Figure> Histories, IReadOnlyList<Figure> Ladder, IReadOnlyList<Figure> Differences)
{
    /// <summary>Published figures beside the measurement.</summary>
    public IReadOnlyList<Figure> Claims { get; init; } = [];

    /// <summary>The day's levels beside those of the rule sets.</summary>
    public IReadOnlyList<Figure> Exposure { get; init; } = [];

    /// <summary>The active part per band, where it is not the trial's own quantity.</summary>
    public IReadOnlyList<Figure> ActiveParts { get; init; } = [];

    /// <summary>What is heard under each device.</summary>
    public ListeningFigures Listening { get; init; } = ListeningFigures.None;

    /// <summary>Which octaves carry what is left.</summary>
    public IReadOnlyList<Figure> Shares { get; init; } = [];

    /// <summary>The losses carried to other cabins, one for each.</summary>
    public IReadOnlyList<Figure> Cabins { get; init; } = [];

    /// <summary>The days of a week and the week.</summary>
    public IReadOnlyList<Figure> Week { get; init; } = [];

    /// <summary>Peaks of the takes.</summary>
    public IReadOnlyList<Figure> Peaks { get; init; } = [];

    /// <summary>Measured conditions beside predicted ones.</summary>
    public IReadOnlyList<Figure> PredictedPairs { get; init; } = [];

    /// <summary>Draws all figures; the same results give the same text, byte for byte.</summary>
    public static TrialFigures Of(TrialResults results, FigureWidth width)
    {
        var styles = new SeriesStyles(results.Conditions);
        return new([.. BandFigures.Spectrum(results, styles, width)], [.. BandFigures.Loss(results, styles, width)],
            Some(OverallLossFigure.Draw(results, styles, width)), Some(PairMatrixFigure.Draw(results, width)), [.. HistoryFigure.Draw(results, styles, width)],
            Some(LadderFigure.Draw(results, width)), [.. BandDifferenceFigure.Draw(results, styles, width)])
        {
            Claims = Some(ClaimFigure.Draw(results, styles, width)), Exposure = Some(ExposureFigure.Draw(results, styles, width)),
            Shares = Some(SharesFigure.Draw(results, styles, width)), ActiveParts = [.. BandFigures.ActiveParts(results, styles, width)], Cabins = [.. CabinFigure.Draw(results, styles, width)],
            Week = Some(WeekFigures.Week(results, width)), Peaks = Some(WeekFigures.Peaks(results, styles, width)), PredictedPairs = Some(WeekFigures.PredictedPairs(results, styles, width)),
            Listening = ListeningFigures.Of(results, styles, width),
        };
    }

    /// <summary>All of them in the order of the report.</summary>
    public IEnumerable<Figure> All() => [.. Spectrum, .. Loss, .. Overall, .. Ladder, .. Pairs, .. ActiveParts, .. Differences, .. Claims, .. PredictedPairs, .. Exposure, .. Week, .. Peaks, .. Shares, .. Cabins, .. Listening.All(), .. Histories];

    private static IReadOnlyList<Figure> Some(Figure? figure) => figure is null ? [] : [figure];
}
