using Hushtrial.Quantities;
using Hushtrial.Signals.Filters;

namespace Hushtrial.Signals.Levels;

/// <summary>The filters of one measurement: the weightings and the bands that exist at the rate: at the full rate those with the common numerator first, then those at reduced rates.</summary>
internal sealed class FilterSet
{
    internal FilterSet(int rate, LevelSettings settings)
    {
        Weightings = WeightingFilters.At(rate);
        Wanted = settings.Thirds && settings.Octaves ? [.. Band.ThirdOctaves, .. Band.Octaves] : settings.Thirds ? Band.ThirdOctaves : settings.Octaves ? Band.Octaves : [];
        var (plain, fitted, reduced) = (new List<BandFilter>(), new List<BandFilter>(), new List<LowRateFilter>());
        foreach (var band in Wanted)
        {
            if (BandFilter.Find(band, rate) is not { } filter) continue;
            if (LowRateFilter.Find(filter) is { } low) reduced.Insert(reduced.FindLastIndex(r => r.Factor <= low.Factor) + 1, low);
            else (filter.Numerator is null ? plain : fitted).Add(filter);
        }
        Reduced = reduced;
        FullRate = plain.Count + fitted.Count;
        plain.AddRange(fitted);
        foreach (var low in reduced) plain.Add(low.Full);
        Bands = plain;
        Rate = rate;
        FastDecay = Math.Exp(-1 / (0.125 * rate));
        SlowDecay = Math.Exp(-1.0 / rate);
    }

    internal int Rate { get; }

    internal WeightingFilters Weightings { get; }

    /// <summary>The bands asked for, one-third octaves first.</summary>
    internal IReadOnlyList<Band> Wanted { get; }

    /// <summary>The filters of the bands that exist: first those that run at the full rate.</summary>
    internal IReadOnlyList<BandFilter> Bands { get; }

    /// <summary>The filters that stand for the last of <see cref="Bands"/> at reduced rates, the highest rate first.</summary>
    internal IReadOnlyList<LowRateFilter> Reduced { get; }

    /// <summary>How many bands run at the full rate.</summary>
    internal int FullRate { get; }

    /// <summary>What is left of an F-weighted square after one sample: τ = 125 ms (IEC 61672-1:2013, 5.8.1).</summary>
    internal double FastDecay { get; }

    /// <summary>What is left of an S-weighted square after one sample: τ = 1 s.</summary>
    internal double SlowDecay { get; }

    /// <summary>What the squares of A, C and Z of <see cref="LaneBank{TOps, TVector}"/> are multiplied by: its loops leave the gains out.</summary>
    internal double PowerGain(int weighting)
    {
        var high = Weightings.CHighNumerator[0] * Weightings.CHighNumerator[0];
        return weighting switch { 0 => high * Weightings.AGain * Weightings.AGain, 1 => high, _ => Weightings.ZGain * Weightings.ZGain };
    }

    /// <summary>Place of a band among the filters, or −1.</summary>
    internal int IndexOf(Band band)
    {
        for (var i = 0; i < Bands.Count; i++)
            if (Bands[i].Band == band) return i;
        return -1;
    }
}
