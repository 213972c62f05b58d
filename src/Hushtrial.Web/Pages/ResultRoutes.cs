using Hushtrial.Reporting.Exports;
using Hushtrial.Reporting.Report;
using Hushtrial.Store;
using Hushtrial.Store.Library;
using Hushtrial.Store.Files;
using Hushtrial.Web.Language;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Hushtrial.Web.Pages;

/// <summary>Addresses of results: pages, exported files, the report, the whole trial.</summary>
internal static class ResultRoutes
{
    /// <summary>The report brings its own style; what it may load is nothing.</summary>
    private static readonly string _reportPolicy = HtmlReport.Policy + "; frame-ancestors 'none'";

    /// <summary>Maps them.</summary>
    public static void MapResults(this IEndpointRouteBuilder app)
    {
        app.MapGet("/trials/{id:guid}/findings", (Guid id, HttpContext context) => Reading.Trial<FindingsPage>(context, id));
        app.MapGet("/trials/{id:guid}/results", (Guid id, HttpContext context) => Reading.Trial<ResultsPage>(context, id));
        app.MapGet("/trials/{id:guid}/meaning", (Guid id, HttpContext context) => Reading.Trial<MeaningPage>(context, id));
        app.MapGet("/trials/{id:guid}/report", (Guid id, HttpContext context) => Reading.Trial<ReportPage>(context, id));
        app.MapGet("/trials/{id:guid}/numbers/loss/{condition}", (Guid id, string condition, string? hertz, HttpContext context) => Reading.Trial<NumberPage>(context, id, (_, parameters) =>
        {
            parameters["ConditionId"] = condition;
            parameters["Hertz"] = hertz;
        }, view => view.Draft.Ids("conditions").Contains(condition) || view.State.Results?.Conditions.Any(c => c.Condition.Id == condition) == true));
        app.MapGet("/trials/{id:guid}/exports/{**name}", (Guid id, string name, int? revision, HttpContext context) => HeadResults.AnswerAsync(id, revision, context, (results, _) =>
            Task.FromResult(ResultExports.Find(results, name) is { } file ? Results.Bytes(file.Content.ToArray(), file.MediaType, Path.GetFileName(name)) : Results.NotFound())));
        app.MapGet("/trials/{id:guid}/report.html", (Guid id, string? save, int? revision, HttpContext context) => HeadResults.AnswerAsync(id, revision, context, async (results, _) =>
        {
            var html = await HtmlReport.RenderAsync(results);
            context.Response.Headers.ContentSecurityPolicy = _reportPolicy;
            if (save is not null) context.Response.Headers.ContentDisposition = "attachment; filename=\"report.html\"";
            return Results.Text(html, "text/html; charset=utf-8");
        }));
        app.MapGet("/trials/{id:guid}/report.pdf", (Guid id, int? revision, HttpContext context, CancellationToken cancellation) => HeadResults.AnswerAsync(id, revision, context, async (results, _) =>
        {
            if (Chromium.Find(Environment.GetEnvironmentVariable("PATH")) is not { } chromium)
                return Results.Text(Tongue.Of(context)["There is no Chromium on this machine. Open the report and print it to PDF from the browser."], statusCode: StatusCodes.Status501NotImplemented);
            using var folder = TemporaryFolder.Create() ?? throw new WrongUseException("no temporary folder can be made.");
            var (html, pdf) = (Path.Combine(folder.Path, "report.html"), Path.Combine(folder.Path, "report.pdf"));
            await File.WriteAllTextAsync(html, await HtmlReport.RenderAsync(results), cancellation);
            if (chromium.Print(html, pdf, cancellation) is { } problem) return Results.Text(problem.ToString(), statusCode: StatusCodes.Status500InternalServerError);
            return Results.File(await File.ReadAllBytesAsync(pdf, cancellation), "application/pdf", "report.pdf");
        }));
    }
}
