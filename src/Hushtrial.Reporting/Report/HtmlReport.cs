using System.Security.Cryptography;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Unicode;
using Hushtrial.Reporting.Figures;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Results;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Web;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;

namespace Hushtrial.Reporting.Report;

/// <summary>The report as one HTML file: no network, no script, figures and style inside.</summary>
public static class HtmlReport
{
    /// <summary>The style sheet of the report, figures included.</summary>
    public static string Style { get; } = FigureStyle.PageCss + ReadStyle();

    /// <summary>The content security policy in the file: everything refused but its own style sheet, which is named by its hash.</summary>
    public static string Policy { get; } = "default-src 'none'; style-src 'sha256-" + Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(Style)))
        + "'; base-uri 'none'; form-action 'none'";

    /// <summary>Renders the report, in the language of the work under way; the same results give the same text, byte for byte.</summary>
    public static async Task<string> RenderAsync(TrialResults results)
    {
        await using var services = new ServiceCollection().AddSingleton<ILoggerFactory>(NullLoggerFactory.Instance)
            .AddSingleton(HtmlEncoder.Create(UnicodeRanges.All)).BuildServiceProvider();
        await using var renderer = new HtmlRenderer(services, NullLoggerFactory.Instance);
        var html = await renderer.Dispatcher.InvokeAsync(async () =>
        {
            var parameters = new Dictionary<string, object?>(StringComparer.Ordinal) { ["Results"] = results, ["Style"] = Style, ["Policy"] = Policy };
            return (await renderer.RenderComponentAsync<ReportDocument>(ParameterView.FromDictionary(parameters))).ToHtmlString();
        });
        return "<!DOCTYPE html>\n" + UnbrokenLines.In(Phrasebook.Current is { } book ? SpokenHtml.In(html, book) : html) + "\n";
    }

    private static string ReadStyle()
    {
        using var stream = typeof(HtmlReport).Assembly.GetManifestResourceStream("Hushtrial.Reporting.Report.report.css")
            ?? throw new InvalidOperationException("The style sheet of the report is missing from the assembly.");
        using var reader = new StreamReader(stream, Encoding.UTF8);
        // A parser of HTML turns CR LF into LF before the hash is taken.
        return reader.ReadToEnd().Replace("\r\n", "\n", StringComparison.Ordinal);
    }
}
