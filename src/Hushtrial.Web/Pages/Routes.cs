using Hushtrial.Store;
using Hushtrial.Store.Captures;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Synthesis;
using Hushtrial.Web.Capturing;
using Hushtrial.Web.Language;
using Hushtrial.Web.Work;
using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Hushtrial.Web.Pages;

/// <summary>The addresses of the pages.</summary>
internal static class Routes
{
    /// <summary>Maps them.</summary>
    public static void MapPages(this IEndpointRouteBuilder app)
    {
        app.MapGet("/", (HttpContext context, IAntiforgery antiforgery, TrialLibrary library) => new RazorComponentResult<LibraryPage>(new Dictionary<string, object?>(StringComparer.Ordinal)
        {
            ["Page"] = Reading.PageOf(context, antiforgery),
            ["Trials"] = library.List().Where(t => t.Removed is null).OrderByDescending(t => t.Changed).ToList(),
            ["Removed"] = library.List().Where(t => t.Removed is not null).OrderByDescending(t => t.Changed).ToList(),
        }) { PreventStreamingRendering = true });
        app.MapPost("/trials", (HttpContext context, TrialLibrary library) =>
        {
            var t = Tongue.Of(context);
            return Results.LocalRedirect($"/trials/{library.Create(TrialDraft.Empty(t["New trial"]), "Begun").Id:N}/question");
        });
        app.MapPost("/demo/{scenario}", (string scenario, TrialLibrary library) => scenario switch
        {
            "helicopter" => Demo(library, HelicopterTrial.Make(1)),
            "tractor" => Demo(library, VineyardTractor.Make(1)),
            _ => Results.NotFound(),
        });
        app.MapPost("/trials/{id:guid}/remove", (Guid id, TrialLibrary library) => Known(library, id, library.Remove));
        app.MapPost("/trials/{id:guid}/bring-back", (Guid id, TrialLibrary library) => Known(library, id, library.BringBack));
        app.MapPost("/trials/{id:guid}/erase", (Guid id, HttpContext context, TrialLibrary library, CaptureShelf captures) =>
            // What another workspace is recording would stay behind.
            library.Find(id) is not null && captures.Of(id).Any(c => !captures.Discard(c.Id)) ? CaptureDoors.Refusal(CaptureAnswer.Elsewhere, context)! : Known(library, id, library.Erase));
        app.MapGet("/language/{tag}", (string tag, string? to, HttpResponse response) =>
        {
            if (Tongue.Find(tag) is { } tongue) response.Cookies.Append(Tongue.Cookie, tongue.Tag, new CookieOptions { SameSite = SameSiteMode.Strict, MaxAge = TimeSpan.FromDays(400), IsEssential = true, Path = "/" });
            return Results.LocalRedirect(to is { Length: > 0 } && to[0] == '/' && (to.Length == 1 || to[1] is not ('/' or '\\')) ? to : "/");
        });
        app.MapGet("/trials/{id:guid}", (Guid id) => Results.LocalRedirect($"/trials/{id:N}/question"));
        app.MapGet("/trials/{id:guid}/question", (Guid id, HttpContext context) => Reading.Trial<QuestionPage>(context, id));
        app.MapGet("/trials/{id:guid}/devices", (Guid id, HttpContext context) => Reading.Trial<DevicesPage>(context, id));
        app.MapGet("/trials/{id:guid}/plan", (Guid id, HttpContext context) => Reading.Trial<PlanPage>(context, id, (view, parameters) =>
        {
            var wish = PlanWish.Of(context.Request.Query);
            parameters["Wish"] = wish;
            parameters["Planned"] = Planning.Of(view.Trial, wish);
        }));
        app.MapGet("/trials/{id:guid}/recordings", (Guid id, HttpContext context, TrialLibrary library, RecordingFacts facts, LogFacts logs) => Reading.Trial<RecordingsPage>(context, id, (view, parameters) =>
        {
            parameters["Waiting"] = library.Uploads(id).Where(u => !u.Finished).ToList();
            parameters["Facts"] = (Func<StoredFile, RecordingFact?>)facts.Of;
            parameters["Logs"] = view.Draft.Ids("logs").Select(log => logs.Of(view.Trial, log)).ToList();
        }));
        app.MapGet("/trials/{id:guid}/history", (Guid id, HttpContext context, TrialLibrary library) =>
            Reading.Trial<HistoryPage>(context, id, (view, parameters) => parameters["Revisions"] = library.History(id).OrderByDescending(r => r.Number).ToList()));
        app.MapFallback((HttpContext context, IAntiforgery antiforgery) => Reading.NotFound(Reading.PageOf(context, antiforgery)));
    }

    private static IResult Known(TrialLibrary library, Guid id, Action<Guid> act)
    {
        if (library.Find(id) is null) return Results.NotFound();
        act(id);
        return Results.Json(new { trial = id });
    }

    private static IResult Demo(TrialLibrary library, SyntheticTrial demo) => Results.LocalRedirect($"/trials/{DemoTrial.Bring(library, demo):N}/results");
}
