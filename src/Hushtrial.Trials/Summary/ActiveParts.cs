using Hushtrial.Quantities;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Verdicts;

namespace Hushtrial.Trials.Summary;

/// <summary>What the electronics add in the same donning, condition by condition, with a plain sentence that also says where they make it worse.</summary>
internal static class ActiveParts
{
    /// <summary>The active parts of a trial; empty where off and on were never read in one donning.</summary>
    public static IReadOnlyList<ActivePartResult> Of(TrialDocument document, TrialEffects effects, BandTrust trust)
    {
        if (effects.ActiveParts is not { } active) return [];
        var results = new List<ActivePartResult>();
        foreach (var (on, off) in active.Settings.Of.Partners.Where(p => active.A.Conditions.Contains(p.Key) || active.Bands.Any(b => active.Of(b).Conditions.Contains(p.Key))))
        {
            var condition = document.Conditions.First(c => c.Id == on);
            var part = ConditionResults.Quantity(active, on, trust, off);
            var fits = active.Readings.Where(r => r.Condition == on).Select(r => (r.Flight, r.Wearer, r.Donning)).Distinct().Count();
            results.Add(new(on, ConditionName.Of(document, condition), off, fits, part, Sentence(document, active, condition, part)));
        }
        return results;
    }

    private static string? Sentence(TrialDocument document, TrialEffects active, Condition on, SpectrumEffect part)
    {
        var scope = document.Scope;
        var device = document.Devices.First(d => d.Id == on.Device).Name;
        var what = on.Mode == "active" ? $"Switched on, {device}" : $"In mode {on.Mode}, {device}";
        var whole = part.A?.In(scope) is not { } a ? null
            : a.Low > 0 ? FormattableString.Invariant($"{what} takes {a.Value:0.0} dB(A) more away than off in the same donning (95 %: {a.Low:0.0} to {a.High:0.0})")
            : a.High < 0 ? FormattableString.Invariant($"{what} lets {-a.Value:0.0} dB(A) more in than off in the same donning (95 %: {-a.High:0.0} to {-a.Low:0.0})")
            : FormattableString.Invariant($"{what} may change the A-weighted level by {-a.High:+0.0;−0.0} to {-a.Low:+0.0;−0.0} dB(A): not resolved");
        // Several bands in one sentence: limits that hold for all of them at once.
        var trusted = part.Bands.Where(b => b.Valid && !b.LowerBoundOnly).Select(b => b.Band).ToList();
        var outer = Gaussian.UpperTail(BandComparisons.SimultaneousDeviate(Math.Max(1, trusted.Count)));
        var bands = trusted.Select(b => (Band: b, Posterior: active.Of(b).In(scope)?.Along(LevelContrast.Loss(on.Id)))).Where(b => b.Posterior is not null)
            .Select(b => (b.Band, Value: b.Posterior!.Mean, Low: b.Posterior.Quantile(outer), High: b.Posterior.Quantile(1 - outer))).ToList();
        var tail = new List<string>();
        if (bands.Where(b => b.Low > 0).OrderByDescending(b => b.Value).FirstOrDefault() is { Value: > 0 } most) tail.Add(FormattableString.Invariant($"most at {most.Band}, {most.Value:0.0} dB"));
        var worse = bands.Where(b => b.High < 0).ToList();
        if (worse.Count > 0) tail.Add(FormattableString.Invariant($"it makes it worse {BandRanges.Of([.. worse.Select(b => b.Band)])}, by up to {-worse.Min(b => b.Value):0.0} dB"));
        else if (bands.Count > 0 && bands.MinBy(b => b.Value) is { Value: < -0.5 } least) tail.Add(FormattableString.Invariant($"whether it makes a band worse is not resolved: lowest at {least.Band}, −{-least.Value:0.0} dB"));
        else if (bands.Count > 0) tail.Add("it makes no band worse that can be told");
        return whole is null && tail.Count == 0 ? null : string.Join("; ", [.. whole is null ? Array.Empty<string>() : [whole], .. tail]) + ".";
    }
}
