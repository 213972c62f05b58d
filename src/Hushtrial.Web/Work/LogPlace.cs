using System.Text.RegularExpressions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;
using Hushtrial.Web.Language;

namespace Hushtrial.Web.Work;

/// <summary>Where the microphone of a level log probably was, and what says so. A person decides: a log at the wrong place turns a loss into its reference.</summary>
/// <param name="Outside">Outside, not at the ear.</param>
/// <param name="Evidence">What speaks for it, in the language of the page.</param>
internal sealed partial record LogPlace(bool Outside, string Evidence)
{
    /// <summary>The guess; null where neither a word nor the trial says anything.</summary>
    /// <param name="t">Language of the evidence.</param>
    /// <param name="draft">The trial.</param>
    /// <param name="log">The log.</param>
    public static LogPlace? Of(Tongue t, TrialDraft draft, LogFact log)
    {
        foreach (var text in (log.Proposed?.Columns ?? []).Select(c => c.Header).Prepend(Path.GetFileNameWithoutExtension(log.Name)))
        {
            var (outside, ear) = (Outer().Match(text), Inner().Match(text));
            if (outside.Success != ear.Success) return new(outside.Success, t["The word '{0}' in '{1}' says so.", (outside.Success ? outside : ear).Value, text]);
        }
        if (draft.Value("trial.design") != "outside-channel") return null;
        var places = draft.Ids("channels").Select(c => draft.Value($"channels[{c}].where")).Concat(draft.Ids("logs").Where(l => l != log.Id).Select(l => draft.Value($"logs[{l}].where"))).ToList();
        return (places.Contains("ear"), places.Contains("outside")) switch
        {
            (true, false) => new(true, t["The trial has a microphone at the ear, and none outside so far."]),
            (false, true) => new(false, t["The trial has a microphone outside, and none at the ear so far."]),
            _ => null,
        };
    }

    [GeneratedRegex(@"(?<![\p{L}])(?:outside|outer|cabin|cockpit|ambient|reference|außen|aussen|kabine|umgebung)", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant)]
    private static partial Regex Outer();

    [GeneratedRegex(@"(?<![\p{L}])(?:ear|inside|inner|under|ohr|innen|kapsel)(?![\p{L}])", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant)]
    private static partial Regex Inner();
}
