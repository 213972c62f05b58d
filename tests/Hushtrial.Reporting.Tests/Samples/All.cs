using Hushtrial.Reporting.Figures;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Samples;

/// <summary>All samples by name, for theories.</summary>
public static class All
{
    /// <summary>The names.</summary>
    public static TheoryData<string> Names => ["helicopter", "meaning", "heard", "tractor", "markup", "twelve", "bare", "empty"];

    /// <summary>A sample by its name.</summary>
    internal static TrialResults Of(string name) => name switch
    {
        "helicopter" => Helicopter.Results(),
        "meaning" => Meaning.Results(),
        "heard" => Heard.Results(),
        "tractor" => Tractor.Results(),
        "markup" => Hostile.Markup(),
        "twelve" => Hostile.Twelve(),
        "bare" => Hostile.Bare(),
        _ => Hostile.Empty(),
    };

    /// <summary>Every figure of a sample in both layouts.</summary>
    internal static IEnumerable<Figure> Figures(string name) => new[] { FigureWidth.Page, FigureWidth.Phone }.SelectMany(w => TrialFigures.Of(Of(name), w).All());
}
