using Hushtrial.Store.Library;
using Hushtrial.Trials.Results;
using Hushtrial.Web.Language;
using Hushtrial.Web.Work;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;

namespace Hushtrial.Web.Pages;

/// <summary>Results for files that leave the workspace: of the trial as it stands when they are asked for. A saved file does not change with the trial, so that an older one would describe another document than the reader believes.</summary>
internal static class HeadResults
{
    /// <summary>Answers with the head's results, once they are there; 409 with a sentence when there are none, or when the page showed another revision.</summary>
    /// <param name="id">The trial.</param>
    /// <param name="revision">The revision that the page showed; null when the request names none.</param>
    /// <param name="context">The request.</param>
    /// <param name="answer">Makes the file.</param>
    public static async Task<IResult> AnswerAsync(Guid id, int? revision, HttpContext context, Func<TrialResults, StoredTrial, Task<IResult>> answer)
    {
        var t = Tongue.Of(context);
        if (context.RequestServices.GetRequiredService<TrialLibrary>().Find(id) is not { } trial) return Results.NotFound();
        if (revision is { } shown && shown != trial.Revision) return Refused(t["The trial has changed in the meantime: look at it again."]);
        var state = await context.RequestServices.GetRequiredService<Desk>().SettledAsync(trial, context.RequestAborted);
        if (state.IsOf(trial)) return await answer(state.Results!, trial);
        if (state.Asked != trial.Mark || state.Running) return Refused(t["The trial has changed in the meantime: look at it again."]);
        return Refused(state.Failure is { } failure ? $"{t["The analysis ended by a bug of ours, not of your files:"]} {failure}"
            : t["The trial cannot be read as it stands, so there are no results of it. The findings say what stands in the way."]);
    }

    private static IResult Refused(string words) => Results.Text(words, "text/plain; charset=utf-8", statusCode: StatusCodes.Status409Conflict);
}
