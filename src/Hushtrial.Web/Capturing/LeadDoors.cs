using Hushtrial.Store.Captures;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Hushtrial.Web.Language;
using Hushtrial.Web.Work;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Hushtrial.Web.Capturing;

/// <summary>What the leading card asks: what comes next, marks to be kept, the key of the codes.</summary>
internal static class LeadDoors
{
    private const int MostWords = 400;
    private const int MostMarks = 10_000;

    /// <summary>Maps the endpoints.</summary>
    public static void MapLeading(this IEndpointRouteBuilder app)
    {
        const string at = "/trials/{id:guid}/captures/{capture:guid}";
        app.MapGet(at + "/lead", (Guid id, Guid capture, HttpContext context, CaptureShelf shelf, LeadDesk desk) =>
        {
            var (state, refusal) = CaptureDoors.Held(shelf, id, capture, context);
            return state is null ? refusal! : Card(context, desk, state);
        });
        app.MapPost(at + "/marks", (Guid id, Guid capture, MarkAsked asked, HttpContext context, CaptureShelf shelf, LeadDesk desk) =>
        {
            var (state, refusal) = CaptureDoors.Held(shelf, id, capture, context);
            if (state is null) return refusal!;
            if (Mark(asked, state, desk) is not { } mark || state.Marks.Count >= MostMarks) return Results.UnprocessableEntity();
            // A page that did not hear our answer sends again.
            if (state.Marks is not [.., var last] || last != mark)
            {
                if (CaptureDoors.Refusal(shelf.Note(capture, mark), context) is { } refused) return refused;
                if (shelf.Find(capture) is not { } noted) return Results.NotFound();
                state = noted;
                if (mark.Kind is "worn" or "begin" or "take" or "abort") desk.Session(state).Follow(LedRun.Of(state.Marks).Now);
            }
            return Card(context, desk, state);
        });
        app.MapPost("/trials/{id:guid}/reveal", (Guid id, HttpContext context, TrialLibrary library, Desk desk, TimeProvider clock) =>
        {
            if (library.Find(id) is not { Removed: null } trial) return Results.NotFound();
            var words = clock.GetLocalNow().ToString("yyyy-MM-dd HH:mm", System.Globalization.CultureInfo.InvariantCulture);
            if (library.Edit(id, trial.Revision, new DraftEdit.Several([new DraftEdit.Set("fitting.codes_revealed", words)]) { Title = "Key of the codes revealed" }, Editing.Author(context)) is not EditOutcome.Saved saved) return Results.Conflict();
            desk.Ask(saved.Trial);
            desk.Tell(id, "revision");
            return Results.Json(new { revision = saved.Trial.Revision });
        });
    }

    private static IResult Card(HttpContext context, LeadDesk desk, CaptureState state) =>
        desk.Moment(state) is { } moment ? Results.Json(LeadWords.Card(Tongue.Of(context), state, moment)) : Results.NotFound();

    /// <summary>The mark that a page asks for; null when it is none.</summary>
    private static CaptureMark? Mark(MarkAsked asked, CaptureState state, LeadDesk desk)
    {
        if (asked.Kind is not { } kind || !LedRun.Kinds.Contains(kind) || asked.From < 0 || asked.From > state.Frames || asked.To < asked.From || asked.To > state.Frames) return null;
        if (kind is "worn" or "begin" or "take" && (asked.Condition is not { Length: > 0 } || desk.Trial(state, newest: true) is not { } trial || !trial.Knows(asked.Condition))) return null;
        if (kind == "take" && asked.To is null) return null;
        if (kind == "event" && !LedRun.EventKinds.Contains(asked.Words ?? "")) return null;
        if ((asked.Words ?? "").Length > MostWords || (asked.Fit ?? "").Length > MostWords) return null;
        return new(kind, asked.From, asked.To, asked.Condition is { Length: > 0 } c ? c : null, asked.Condition == TrialDocument.OpenEar || asked.Fit is not { Length: > 0 } ? null : asked.Fit, asked.Words ?? "");
    }

    internal sealed record MarkAsked(string? Kind, long From, long? To, string? Condition, string? Fit, string? Words);
}
