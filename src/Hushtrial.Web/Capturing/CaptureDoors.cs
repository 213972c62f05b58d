using System.Globalization;
using Hushtrial.Store;
using Hushtrial.Store.Captures;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Hushtrial.Web.Language;
using Hushtrial.Web.Work;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Hushtrial.Web.Capturing;

/// <summary>What the capturing page asks: begin, frames as they arrive, the end. Frames are counted from the beginning of the capture.</summary>
internal static class CaptureDoors
{
    /// <summary>Eight seconds of four channels at the highest rate, and more than that of a usual one.</summary>
    private const int MostBytes = 24 * 1024 * 1024;

    private const int MostWords = 400;

    /// <summary>Maps the endpoints.</summary>
    public static void MapCaptures(this IEndpointRouteBuilder app)
    {
        const string at = "/trials/{id:guid}/captures";
        app.MapPost(at, (Guid id, CaptureAsked asked, TrialLibrary library, CaptureShelf shelf, Desk desk) =>
        {
            if (library.Find(id) is not { Removed: null }) return Results.NotFound();
            if (asked.SampleRate is < 8000 or > 192_000 || asked.Channels is < 1 or > CaptureShelf.MostChannels) return Results.BadRequest("a rate of 8000 to 192 000 Hz and one to four channels are needed");
            var settings = (asked.Settings ?? []).Take(40).ToDictionary(s => Short(s.Key), s => Short(s.Value), StringComparer.Ordinal);
            try
            {
                var state = shelf.Begin(id, Short(asked.Name ?? "flight"), new(asked.SampleRate, asked.Channels, Short(asked.Device ?? ""), settings));
                desk.Tell(id, "upload");
                return Results.Json(new { capture = state.Id.ToString("N"), frames = 0L });
            }
            catch (WrongUseException e)
            {
                return Results.Text(e.Message, statusCode: StatusCodes.Status507InsufficientStorage);
            }
        });
        app.MapPost(at + "/{capture:guid}/frames", async (Guid id, Guid capture, long from, HttpContext context, CaptureShelf shelf, LeadDesk lead, CancellationToken cancellation) =>
        {
            if (context.Features.Get<Microsoft.AspNetCore.Http.Features.IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } limit) limit.MaxRequestBodySize = MostBytes;
            var (known, refusal) = Held(shelf, id, capture, context);
            if (known is null) return refusal!;
            var session = lead.Session(known);
            using var body = new MemoryStream();
            await context.Request.Body.CopyToAsync(body, cancellation);
            var (answer, state) = shelf.Append(capture, from, body.GetBuffer().AsSpan(0, (int)body.Length), (_, frames) => session.Hear(frames));
            return answer switch
            {
                CaptureAnswer.Kept => Stand(state!, StatusCodes.Status200OK, lead.Trial(state!, newest: false) is { } trial ? LeadWords.Live(Tongue.Of(context), state!, trial, session) : null),
                CaptureAnswer.TooFar => Stand(state!, StatusCodes.Status409Conflict),
                CaptureAnswer.Wrong => Stand(state!, StatusCodes.Status422UnprocessableEntity),
                CaptureAnswer.NotWritten when state is not null => Stand(state, StatusCodes.Status507InsufficientStorage),
                _ => Refusal(answer, context)!,
            };
        });
        app.MapGet(at + "/{capture:guid}", (Guid id, Guid capture, CaptureShelf shelf) => Of(shelf, id, capture) is { } state ? Stand(state, StatusCodes.Status200OK) : Results.NotFound());
        app.MapPost(at + "/{capture:guid}/finish", async (Guid id, Guid capture, string? run, HttpContext context, TrialLibrary library, CaptureShelf shelf, LeadDesk lead, Desk desk, CancellationToken cancellation) =>
        {
            var takes = 0;
            void Place(AddedFile file, CaptureState state)
            {
                if (file is not { Trial: { } trial, Recording: { } recording }) return;
                var edits = CapturedTakes.Edits(trial.Draft, recording, run, state);
                takes = edits.Count(e => e is DraftEdit.Add { Section: "takes" });
                desk.Ask(Placed(library, trial, edits, Editing.Author(context)));
            }
            if (Held(shelf, id, capture, context) is { Refusal: { } refusal }) return refusal;
            if (await shelf.FinishAsync(capture, Editing.Author(context), cancellation, Place) is not { } ended) return Results.NotFound();
            lead.Forget(capture);
            if (ended.State.Frames > 0 && ended.File.Trial is null) return Results.Text($"{ended.File.Problem?.Found}. {ended.File.Problem?.Remedy}", statusCode: StatusCodes.Status422UnprocessableEntity);
            desk.Tell(id, "revision");
            desk.Tell(id, "upload");
            return Results.Json(new { recording = ended.File.Recording, seconds = ended.State.Seconds, gaps = ended.State.Gaps.Count, takes });
        });
        app.MapDelete(at + "/{capture:guid}", (Guid id, Guid capture, HttpContext context, CaptureShelf shelf, LeadDesk lead, Desk desk) =>
        {
            if (Of(shelf, id, capture) is null) return Results.NotFound();
            if (!shelf.Discard(capture)) return Refusal(CaptureAnswer.Elsewhere, context)!;
            lead.Forget(capture);
            desk.Tell(id, "upload");
            return Results.NoContent();
        });
    }

    /// <summary>A capture of a trial; null when there is none.</summary>
    internal static CaptureState? Of(CaptureShelf shelf, Guid trial, Guid capture) => shelf.Find(capture) is { } state && state.Trial == trial ? state : null;

    /// <summary>A capture of a trial that this process goes on with; else what to answer.</summary>
    internal static (CaptureState? State, IResult? Refusal) Held(CaptureShelf shelf, Guid trial, Guid capture, HttpContext context)
    {
        if (Of(shelf, trial, capture) is null) return (null, Results.NotFound());
        if (Refusal(shelf.Hold(capture), context) is { } refusal) return (null, refusal);
        return Of(shelf, trial, capture) is { } state ? (state, null) : (null, Results.NotFound());
    }

    /// <summary>What to answer when the shelf did not do what was asked; null when it did. A page asks again after a 5xx.</summary>
    internal static IResult? Refusal(CaptureAnswer answer, HttpContext context) => answer switch
    {
        CaptureAnswer.Kept => null,
        CaptureAnswer.NotWritten => Results.Text(Tongue.Of(context)["The disk takes no more: make room on it."], statusCode: StatusCodes.Status507InsufficientStorage),
        CaptureAnswer.Elsewhere => Results.Text(Tongue.Of(context)["Another running workspace has this recording open: go on with it there, or close that workspace."], statusCode: StatusCodes.Status503ServiceUnavailable),
        _ => Results.NotFound(),
    };

    private static string Short(string text) => text.Length <= MostWords ? text : text[..MostWords];

    private static IResult Stand(CaptureState state, int status, object? live = null) => Results.Json(new
    {
        frames = state.Frames, gaps = state.Gaps.Count, gapSeconds = (double)state.Gaps.Sum(g => g.Frames) / state.Source.SampleRate, live,
    }, statusCode: status);

    /// <summary>All edits as one revision; where one of them is refused, those that are not.</summary>
    private static StoredTrial Placed(TrialLibrary library, StoredTrial trial, IReadOnlyList<DraftEdit> edits, string author)
    {
        if (edits.Count == 0) return trial;
        if (library.Edit(trial.Id, trial.Revision, new DraftEdit.Several(edits) { Title = "Capture brought in" }, author) is EditOutcome.Saved all) return all.Trial;
        foreach (var edit in edits)
            if (library.Edit(trial.Id, trial.Revision, edit, author) is EditOutcome.Saved one) trial = one.Trial;
        return trial;
    }

    /// <summary>What the capture knows of its recording: the run, the clock, the input.</summary>
    internal static IReadOnlyList<DraftEdit> Told(TrialDraft draft, string recording, string? run, CaptureState state)
    {
        var edits = new List<DraftEdit>();
        if (run is { Length: > 0 } && draft.Ids("runs").Contains(run))
        {
            edits.Add(new DraftEdit.Set($"recordings[{recording}].run", run));
            // A clock belongs to a run: without one it would be an error of the document.
            if (state.FirstFrameAt is { } first) edits.Add(new DraftEdit.Set($"recordings[{recording}].starts", first.ToString("HH:mm:ss.FFFFFF", CultureInfo.InvariantCulture)));
        }
        if (string.IsNullOrWhiteSpace(draft.Value("chain.recorder")))
            edits.Add(new DraftEdit.Set("chain.recorder", string.Create(CultureInfo.InvariantCulture, $"captured in the workspace: {(state.Source.Device.Length > 0 ? state.Source.Device : "an input without a name")}, {state.Source.SampleRate} Hz")));
        return edits;
    }

    internal sealed record CaptureAsked(string? Name, int SampleRate, int Channels, string? Device, Dictionary<string, string>? Settings);
}
