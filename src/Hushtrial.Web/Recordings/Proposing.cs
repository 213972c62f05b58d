using System.Buffers.Binary;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Finding;
using Hushtrial.Web.Language;
using Hushtrial.Web.Pages;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Hushtrial.Web.Recordings;

/// <summary>Spans that the level histories of a trial suggest: told to the page, which shows them dashed; nothing uses them until a person accepts them.</summary>
internal static class Proposing
{
    /// <summary>Maps the endpoint.</summary>
    public static void MapProposals(this IEndpointRouteBuilder app) =>
        app.MapGet("/trials/{id:guid}/proposals", async (Guid id, HttpContext context, TrialLibrary library, Shelf shelf, Histories histories, CancellationToken cancellation) =>
        {
            if (library.Find(id) is not { } trial) return Results.NotFound();
            var t = Tongue.Of(context);
            var document = trial.Draft.Read().Document ?? SoundPart.Of(trial.Draft);
            var channel = document.Channels.FirstOrDefault(c => !c.Outside)?.Number ?? 1;
            var (traces, notes) = (new List<LevelTrace>(), new List<string>());
            using var loan = shelf.Take(trial);
            foreach (var recording in document.Recordings)
            {
                if (loan.Find(recording.Id) is not { } found || channel > found.Samples.Channels || found.Samples.Frames < found.Samples.SampleRate) continue;
                traces.Add(Trace(recording.Id, await histories.WholeAsync(found.Sha256, channel - 1, found.Samples, loan.Again, cancellation)));
            }
            var result = TakeFinder.Propose(traces, document, OrderCard.Of(document));
            var taken = result.Spans.Count(s => s.Kind == SpanKind.Take && s.Overlaps.Count > 0);
            if (taken > 0) notes.Add(t["{0} of the steady spans are takes already.", taken]);
            notes.AddRange(result.Problems.Select(p => $"{Phrasebook.Say(p.Where)}: {Spoken.Told(p)}"));
            return Results.Json(new
            {
                proposals = result.Spans.Where(s => s.Overlaps.Count == 0).Select(s => new
                {
                    id = s.Id, kind = s.Kind.ToString().ToLowerInvariant(), recording = s.Recording, from = s.From, to = s.To, condition = s.Condition, fit = s.Fit, confidence = s.Confidence,
                    label = Label(t, trial.Draft, s), reasons = s.Reasons.Concat(s.Problems.Select(p => p.Found)).Select(Phrasebook.Say),
                }),
                notes,
            });
        });

    /// <summary>The trace of a stored history, in one-third octaves that exist.</summary>
    internal static LevelTrace Trace(string recording, ReadOnlyMemory<byte> history)
    {
        var rows = (history.Length - HistoryRows.HeadBytes) / HistoryRows.RowBytes;
        var last = BinaryPrimitives.ReadInt32LittleEndian(history.Span[28..]);
        var step = BinaryPrimitives.ReadInt32LittleEndian(history.Span[8..]);
        // The last step is shorter as a rule; its level means something else.
        var count = last < step ? rows - 1 : rows;
        var bands = new List<Band>();
        var thirds = new List<IReadOnlyList<float>>();
        foreach (var (index, band) in Band.ThirdOctaves.Index())
        {
            var values = Column(history.Span, 4 + index, count);
            if (values.All(v => v <= 0)) continue;
            bands.Add(band);
            thirds.Add(values);
        }
        return new(recording, step / 1e6, Column(history.Span, 0, count), bands, thirds);
    }

    private static float[] Column(ReadOnlySpan<byte> history, int place, int count)
    {
        var values = new float[count];
        for (var i = 0; i < count; i++)
        {
            var value = BinaryPrimitives.ReadInt16LittleEndian(history[(HistoryRows.HeadBytes + (i * HistoryRows.RowBytes) + (2 * place))..]);
            values[i] = value == HistoryRows.NoLevel ? 0 : (float)Math.Pow(10, value / 1000.0);
        }
        return values;
    }

    private static string Label(Tongue t, TrialDraft draft, ProposedSpan span) => span.Kind switch
    {
        SpanKind.Calibration => t["tone?"],
        SpanKind.Quiet => t["quiet?"],
        _ when span.Condition is { } condition => $"{TakeRows.Name(draft, t, condition)}{(span.Fit is { } fit ? " " + fit : "")}?",
        _ => span.Candidates.Where(c => c.Condition is not null).Take(2).Select(c => TakeRows.Name(draft, t, c.Condition!)).ToList() is { Count: > 0 } names ? string.Join(t[" or "], names) + "?" : "?",
    };
}
