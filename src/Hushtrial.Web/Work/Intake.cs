using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Hushtrial.Web.Doors;
using Hushtrial.Web.Language;
using Hushtrial.Web.Pages;
using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;

namespace Hushtrial.Web.Work;

/// <summary>Files on their way in: recordings by resumable upload or from this computer, whole trials by archive; and whole trials on their way out.</summary>
/// <remarks>Uploads speak the open protocol tus 1.0 (core, creation and termination). Nothing that comes in is ever served again as what it claims to be.</remarks>
internal static class Intake
{
    private const string Version = "1.0.0";

    /// <summary>Maps the endpoints.</summary>
    public static void MapIntake(this IEndpointRouteBuilder app)
    {
        app.MapPost("/trials/{id:guid}/uploads", (Guid id, HttpContext context, TrialLibrary library, Desk desk) =>
        {
            var (request, response) = (context.Request, context.Response);
            response.Headers["Tus-Resumable"] = Version;
            if (library.Find(id) is null) return Results.NotFound();
            if (!long.TryParse(request.Headers["Upload-Length"], System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out var length)) return Results.BadRequest("Upload-Length is needed.");
            var ticket = library.BeginUpload(id, NameIn(request.Headers["Upload-Metadata"].ToString()) ?? "recording.wav", length, Editing.Author(context));
            if (ticket.Upload is not { } upload) return Refused(ticket.Problem!);
            response.Headers.Location = $"/trials/{id:N}/uploads/{upload:N}";
            desk.Tell(id, "upload");
            return Results.StatusCode(StatusCodes.Status201Created);
        });
        app.MapMethods("/trials/{id:guid}/uploads/{upload:guid}", ["HEAD"], (Guid id, Guid upload, HttpContext context, TrialLibrary library) =>
        {
            context.Response.Headers["Tus-Resumable"] = Version;
            if (library.Upload(upload) is not { } state || state.Trial != id) return Results.NotFound();
            Stand(context.Response, state);
            return Results.Ok();
        });
        app.MapMethods("/trials/{id:guid}/uploads/{upload:guid}", ["PATCH"], async (Guid id, Guid upload, HttpContext context, TrialLibrary library, Desk desk, CancellationToken cancellation) =>
        {
            var (request, response) = (context.Request, context.Response);
            response.Headers["Tus-Resumable"] = Version;
            if (context.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } limit) limit.MaxRequestBodySize = null;
            if (request.ContentType != "application/offset+octet-stream") return Results.StatusCode(StatusCodes.Status415UnsupportedMediaType);
            if (!long.TryParse(request.Headers["Upload-Offset"], System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out var offset)) return Results.BadRequest("Upload-Offset is needed.");
            if (library.Upload(upload) is not { } before || before.Trial != id) return Results.NotFound();
            UploadState? state;
            try
            {
                state = await library.AppendAsync(upload, offset, request.Body, cancellation);
            }
            catch (Exception e) when (e is OperationCanceledException or IOException or BadHttpRequestException)
            {
                // The line broke: what came is kept, and the sender asks where to go on.
                return Results.StatusCode(StatusCodes.Status408RequestTimeout);
            }
            if (state is null) return Results.NotFound();
            if (state.Problem is { } problem) return Refused(problem);
            Stand(response, state);
            desk.Tell(id, "upload");
            if (state.Finished && library.Find(id) is { } trial)
            {
                desk.Ask(trial);
                desk.Tell(id, "revision");
            }
            return Results.NoContent();
        });
        app.MapDelete("/trials/{id:guid}/uploads/{upload:guid}", (Guid id, Guid upload, HttpContext context, TrialLibrary library, Desk desk) =>
        {
            context.Response.Headers["Tus-Resumable"] = Version;
            if (library.Upload(upload) is not { } state || state.Trial != id) return Results.NotFound();
            library.Abandon(upload);
            desk.Tell(id, "upload");
            return Results.NoContent();
        });
        app.MapPost("/trials/{id:guid}/local-files", async (Guid id, LocalFileAsked asked, HttpContext context, TrialLibrary library, Desk desk, CancellationToken cancellation) =>
        {
            if (library.Find(id) is null) return Results.NotFound();
            if (asked.Path?.Trim().Trim('"') is not { Length: > 0 } path) return Results.Text(Tongue.Of(context)["Name a file of this computer first."], statusCode: StatusCodes.Status400BadRequest);
            var added = await library.AddLocalFileAsync(id, path, Editing.Author(context), null, cancellation);
            if (added.Problem is { } problem && added.Trial is null) return Refused(problem);
            if (added.Trial is { } trial) desk.Ask(trial);
            desk.Tell(id, "revision");
            return Results.Json(new { recording = added.Recording, sha256 = added.Sha256 });
        });
        app.MapGet("/trials/{id:guid}/trial.zip", (Guid id, HttpContext context, TrialLibrary library) =>
        {
            if (library.Find(id) is not { } trial) return Results.NotFound();
            if (context.Features.Get<IHttpBodyControlFeature>() is { } body) body.AllowSynchronousIO = true;
            return Results.Stream(stream => { library.ExportZip(id, stream); return Task.CompletedTask; }, "application/zip", FileName(trial.Title));
        });
        app.MapPost("/import", async (HttpContext context, TrialLibrary library) =>
        {
            var t = Tongue.Of(context);
            if (!context.Request.HasFormContentType || (await context.Request.ReadFormAsync()).Files.GetFile("file") is not { } file) return Results.Text(t["Choose a file first."], statusCode: StatusCodes.Status400BadRequest);
            using var stream = file.OpenReadStream();
            if (!file.FileName.EndsWith(".zip", StringComparison.OrdinalIgnoreCase))
            {
                if (stream.Length > 5_000_000) return Results.Text(t["This is not a trial: neither an archive nor a document."], statusCode: StatusCodes.Status422UnprocessableEntity);
                var (draft, problems) = TrialDraft.FromStream(stream, Path.GetFileName(file.FileName));
                return draft is null ? Told(context, problems) : Results.LocalRedirect($"/trials/{library.Create(draft, "Opened from a document").Id:N}/question");
            }
            var outcome = library.ImportZip(stream, new ImportLimits());
            return outcome.Trial is { } trial ? Results.LocalRedirect($"/trials/{trial.Id:N}/question") : Told(context, outcome.Problems);
        }).WithMetadata(new LargeForm());
    }

    private static IResult Told(HttpContext context, IReadOnlyList<Problem> problems) => Spoken.Page(new RazorComponentResult<NotOpened>(new Dictionary<string, object?>(StringComparer.Ordinal)
    {
        ["Page"] = Reading.PageOf(context, context.RequestServices.GetRequiredService<IAntiforgery>()),
        ["Problems"] = problems,
    }) { StatusCode = StatusCodes.Status422UnprocessableEntity, PreventStreamingRendering = true });

    private static IResult Refused(Problem problem) => Results.Text(Spoken.Told(problem), statusCode: problem.Code switch
    {
        "UPL-001" => StatusCodes.Status409Conflict,
        "UPL-002" => StatusCodes.Status423Locked,
        "UPL-003" or "UPL-004" or "LIB-011" => StatusCodes.Status413PayloadTooLarge,
        "LIB-010" => StatusCodes.Status507InsufficientStorage,
        _ => StatusCodes.Status422UnprocessableEntity,
    });

    private static void Stand(HttpResponse response, UploadState state)
    {
        response.Headers["Upload-Offset"] = state.Offset.ToString(System.Globalization.CultureInfo.InvariantCulture);
        response.Headers["Upload-Length"] = state.Length.ToString(System.Globalization.CultureInfo.InvariantCulture);
    }

    /// <summary>The file name among the metadata: 'filename BASE64, type BASE64'.</summary>
    private static string? NameIn(string metadata)
    {
        foreach (var pair in metadata.Split(',', StringSplitOptions.TrimEntries))
            if (pair.Split(' ') is ["filename", { Length: > 0 } coded])
                try { return Encoding.UTF8.GetString(Convert.FromBase64String(coded)); }
                catch (FormatException) { return null; }
        return null;
    }

    private static string FileName(string title)
    {
        var plain = string.Concat(title.Select(c => char.IsAsciiLetterOrDigit(c) ? char.ToLowerInvariant(c) : '-')).Trim('-');
        while (plain.Contains("--", StringComparison.Ordinal)) plain = plain.Replace("--", "-", StringComparison.Ordinal);
        return (plain.Length == 0 ? "trial" : plain[..Math.Min(60, plain.Length)]) + ".zip";
    }

    internal sealed record LocalFileAsked(string? Path);
}
