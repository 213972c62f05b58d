using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Cabins;

/// <summary>What stood in for the loss of a band that had no trusted one.</summary>
/// <param name="Band">The band.</param>
/// <param name="Value">The loss it was counted with.</param>
/// <param name="From">The trusted band whose loss that is.</param>
/// <param name="Less">What was taken off that: 3 dB below the lowest trusted band, else 0.</param>
public sealed record FilledBand(Band Band, LevelDifference Value, Band From, LevelDifference Less);

/// <summary>What band losses give in a noise that they were not measured in, for one weighting.</summary>
/// <param name="Weighting">A, C or Z.</param>
/// <param name="Outside">Weighted level of that noise over the bands used.</param>
/// <param name="Loss">Weighted loss there.</param>
/// <param name="Low">Lower 95 % limit of the loss.</param>
/// <param name="High">Upper 95 % limit; null when bands that are only bounded or unknown could hold all that is left.</param>
/// <param name="BoundedShare">Share of the weighted energy left that lies in bands whose loss is only bounded, 0…1: above a twentieth the loss is 'at least'.</param>
/// <param name="UnknownShare">Share of the weighted energy outside that lies in bands without a trusted loss, 0…1.</param>
/// <param name="UnknownCost">What not knowing these bands can cost at most: the estimate less the loss with nothing taken off in them.</param>
/// <param name="LeftByBand">Share of the weighted energy left, band by band; they sum to 1.</param>
/// <param name="FromOctaves">Whether octave levels were spread over one-third octaves.</param>
public sealed record CarriedLoss(FrequencyWeighting Weighting, Level Outside, LevelDifference Loss, LevelDifference Low, LevelDifference? High, double BoundedShare,
    double UnknownShare, LevelDifference UnknownCost, IReadOnlyDictionary<Band, double> LeftByBand, bool FromOctaves)
{
    /// <summary>The bands without a trusted loss and what stood in for them, in order.</summary>
    public IReadOnlyList<FilledBand> Filled { get; init; } = [];

    // Own rules: below a twentieth (0.2 dB) a bound is no news; a result that can be 3 dB off for want of bands is none.
    private const double BoundWorthSaying = 0.05;
    private const double CostThatForbids = 3;

    /// <summary>Whether the loss is a lower bound: too much of what is left lies in bands that are only bounded.</summary>
    public bool AtLeast => BoundedShare > BoundWorthSaying || High is null;

    /// <summary>Whether so much of the noise lies in bands without a trusted loss that nothing should be said.</summary>
    public bool TooLittleKnown => UnknownCost.Decibels > CostThatForbids;

    /// <summary>Level at the ear.</summary>
    public Level AtEar => Outside - Loss;
}

/// <summary>Carries band losses to the spectrum of another cabin.</summary>
/// <remarks>
/// Loss R = 10 lg Σ 10^((L+W)/10) − 10 lg Σ 10^((L+W−IL)/10). All bands are taken at the same quantile together: what moves one band (a loose seal above all)
/// moves the others, and how far is not known from band results alone. R rises with every band's loss, so its quantiles are then exactly those of the bands put
/// together, and no joint normal distribution of the bands gives R a wider one to first order. Within a band the energy of the other cabin may sit elsewhere than
/// that of the measured one: the change of the loss over the band, times √(2/12) for two unknown places, widens the band's own interval. Octave levels are
/// spread evenly over their one-third octaves. A band whose loss is only bounded counts with its bound, and with nothing left in the upper limit. A band without
/// a trusted loss counts with the smaller of its neighbours' (below the lowest one: that less 3 dB, the middle of 0…6 dB), with no loss in the lower limit and with
/// nothing left in the upper one. Own rules.
/// </remarks>
public static class Carrying
{
    private const double TwoSided = 1.96;
    private const double LessBelowTheLowest = 3;
    private static readonly double _twoUnknownPlaces = Math.Sqrt(2 / 12.0);

