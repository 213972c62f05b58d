using System.Globalization;
using Hushtrial.Statistics.VarianceComponents;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Effects;

/// <summary>Everything the readings say about one quantity, in both scopes.</summary>
public sealed class QuantityFit
{
    private readonly IReadOnlyDictionary<string, ConditionTraits> _traits;

    internal NormalDeviates? Deviates { get; init; }

    internal QuantityFit(string quantity, IReadOnlyList<ConditionTraits> conditions, IReadOnlyDictionary<string, int> donnings, int flights, bool hasOpen,
        ScopeFit? asWorn, ScopeFit? general, string? reason, EstimatorSettings settings)
    {
        Quantity = quantity;
        Conditions = [.. conditions.Select(c => c.Id)];
        Donnings = donnings;
        Flights = flights;
        HasOpen = hasOpen;
        AsWorn = asWorn;
        General = general;
        Reason = reason;
        Settings = settings;
        _traits = conditions.ToDictionary(c => c.Id, StringComparer.Ordinal);
    }

    /// <summary>Name of the quantity.</summary>
    public string Quantity { get; }

    /// <summary>Conditions with at least one reading of it, in the order of the traits.</summary>
    public IReadOnlyList<string> Conditions { get; }

    /// <summary>Number of donnings behind every condition.</summary>
    public IReadOnlyDictionary<string, int> Donnings { get; }

    /// <summary>Number of flights.</summary>
    public int Flights { get; }

    /// <summary>Whether there is an open-ear reading.</summary>
    public bool HasOpen { get; }

    /// <summary>Over the donnings made; null without readings.</summary>
    public ScopeFit? AsWorn { get; }

    /// <summary>Over donnings and flights; null without readings.</summary>
    public ScopeFit? General { get; }

    /// <summary>Why nothing can be said at all; null when something can.</summary>
    public string? Reason { get; }

    /// <summary>The settings used.</summary>
    public EstimatorSettings Settings { get; }

    /// <summary>Scatter factor of a condition, as its traits say.</summary>
    public double ScatterFactor(string condition) => _traits[condition].ScatterFactor;

    /// <summary>The fit of one scope.</summary>
    public ScopeFit? In(EstimateScope scope) => scope == EstimateScope.AsWorn ? AsWorn : General;

    /// <summary>The quantity of the trial for a condition: its insertion loss, level difference or active part.</summary>
    public Effect Loss(string condition) => Of(LevelContrast.Loss(condition));

    /// <summary>Difference of two of them, first minus second.</summary>
    public Effect Difference(string first, string second) => Of(LevelContrast.Difference(first, second));

    /// <summary>Level under a condition, or of the open ear, in the trial's mean noise.</summary>
    public Effect Level(string condition) => Of(LevelContrast.Level(condition));

    /// <summary>Any combination of levels.</summary>
    public Effect Of(LevelContrast contrast)
    {
        Estimate? asWorn = AsWorn?.Estimate(contrast), general = General?.Estimate(contrast);
        if (asWorn is null && general is null) return new(null, null, WhyNot(contrast));
        return new(asWorn, general, Remark(contrast));
    }

    /// <summary>'Based on an assumed donning scatter …' when a condition of the combination was donned fewer than twice; else null.</summary>
    public string? Remark(LevelContrast contrast)
    {
        var single = contrast.Weights.Where(w => w.Value != 0 && _traits.ContainsKey(w.Key) && Donnings.TryGetValue(w.Key, out var n) && n < 2).Select(w => w.Key).ToArray();
        if (single.Length == 0) return null;
        var share = Settings.Quantity == MeasuredQuantity.ActivePart ? Priors.ActiveShare : 1;
        var (median, low, high) = Priors.AssumedRange(Settings, share * single.Max(c => _traits[c].ScatterFactor));
        return string.Create(CultureInfo.InvariantCulture, $"based on an assumed {(share < 1 ? "scatter of the active part between donnings" : "donning scatter")} of {median:0.#} dB ({low:0.#}–{high:0.#})");
    }

    /// <summary>Why a combination cannot be said, in words.</summary>
    public string WhyNot(LevelContrast contrast)
    {
        if (Reason is not null) return Reason;
        if (Settings.Quantity == MeasuredQuantity.LevelDifference && !Settings.ReferenceKnown && contrast.Weights.GetValueOrDefault(TrialDocument.OpenEar) != 0)
            return "not both microphones are calibrated: only differences between conditions can be said";
        var missing = contrast.Weights.Where(w => w.Value != 0 && w.Key != TrialDocument.OpenEar && !Donnings.ContainsKey(w.Key)).Select(w => w.Key).ToArray();
        if (missing.Length > 0) return $"no reading of {Quantity} under {string.Join(", ", missing)}";
        return contrast.Weights.GetValueOrDefault(TrialDocument.OpenEar) != 0 && !HasOpen
            ? "no open-ear reading: only differences between devices can be said"
            : "never read in one flight with anything it could be compared to";
    }
}
