using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Finding;

/// <summary>Turns accepted proposals into takes of the document.</summary>
public static class AcceptedTakes
{
    /// <summary>The takes, with identities that continue those of the document.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="spans">Accepted proposals.</param>
    /// <param name="wearer">The wearer, where the trial has several.</param>
    /// <returns>Takes, and a problem for each proposal that cannot be one.</returns>
    public static (IReadOnlyList<TakeEntry> Takes, IReadOnlyList<Problem> Problems) Of(TrialDocument document, IReadOnlyList<ProposedSpan> spans, string? wearer = null)
    {
        var takes = new List<TakeEntry>();
        var problems = new List<Problem>();
        var names = document.Takes.Select(t => t.Id).ToHashSet(StringComparer.Ordinal);
        var number = document.Takes.Count;
        foreach (var span in spans)
        {
            var run = document.Recordings.FirstOrDefault(r => r.Id == span.Recording)?.Run;
            var refusal = span switch
            {
                { Kind: not SpanKind.Take } => ("it is no take", "a take", "Write the calibration or the own-noise span into the document by hand; its level is not known from the recording."),
                { Condition: null } => ("it has no label", "a condition or 'open'", "Set its condition first."),
                { Overlaps.Count: > 0 } => ($"it shares time with {string.Join(", ", span.Overlaps)}", "time that no take uses", "Remove the take that is there first, or leave this proposal out."),
                _ when run is null => ($"the recording '{span.Recording}' belongs to no run", "a recording with its run", "Name the run of the recording in the document."),
                { Fit: null, Condition: not TrialDocument.OpenEar } => ("it has no donning", "the name of the donning", "Set its fit first."),
                _ when document.Wearers.Count > 1 && wearer is null => ("the trial has several wearers", "the wearer of these takes", "Say who wore the devices."),
                _ => default((string, string, string)?),
            };
            if (refusal is var (found, expected, remedy))
            {
                problems.Add(new("FND-008", Severity.Warning, string.Create(CultureInfo.InvariantCulture, $"{span.Id}, {span.Recording}, {span.From:0.0} to {span.To:0.0} s"), found, expected, remedy));
                continue;
            }
            string id;
            do id = string.Create(CultureInfo.InvariantCulture, $"T{++number:00}");
            while (!names.Add(id));
            takes.Add(new(id, run!, document.Wearers.Count > 1 ? wearer : null, span.Condition!, span.Fit, span.Recording, span.From, span.To, null, null, [], null, null, null, null, ""));
        }
        return (takes, problems);
    }
}
