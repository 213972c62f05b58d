using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Exports;
using Hushtrial.Reporting.Report;
using Hushtrial.Trials.Results;

namespace Hushtrial.Cli.Files;

/// <summary>Writes what a trial gave: JSON, tables, figures, report.</summary>
internal static class ResultFiles
{
    /// <summary>Name of the JSON file.</summary>
    public const string JsonName = "results.json";

    /// <summary>Writes results.json, the tables as CSV and the figures as SVG, and as PNG when Chromium is there.</summary>
    /// <returns>What could not be written and why.</returns>
    public static IReadOnlyList<Problem> Write(TrialResults results, string folder)
    {
        foreach (var file in ResultExports.Files(results))
            Output.Write(Path.Combine(folder, file.Name), stream => stream.Write(file.Content.Span));
        return [];
    }

    /// <summary>Writes the report: HTML, or PDF when the file's name ends so and Chromium is there.</summary>
    /// <returns>What could not be written and why.</returns>
    public static async Task<IReadOnlyList<Problem>> WriteReportAsync(TrialResults results, string path)
    {
        var html = await HtmlReport.RenderAsync(results);
        Output.Write(path, stream => stream.Write(Encoding.UTF8.GetBytes(html)));
        return [];
    }
}
