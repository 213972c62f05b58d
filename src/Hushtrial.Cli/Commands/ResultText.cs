using System.Globalization;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Cli.Commands;

/// <summary>Results as calm text: the sentence, the losses, the comparisons.</summary>
internal static class ResultText
{
    public static void Write(TrialResults results, TextWriter t)
    {
        t.WriteLine(results.Headline);
        if (results.RelativeReason is { } why) t.WriteLine($"Levels are relative: {why}. {Differences(results.Document)}; no level, no hours and no dose are given.");
        t.WriteLine();
        var width = results.Conditions.Select(c => c.Name.Length).DefaultIfEmpty(9).Max();
        t.WriteLine($"{$"A-weighted {QuantityWords.Noun(results.Document.Quantity)}, dB".PadRight(width)}  {"fits",4}  {"in general (95 %)",-24}  {"as worn (95 %)",-24}{(results.Mode == TrialMode.Absolute ? "  at the ear, dB(A) as read" : "")}");
        foreach (var c in results.Conditions.Where(c => !c.IsReference))
            t.WriteLine($"{c.Name.PadRight(width)}  {(c.Predicted ? "–" : c.Fits.ToString(CultureInfo.InvariantCulture)),4}  {Text(c.Loss.A?.General),-24}  {(c.Predicted ? "published, not measured" : Text(c.Loss.A?.AsWorn)),-24}"
                + (results.Mode == TrialMode.Absolute ? $"  {Text(c.EarLevel?.A?.In(results.Document.Scope))}" : ""));
        if (results.ActiveParts.Any(p => p.Sentence is not null)) t.WriteLine();
        foreach (var part in results.ActiveParts)
            if (part.Sentence is { } sentence) t.WriteLine(sentence);
        if (results.Pairs.Count > 0) WritePairs(results, t);
        if (results.Claims.Count > 0) t.WriteLine();
        foreach (var claim in results.Claims) t.WriteLine($"{claim.Name}, published: {claim.Words}. {claim.Sentence}");
        foreach (var pair in results.PredictedPairs) t.WriteLine(pair.Sentence);
        foreach (var cabin in results.Cabins) { t.WriteLine(); t.WriteLine(cabin.Sentence); }
        if (results.Mode == TrialMode.Relative || results.Exposure is not { } exposure) return;
        t.WriteLine();
        t.WriteLine(exposure.Sentence);
        if (results.Week is { } week) t.WriteLine(week.Sentence);
        if (results.Peaks is { } peaks) t.WriteLine(peaks.Sentence);
        t.WriteLine(ExposureRules.Deference);
    }

    private static void WritePairs(TrialResults results, TextWriter t)
    {
        t.WriteLine();
        foreach (var pair in results.Pairs)
            if (pair.In(results.Document.Scope) is { } verdict) t.WriteLine(verdict.Sentence);
        if (results.Pairs.Any(p => p.OnlySentence is not null)) t.WriteLine();
        foreach (var pair in results.Pairs)
            if (pair.OnlySentence is { } only && results.ActiveParts.All(p => p.Sentence != only)) t.WriteLine(only);
        t.WriteLine();
        t.WriteLine(results.Robustness.Sentence);
        foreach (var answer in results.Robustness.WithExcluded.Concat(results.Robustness.WithoutFlagged).Append(results.Robustness.WithoutAllFlagged).Append(results.Robustness.NoiseOnly).Concat(results.Robustness.WithoutGreyed))
            if (answer is not null) t.WriteLine(answer.Sentence);
    }

    private static string Differences(TrialDocument document) => StatedGain.Of(document) switch
    {
        GainStatement.Off => "Differences stand",
        GainStatement.On => "Differences stand only if the gain stayed the same, and automatic gain was on",
        _ => "Differences stand if the gain stayed the same, which nobody has noted",
    };

    private static string Text(Estimate? e) => e is null ? "cannot be said"
        : string.Create(CultureInfo.InvariantCulture, $"{e.Value:0.0} ({e.Low:0.0} to {e.High:0.0})").Replace('-', '−');
}
