using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Exports;
using Hushtrial.Reporting.Figures;
using Hushtrial.Reporting.Report;
using Hushtrial.Trials.Results;
using Hushtrial.Store;
using Hushtrial.Store.Files;

namespace Hushtrial.Cli.Files;

/// <summary>Writes what a trial gave: JSON, tables, figures, report.</summary>
internal static class ResultFiles
{
    /// <summary>Name of the JSON file.</summary>
    public const string JsonName = ResultExports.JsonName;

    /// <summary>Writes results.json, the tables as CSV and the figures as SVG, and as PNG when Chromium is there.</summary>
    /// <param name="results">The results.</param>
    /// <param name="folder">Where to.</param>
    /// <param name="inputs">Files that were read and are not written over.</param>
    /// <param name="cancellation">Stops the drawing.</param>
    /// <returns>What could not be written and why.</returns>
    /// <exception cref="WrongUseException">A file of that name is another's: then none is written.</exception>
    public static IReadOnlyList<Problem> Write(TrialResults results, string folder, IReadOnlyCollection<string> inputs, CancellationToken cancellation)
    {
        var files = ResultExports.Files(results);
        NamedOutput.MustNotBe(inputs, files.Select(f => Path.Combine(folder, f.Name)));
        NamedOutput.MustBeOurs(folder, files);
        foreach (var file in files)
            Output.Write(Path.Combine(folder, file.Name), stream => stream.Write(file.Content.Span));
        if (Chromium.Find(Environment.GetEnvironmentVariable("PATH")) is not { } chromium) return [Chromium.Missing];
        var figures = TrialFigures.Of(results, FigureWidth.Page).All().ToList();
        var problems = new Problem?[figures.Count];
        try
        {
            Parallel.For(0, figures.Count, new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = cancellation }, i =>
            {
                var svg = Path.Combine(folder, "figures", figures[i].Name + ".svg");
                problems[i] = chromium.Draw(svg, Path.ChangeExtension(svg, ".png"), figures[i].Width + (2 * Figure.SideMargin), figures[i].Height + (2 * Figure.TopMargin), cancellation);
            });
        }
        catch (AggregateException e) when (e.InnerExceptions.OfType<WrongUseException>().FirstOrDefault() is { } wrong)
        {
            throw new WrongUseException(wrong.Message);
        }
        return [.. problems.OfType<Problem>()];
    }

    /// <summary>Writes the report: HTML, or PDF when the file's name ends so and Chromium is there.</summary>
    /// <returns>What could not be written and why.</returns>
    public static async Task<IReadOnlyList<Problem>> WriteReportAsync(TrialResults results, string path, CancellationToken cancellation)
    {
        var html = Encoding.UTF8.GetBytes(await HtmlReport.RenderAsync(results));
        if (!string.Equals(Path.GetExtension(path), ".pdf", StringComparison.OrdinalIgnoreCase))
        {
            Output.Write(path, stream => stream.Write(html));
            return [];
        }
        if (Chromium.Find(Environment.GetEnvironmentVariable("PATH")) is not { } chromium) return [Chromium.Missing with { Severity = Severity.Error }];
        using var folder = TemporaryFolder.Create() ?? throw new WrongUseException("no temporary folder can be made.");
        var page = Path.Combine(folder.Path, "report.html");
        Output.Write(page, stream => stream.Write(html));
        return chromium.Print(page, path, cancellation) is { } problem ? [problem with { Severity = Severity.Error }] : [];
    }
}
