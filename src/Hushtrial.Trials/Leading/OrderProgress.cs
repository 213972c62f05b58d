using System.Globalization;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Leading;

/// <summary>What became of a take that was led.</summary>
public enum TakeFate
{
    /// <summary>It counts.</summary>
    Kept,

    /// <summary>It is to be taken again in the same fit; it stays visible and is not used.</summary>
    Again,

    /// <summary>It is to be taken again after putting the device on anew.</summary>
    AgainPutOn,

    /// <summary>It was stopped, for whatever reason; it is no take.</summary>
    Aborted,
}

/// <summary>A take that was led, as the order looks at it.</summary>
/// <param name="Condition">Identity of the condition, or 'open'.</param>
/// <param name="Fit">The donning; null for the open ear.</param>
/// <param name="Fate">What became of it.</param>
public sealed record LedTake(string Condition, string? Fit, TakeFate Fate);

/// <summary>What comes next.</summary>
/// <param name="Step">The step of the order.</param>
/// <param name="Condition">Identity of the condition, or 'open'.</param>
/// <param name="Fit">Name of the donning; null for the open ear.</param>
/// <param name="Take">Number of the take in its step, from 1.</param>
/// <param name="Of">Takes of the step.</param>
/// <param name="PutOn">Whether the device is to be put on now, or for the open ear taken off.</param>
public sealed record NextTake(LeadStep Step, string Condition, string? Fit, int Take, int Of, bool PutOn);

/// <summary>Where a run stands in its order, from what was taken alone: a closed page or a killed process forgets nothing.</summary>
/// <param name="Next">What comes next; null when the order is done.</param>
/// <param name="StepsLeft">Steps that still miss a take, without those passed over.</param>
/// <param name="PassedOver">Open brackets that are not read any more because the open ear has had its share.</param>
public sealed record OrderProgress(NextTake? Next, int StepsLeft, int PassedOver)
{
    /// <summary>Follows a run.</summary>
    /// <param name="steps">The order.</param>
    /// <param name="run">Identity of the run; fits are named after it.</param>
    /// <param name="taken">What was taken in the run, in order of time.</param>
    /// <param name="openEnded">Whether the open ear has had its share.</param>
    public static OrderProgress Of(IReadOnlyList<LeadStep> steps, string run, IReadOnlyList<LedTake> taken, bool openEnded)
    {
        var open = new Queue<LedTake>(taken.Where(t => t.Condition == TrialDocument.OpenEar && t.Fate == TakeFate.Kept));
        NextTake? next = null;
        var (left, passed) = (0, 0);
        foreach (var step in steps)
        {
            var missing = step.Takes.ToList();
            var led = step.IsOpen ? [.. Enumerable.Range(0, Math.Min(open.Count, missing.Count)).Select(_ => open.Dequeue())] : taken.Where(t => IsOf(t.Fit, FitName(run, step.Number))).ToList();
            foreach (var take in led.Where(t => t.Fate == TakeFate.Kept)) missing.Remove(take.Condition);
            if (missing.Count == 0) continue;
            if (step.IsOpen && openEnded) { passed++; continue; }
            left++;
            next ??= new(step, missing[0], step.IsOpen ? null : Fit(run, step.Number, led), step.Takes.Count - missing.Count + 1, step.Takes.Count,
                step.IsOpen ? !LastIsOpen(taken) : led.Count == 0 || led[^1].Fate == TakeFate.AgainPutOn || taken[^1].Fit != led[^1].Fit);
        }
        return new(next, left, passed);
    }

    /// <summary>Name of the first donning of a step: 'F1-3'.</summary>
    public static string FitName(string run, int step) => string.Create(CultureInfo.InvariantCulture, $"{run}-{step}");

    /// <summary>The name of the next donning of the same step: 'F1-3b' after 'F1-3', 'F1-3c' after that.</summary>
    public static string Anew(string fit)
    {
        ArgumentException.ThrowIfNullOrEmpty(fit);
        return fit.Length > 1 && fit[^1] is >= 'b' and < 'y' ? fit[..^1] + (char)(fit[^1] + 1) : fit + "b";
    }

    private static string Fit(string run, int step, List<LedTake> led) => led.Count == 0 ? FitName(run, step) : led[^1].Fate == TakeFate.AgainPutOn ? Anew(led[^1].Fit!) : led[^1].Fit!;

    private static bool IsOf(string? fit, string first) => fit is not null && fit.StartsWith(first, StringComparison.Ordinal)
        && (fit.Length == first.Length || (fit.Length == first.Length + 1 && fit[^1] is >= 'b' and <= 'y'));

    private static bool LastIsOpen(IReadOnlyList<LedTake> taken) => taken.Count > 0 && taken[^1].Condition == TrialDocument.OpenEar;
}
