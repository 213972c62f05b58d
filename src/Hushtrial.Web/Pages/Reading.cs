using Hushtrial.Store;
using Hushtrial.Store.Library;
using Hushtrial.Web.Language;
using Hushtrial.Web.Work;
using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Hushtrial.Web.Pages;

/// <summary>Makes pages of requests.</summary>
internal static class Reading
{
    /// <summary>Words and token for a request.</summary>
    public static PageView PageOf(HttpContext context, IAntiforgery antiforgery) =>
        new(Tongue.Of(context), antiforgery.GetAndStoreTokens(context).RequestToken ?? "", context.Request.Path + context.Request.QueryString);

    /// <summary>A page of a trial; not found when there is no such trial, or not in it what the page is about. Asks for the trial's results by the way.</summary>
    public static IResult Trial<TPage>(HttpContext context, Guid id, Action<TrialView, Dictionary<string, object?>>? more = null, Func<TrialView, bool>? exists = null)
        where TPage : IComponent
    {
        var services = context.RequestServices;
        var library = (TrialLibrary)services.GetService(typeof(TrialLibrary))!;
        var desk = (Desk)services.GetService(typeof(Desk))!;
        var page = PageOf(context, (IAntiforgery)services.GetService(typeof(IAntiforgery))!);
        if (library.Find(id) is not { } trial) return NotFound(page);
        desk.Ask(trial);
        var view = new TrialView(page, trial, desk.State(id));
        if (exists?.Invoke(view) == false) return NotFound(page);
        var parameters = new Dictionary<string, object?>(StringComparer.Ordinal) { ["View"] = view };
        more?.Invoke(view, parameters);
        return Spoken.Page(new RazorComponentResult<TPage>(parameters) { PreventStreamingRendering = true });
    }

    /// <summary>The page that says that there is nothing here.</summary>
    public static IResult NotFound(PageView page) => new RazorComponentResult<NothingHere>(new Dictionary<string, object?>(StringComparer.Ordinal) { ["Page"] = page }) { StatusCode = StatusCodes.Status404NotFound, PreventStreamingRendering = true };
}
