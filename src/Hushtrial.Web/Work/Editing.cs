using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Hushtrial.Store;
using Hushtrial.Store.Library;
using Hushtrial.Web.Language;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.Hosting;

namespace Hushtrial.Web.Work;

/// <summary>A change with the revision that the page showed when it was made.</summary>
internal sealed record ChangeAsked(int Revision, EditAsked? Edit);

/// <summary>Changes of a trial, undo and redo, and the stream of what happens to it.</summary>
internal static class Editing
{
    /// <summary>Maps the endpoints.</summary>
    public static void MapEditing(this IEndpointRouteBuilder app)
    {
        app.MapPost("/trials/{id:guid}/edits", (Guid id, ChangeAsked asked, HttpContext context, TrialLibrary library, Desk desk) =>
        {
            if (library.Find(id) is null) return Results.NotFound();
            if (asked.Edit?.ToEdit() is not { } edit) return Results.BadRequest(new { problem = Tongue.Of(context)["One change is needed."] });
            return library.Edit(id, asked.Revision, edit, Author(context)) switch
            {
                EditOutcome.Saved saved => Saved(desk, saved.Trial),
                EditOutcome.Conflict conflict => Results.Json(new { conflict = new { path = conflict.Path, theirs = conflict.Theirs, yours = conflict.Yours, revision = conflict.Head.Revision } }, statusCode: StatusCodes.Status409Conflict),
                EditOutcome.Refused refused => Results.Json(new { problem = Tongue.Of(context)["{0}; expected: {1}. {2}", Phrasebook.Say(refused.Problem.Found), Phrasebook.Say(refused.Problem.Expected), Phrasebook.Say(refused.Problem.Remedy)] }, statusCode: StatusCodes.Status422UnprocessableEntity),
                _ => Results.NotFound(),
            };
        });
        app.MapPost("/trials/{id:guid}/undo", (Guid id, int? shown, HttpContext context, TrialLibrary library, Desk desk) => Moved(context, library, desk, id, shown, s => (library.Undo(id, s, out var problem), problem)));
        app.MapPost("/trials/{id:guid}/redo", (Guid id, int? shown, HttpContext context, TrialLibrary library, Desk desk) => Moved(context, library, desk, id, shown, s => (library.Redo(id, s, out var problem), problem)));
        app.MapPost("/trials/{id:guid}/restore/{revision:int}", (Guid id, int revision, int? shown, HttpContext context, TrialLibrary library, Desk desk) =>
            Moved(context, library, desk, id, shown, s => (library.Restore(id, revision, s, Author(context), out var problem), problem)));
        app.MapGet("/trials/{id:guid}/events", async (Guid id, HttpContext context, TrialLibrary library, Desk desk, IHostApplicationLifetime lifetime) =>
        {
            // An open page must not keep the workspace from closing.
            using var either = CancellationTokenSource.CreateLinkedTokenSource(context.RequestAborted, lifetime.ApplicationStopping);
            var cancellation = either.Token;
            if (library.Find(id) is null)
            {
                context.Response.StatusCode = StatusCodes.Status404NotFound;
                return;
            }
            context.Response.ContentType = "text/event-stream";
            await context.Response.WriteAsync("retry: 1000\n\n", cancellation);
            await context.Response.Body.FlushAsync(cancellation);
            try
            {
                await foreach (var what in desk.WatchAsync(id, cancellation))
                {
                    await context.Response.WriteAsync($"event: {what}\ndata: {library.Find(id)?.Revision ?? 0}\n\n", cancellation);
                    await context.Response.Body.FlushAsync(cancellation);
                }
            }
            catch (OperationCanceledException)
            {
                // The page was closed, or the workspace.
            }
        });
        app.MapGet("/trials/{id:guid}/analysis", (Guid id, Desk desk) => desk.State(id) is var state ? Results.Json(new { asked = state.Asked.Revision, running = state.Running, share = state.Share, revision = state.Revision }) : Results.NotFound());
    }

    /// <summary>The name that a page's tab gives itself: it tells revisions of two tabs apart in the history.</summary>
    public static string Author(HttpContext context) => context.Request.Headers["X-Tab"].ToString() is { Length: > 0 and <= 40 } tab && tab.All(char.IsAsciiLetterOrDigit) ? tab : "page";

    /// <summary>Undo, redo and going back carry the revision that the page showed, as changes do.</summary>
    private static IResult Moved(HttpContext context, TrialLibrary library, Desk desk, Guid id, int? shown, Func<int, (StoredTrial? Trial, Problem? Problem)> move)
    {
        if (library.Find(id) is null) return Results.NotFound();
        if (shown is not { } seen) return Results.Text(Tongue.Of(context)["The revision that the page showed is needed."], statusCode: StatusCodes.Status400BadRequest);
        return move(seen) switch
        {
            ({ } trial, _) => Saved(desk, trial),
            (_, { }) => Results.Text(Tongue.Of(context)["The trial has changed in the meantime: look at it again."], statusCode: StatusCodes.Status409Conflict),
            _ => Results.NotFound(),
        };
    }

    private static IResult Saved(Desk desk, StoredTrial trial)
    {
        desk.Ask(trial);
        desk.Tell(trial.Id, "revision");
        return Results.Json(new { revision = trial.Revision });
    }
}