    /// <summary>The loss in one noise.</summary>
    /// <param name="noise">The other cabin: octaves or one-third octaves.</param>
    /// <param name="losses">Losses per band, each band once, octaves or one-third octaves.</param>
    /// <param name="weighting">A, C or Z.</param>
    /// <exception cref="ArgumentException">No loss is known, octaves are mixed with one-third octaves, or noise and losses share no band.</exception>
    public static CarriedLoss To(Spectrum noise, IReadOnlyCollection<BandLoss> losses, FrequencyWeighting weighting)
    {
        if (losses.Select(l => l.Band.Fraction).Distinct().Count() > 1) throw new ArgumentException("Losses in octaves and in one-third octaves cannot be carried together.", nameof(losses));
        if (losses.All(l => l.Knowledge == BandKnowledge.Unknown)) throw new ArgumentException("No band has a trusted loss.", nameof(losses));
        var spread = noise.Fraction == BandFraction.Octave && losses.First().Band.Fraction == BandFraction.ThirdOctave;
        var levels = spread ? Spread(noise) : losses.First().Band.Fraction == BandFraction.Octave ? noise.ToOctaves() : noise;
        var byBand = losses.ToDictionary(l => l.Band);
        var cells = levels.Entries.Select(e => Cell.Of(e.Key, Math.Pow(10, (e.Value + Weightings.At(weighting, e.Key.ExactMidband)).Decibels / 10), byBand)).ToList();
        double Sum(Func<Cell, double> part) => cells.Sum(part);
        var outside = Sum(c => c.Outside);
        var left = Sum(c => c.Left(c.Value));
        var low = Sum(c => c.Left(c.Knowledge == BandKnowledge.Unknown ? Math.Min(0, c.Low) : c.Low));
        var high = Sum(c => c.Knowledge == BandKnowledge.Known ? c.Left(c.High) : 0);
        var unreduced = Sum(c => c.Left(c.Knowledge == BandKnowledge.Unknown ? Math.Min(0, c.Value) : c.Value));
        return new(weighting, Level.FromDecibels(10 * Math.Log10(outside)), Ratio(outside, left), Ratio(outside, low), high > 0 ? Ratio(outside, high) : null,
            cells.Where(c => c.Knowledge == BandKnowledge.AtLeast).Sum(c => c.Left(c.Value)) / left, cells.Where(c => c.Knowledge == BandKnowledge.Unknown).Sum(c => c.Outside) / outside,
            Ratio(unreduced, left), cells.ToDictionary(c => c.Band, c => c.Left(c.Value) / left), spread) { Filled = [.. cells.Select(c => c.Filled).OfType<FilledBand>().OrderBy(f => f.Band)] };
    }

    private static LevelDifference Ratio(double more, double less) => LevelDifference.FromDecibels(10 * Math.Log10(more / less));

    private static Spectrum Spread(Spectrum octaves) => Spectrum.Of(octaves.Entries
        .SelectMany(e => e.Key.Thirds.Select(t => KeyValuePair.Create(t, e.Value - LevelDifference.FromDecibels(10 * Math.Log10(3))))));

    private readonly record struct Cell(Band Band, double Outside, double Value, double Low, double High, BandKnowledge Knowledge, FilledBand? Filled = null)
    {
        public double Left(double loss) => Outside * Math.Pow(10, -loss / 10);

        public static Cell Of(Band band, double energy, Dictionary<Band, BandLoss> losses)
        {
            if (losses.TryGetValue(band, out var own) && own.Knowledge != BandKnowledge.Unknown)
            {
                var (value, place) = (own.Value.Decibels, TwoSided * _twoUnknownPlaces * Math.Abs(Slope(band, losses)));
                return new(band, energy, value, value - Root(value - own.Low.Decibels, place), value + Root(own.High.Decibels - value, place), own.Knowledge);
            }
            var known = losses.Values.Where(l => l.Knowledge != BandKnowledge.Unknown).ToList();
            var below = known.Where(l => l.Band.CompareTo(band) < 0).Select(l => (BandLoss?)l).MaxBy(l => l!.Value.Band);
            var above = known.Where(l => l.Band.CompareTo(band) > 0).Select(l => (BandLoss?)l).MinBy(l => l!.Value.Band);
            var from = below is null ? above!.Value : above is null || below.Value.Value.CompareTo(above.Value.Value) <= 0 ? below.Value : above.Value;
            var less = LevelDifference.FromDecibels(below is null ? LessBelowTheLowest : 0);
            var stand = (from.Value - less).Decibels;
            return new(band, energy, stand, stand, stand, BandKnowledge.Unknown, new(band, from.Value - less, from.Band, less));
        }

        // Change of the loss over one band, from its trusted neighbours.
        private static double Slope(Band band, Dictionary<Band, BandLoss> losses)
        {
            double? At(int step) => losses.Values.Where(l => l.Band.Index == band.Index + step && l.Knowledge != BandKnowledge.Unknown).Select(l => (double?)l.Value.Decibels).FirstOrDefault();
            double? down = At(-1), here = At(0), up = At(1);
            return down is { } d && up is { } u ? (u - d) / 2 : (up - here) ?? (here - down) ?? 0;
        }

        private static double Root(double a, double b) => Math.Sqrt((a * a) + (b * b));
    }
}
