using Hushtrial.Store;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Finding;

namespace Hushtrial.Cli.Commands;

/// <summary>Corrections of proposals from the shell: P03.from=12.5, P03.condition=alder.</summary>
internal static class ProposalEdits
{
    public static IReadOnlyList<ProposedSpan> Apply(IReadOnlyList<ProposedSpan> spans, IEnumerable<string> edits, TrialDocument document)
    {
        var result = spans.ToList();
        foreach (var edit in edits)
        {
            if (edit.Split('=', 2) is not [var name, var value] || name.Split('.') is not [var id, var field]) throw new WrongUseException($"'{edit}' is no correction; write P03.from=12.5.");
            var at = result.FindIndex(s => s.Id == id);
            if (at < 0) throw new WrongUseException($"there is no proposal '{id}'.");
            result[at] = Corrected(result[at], field, value.Trim(), edit, document);
        }
        return result;
    }

    private static ProposedSpan Corrected(ProposedSpan span, string field, string value, string edit, TrialDocument document)
    {
        var corrected = field switch
        {
            "from" => span with { From = Seconds(value, edit) },
            "to" => span with { To = Seconds(value, edit) },
            "condition" => value == TrialDocument.OpenEar ? span with { Condition = value, Fit = null, Confidence = 1 }
                : document.Conditions.Any(c => c.Id == value) ? span with { Condition = value, Confidence = 1 } : throw new WrongUseException($"the document has no condition '{value}'."),
            "fit" => span with { Fit = value },
            _ => throw new WrongUseException($"'{edit}': from, to, condition and fit can be corrected."),
        };
        if (!(corrected.To > corrected.From) || corrected.From < 0) throw new WrongUseException($"'{edit}': the span would end before it begins.");
        var overlaps = document.Takes.Where(t => t.Recording == span.Recording && t.From < corrected.To && t.To > corrected.From).Select(t => t.Id).ToList();
        return corrected with { Overlaps = overlaps, Reasons = [.. span.Reasons, $"{field} set by hand"] };
    }

    private static double Seconds(string value, string edit) => SpanText.Seconds(value) is { } seconds
        ? seconds : throw new WrongUseException($"'{edit}' gives no time: {SpanText.Forms} is needed.");
}
