using System.Text.RegularExpressions;
using Hushtrial.Reporting.Figures;
using Hushtrial.Reporting.Tables;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Wording;

/// <summary>A question that readers ask after the losses, and its answer.</summary>
/// <param name="Id">Where it is answered at length: the id of its heading.</param>
/// <param name="Question">The heading.</param>
/// <param name="Paragraphs">The answer, the most important sentence first.</param>
public sealed record Answer(string Id, string Question, IReadOnlyList<string> Paragraphs)
{
    /// <summary>The first sentence of every paragraph.</summary>
    public IEnumerable<string> Short => Paragraphs.Select(p => Answers.FirstSentence(p));
}

/// <summary>The questions about what the losses mean, in the order in which they are answered.</summary>
public static partial class Answers
{
    /// <summary>Claims, a day and a week, peaks, loudness, what is left, other cabins: what these results can answer.</summary>
    public static IReadOnlyList<Answer> OfMeaning(TrialResults results)
    {
        ArgumentNullException.ThrowIfNull(results);
        var answers = new List<Answer>();
        var absolute = results.Mode == TrialMode.Absolute;
        if (MeaningTables.Claims(results) is not null) Add("claims", "What makers publish", ClaimSummary.Of(results));
        if (WeekTables.PredictedPairs(results) is not null) Add("measured-beside-predicted", "Measured beside predicted", results.PredictedPairs.MaxBy(p => Math.Abs(p.Difference.Value))!.Sentence);
        if (MeaningTables.Exposure(results) is not null) Add("exposure", "What a day of it means for hearing", results.Exposure!.Sentence);
        if (absolute && results.Week is { } week) Add("week", "What a week of it means", week.Sentence);
        if (WeekTables.Peaks(results) is not null) Add("peaks", "Peaks", results.Peaks!.Sentence);
        if (MeaningTables.Loudness(results) is not null) Add("loudness", "How loud it sounds", Quietest(results));
        if (CabinTables.Shares(results) is not null) Add("energy-shares", "Which octaves carry what is left", Carrying(results));
        if (results.Cabins.Count > 0) Add("cabins", "In another cabin", [.. results.Cabins.Select(c => c.Sentence)]);
        return answers;

        void Add(string id, string question, params string[] paragraphs) => answers.Add(new(id, question, [.. paragraphs.Select(Words.Sentence)]));
    }

    /// <summary>Radio, warnings, hiss, one ear off: what these results can answer.</summary>
    public static IReadOnlyList<Answer> OfListening(TrialResults results)
    {
        ArgumentNullException.ThrowIfNull(results);
        if (results.Listening is not { } listening) return [];
        var answers = new List<Answer>();
        if (listening.Speech is { } speech) Add("speech", speech.Heard.Way == SoundWay.Headset ? "Will I understand the radio?" : "Will I understand somebody in the cabin?", speech.Sentence);
        if (listening.Warnings.Count > 0) Add("warnings", "Will I hear the warning?", [.. listening.Warnings.Select(w => w.Sentence)]);
        if (listening.Hiss.Count > 0) Add("hiss", "Does it hiss in quiet?", [.. listening.Hiss.Select(h => h.Sentence)]);
        if (listening.Comms is { } comms) Add("comms", "What the radio adds", comms.Sentence);
        if (listening.OneEarOff is { } oneEar) Add("one-ear", "With one ear uncovered", oneEar.Sentence);
        return answers;

        void Add(string id, string question, params string[] paragraphs) => answers.Add(new(id, question, [.. paragraphs.Select(Words.Sentence)]));
    }

    internal static string FirstSentence(string text) => SentenceEnd().Match(text) is { Success: true } end ? text[..end.Index] : text;

    /// <summary>What carries the level under the device that keeps out most, and under the one that keeps out least.</summary>
    private static string Carrying(TrialResults results)
    {
        var ranked = Ranking.ByLoss(results).Select(c => results.Shares.FirstOrDefault(s => s.Condition == c.Condition.Id)).OfType<EnergyShareResult>().ToList();
        return ranked.Count == 0 ? results.Shares[0].Sentence : ranked.Count == 1 ? ranked[0].Sentence : ranked[0].Sentence + " " + ranked[^1].Sentence;
    }

    private static string Quietest(TrialResults results)
    {
        var quietest = results.Loudness.Where(l => l.Comparison is not null).MinBy(l => l.Comparison!.LoudnessRatio.Value)!;
        return $"{quietest.Name}: " + char.ToLowerInvariant(quietest.Comparison!.Sentence()[0]) + quietest.Comparison.Sentence()[1..] + " Loudness and sound energy are two scales.";
    }

    // A stop behind at least two letters or figures: behind one it is an abbreviation.
    [GeneratedRegex(@"(?<=[^\s.]{2}[.!?]) (?=[\p{Lu}‘])")]
    private static partial Regex SentenceEnd();
}
