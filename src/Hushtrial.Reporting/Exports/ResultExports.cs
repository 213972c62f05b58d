using System.Text;
using Hushtrial.Reporting.Figures;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>A file to be written at the edge.</summary>
/// <param name="Name">Relative name with forward slashes.</param>
/// <param name="MediaType">Its media type.</param>
/// <param name="Content">Its bytes.</param>
public sealed record ExportFile(string Name, string MediaType, ReadOnlyMemory<byte> Content);

/// <summary>Everything of a trial that others may want to open: figures, tables of numbers, the JSON object.</summary>
public static class ResultExports
{
    /// <summary>Name of the JSON file.</summary>
    public const string JsonName = "results.json";

    private const string FigureFolder = "figures/";

    /// <summary>All files. The same results give the same bytes.</summary>
    public static IReadOnlyList<ExportFile> Files(TrialResults results) => [Json(results), .. Tables(results), .. Figures(results)];

    /// <summary>The file of that name; null when these results have none. Makes no more than its own kind.</summary>
    public static ExportFile? Find(TrialResults results, string name) =>
        (name == JsonName ? [Json(results)] : name.StartsWith(FigureFolder, StringComparison.Ordinal) ? Figures(results) : Tables(results)).FirstOrDefault(f => f.Name == name);

    private static ExportFile Json(TrialResults results)
    {
        using var json = new MemoryStream();
        ResultJson.Write(results, json);
        return new(JsonName, "application/json", json.ToArray());
    }

    private static IEnumerable<ExportFile> Figures(TrialResults results) => TrialFigures.Of(results, FigureWidth.Page).All()
        .Select(f => new ExportFile($"{FigureFolder}{f.Name}.svg", "image/svg+xml", Encoding.UTF8.GetBytes(f.Standalone)));

    private static IEnumerable<ExportFile> Tables(TrialResults results) =>
        [
            Table("conditions.csv", ResultCsv.Conditions(results)), Table("bands.csv", ResultCsv.Bands(results)), Table("fits.csv", ResultCsv.Fits(results)),
            .. results.Mode == TrialMode.Absolute ? [Table("levels.csv", ResultCsv.Levels(results))] : Array.Empty<ExportFile>(),
            .. results.ActiveParts.Count > 0 && results.Document.Quantity != MeasuredQuantity.ActivePart ? [Table("active-parts.csv", ResultCsv.ActiveParts(results))] : Array.Empty<ExportFile>(),
            Table("pairs.csv", ResultCsv.Pairs(results)), Table("takes.csv", ResultCsv.Takes(results)), Table("history.csv", ResultCsv.History(results)),
            .. ListeningCsv.Files(results),
            .. results.Document.Comfort.Count > 0 ? [Table("comfort.csv", JsonComfort.Table(results))] : Array.Empty<ExportFile>(),
            Table("cabins.csv", ResultCsv.Cabins(results)), Table("energy-shares.csv", ResultCsv.EnergyShares(results)),
        ];

    private static ExportFile Table(string name, string text) => new(name, "text/csv", Encoding.UTF8.GetBytes(text));
}
