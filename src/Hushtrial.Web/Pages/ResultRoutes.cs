using Hushtrial.Reporting.Exports;
using Hushtrial.Reporting.Report;
using Hushtrial.Store;
using Hushtrial.Store.Library;
using Hushtrial.Store.Files;
using Hushtrial.Web.Language;
using Hushtrial.Web.Work;
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
        app.MapGet("/trials/{id:guid}/exports/{**name}", (Guid id, string name, Desk desk) =>
            desk.State(id).Results is { } results && ResultExports.Find(results, name) is { } file
                ? Results.Bytes(file.Content, file.MediaType) : Results.NotFound());
        app.MapGet("/trials/{id:guid}/report.html", async (Guid id, string? save, HttpResponse response, Desk desk) =>
        {
            if (desk.State(id).Results is not { } results)
            {
                response.StatusCode = StatusCodes.Status404NotFound;
                return;
            }
            response.Headers.ContentSecurityPolicy = _reportPolicy;
            response.ContentType = "text/html; charset=utf-8";
            if (save is not null) response.Headers.ContentDisposition = "attachment; filename=\"report.html\"";
            await response.WriteAsync(await HtmlReport.RenderAsync(results));
        });
        app.MapGet("/trials/{id:guid}/report.pdf", async (Guid id, HttpContext context, Desk desk, CancellationToken cancellation) =>
        {
            if (desk.State(id).Results is not { } results) return Results.NotFound();
            if (Chromium.Find(Environment.GetEnvironmentVariable("PATH")) is not { } chromium)
                return Results.Text(Tongue.Of(context)["There is no Chromium on this machine. Open the report and print it to PDF from the browser."], statusCode: StatusCodes.Status501NotImplemented);
            using var folder = TemporaryFolder.Create() ?? throw new WrongUseException("no temporary folder can be made.");
            var (html, pdf) = (Path.Combine(folder.Path, "report.html"), Path.Combine(folder.Path, "report.pdf"));
            await File.WriteAllTextAsync(html, await HtmlReport.RenderAsync(results), cancellation);
            if (chromium.Print(html, pdf, cancellation) is { } problem) return Results.Text(problem.ToString(), statusCode: StatusCodes.Status500InternalServerError);
            return Results.File(await File.ReadAllBytesAsync(pdf, cancellation), "application/pdf", "report.pdf");
        });
    }
}
