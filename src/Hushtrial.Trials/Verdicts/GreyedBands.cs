using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Verdicts;

/// <summary>Bands that are drawn grey for one reason under some conditions, and what takes read without them.</summary>
/// <remarks>An A-weighted level holds the sound of every band, the grey ones too. Without a band it is lower by that band's share of the energy, as the bands of the same take
/// have it; so is the level of the own noise that is taken off. A band goes in all takes at once, the open ear's and every device's: a loss over two sets of bands would be none.</remarks>
/// <param name="Conditions">Identities of the conditions under which they are grey.</param>
/// <param name="Bands">The bands, rising.</param>
/// <param name="Reason">Why, in words.</param>
internal sealed record GreyedBands(IReadOnlyList<string> Conditions, IReadOnlyList<Band> Bands, string Reason)
{
    // A level is said to be that of its bands only where they reach over the range that carries it.
    private const double Lowest = 80;
    private const double Highest = 4000;

    /// <summary>All groups, by reason and bands; empty where the takes have too few bands to make a level of them.</summary>
    /// <param name="takes">The takes.</param>
    /// <param name="conditions">The conditions as found.</param>
    /// <param name="scope">The scope in which a band must have said something.</param>
    public static IReadOnlyList<GreyedBands> Of(IReadOnlyList<TakeLevels> takes, IReadOnlyList<ConditionResult> conditions, EstimateScope scope)
    {
        var read = takes.Where(t => t.Used).Select(t => t.Ears[0].Bands.Keys.ToList()).ToList();
        if (read.Count == 0 || read.Any(b => Whole(b) is null) || read.Select(Whole).Distinct().Count() > 1) return [];
        var fraction = Whole(read[0])!.Value;
        return [.. conditions.Where(c => !c.Predicted)
            .SelectMany(c => c.Loss.Bands.Where(b => b.Band.Fraction == fraction && !b.Valid && b.Reason is not null && b.Effect.In(scope) is not null)
                .GroupBy(b => Short(b.Reason!), StringComparer.Ordinal).Select(g => (c.Condition.Id, Reason: g.Key, Bands: g.Select(b => b.Band).Order().ToList())))
            .GroupBy(g => (g.Reason, Bands: string.Join(' ', g.Bands.Select(b => b.Index)))).Select(g => new GreyedBands([.. g.Select(c => c.Id)], g.First().Bands, g.Key.Reason))];
    }

    /// <summary>Levels of a take without these bands. The half seconds inside it are left out: they would have to be measured anew.</summary>
    public TakeLevels Without(TakeLevels take) => take with { Ears = [.. take.Ears.Select(e => Without(e) with { HalfSeconds = null })], Outside = take.Outside is { } outside ? Without(outside) : null };

    /// <summary>Levels of one channel without these bands; A-weighted null where nothing is left.</summary>
    public ChannelLevels Without(ChannelLevels levels)
    {
        double Energy(Band band) => Math.Pow(10, (levels.Bands[band] + Weightings.At(FrequencyWeighting.A, band.ExactMidband).Decibels) / 10);
        var all = levels.Bands.Keys.Where(b => b.Fraction == Bands[0].Fraction).ToList();
        var left = all.Except(Bands).Sum(Energy);
        return levels with { A = left > 0 ? levels.A + (10 * Math.Log10(left / all.Sum(Energy))) : null };
    }

    private static BandFraction? Whole(List<Band> bands) => Reaches(bands, BandFraction.ThirdOctave, 18) ? BandFraction.ThirdOctave : Reaches(bands, BandFraction.Octave, 7) ? BandFraction.Octave : null;

    private static bool Reaches(List<Band> bands, BandFraction fraction, int fewest) =>
        bands.Where(b => b.Fraction == fraction).Select(b => b.NominalHertz).ToList() is { Count: > 0 } hertz && hertz.Count >= fewest && hertz.Min() <= Lowest && hertz.Max() >= Highest;

    // What follows a colon or a semicolon is that band's own figure.
    private static string Short(string reason) => reason.IndexOfAny([':', ';']) is > 0 and var end ? reason[..end] : reason;
}
