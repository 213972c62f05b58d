using Hushtrial.Reporting.Tables;

namespace Hushtrial.Reporting.Figures;

/// <summary>The width a figure is laid out for. The phone layout is not a smaller picture: panels stack, and text keeps its size.</summary>
public enum FigureWidth
{
    /// <summary>820 px: desktop, tablet, print and export.</summary>
    Page,

    /// <summary>344 px: a phone held upright.</summary>
    Phone,
}

/// <summary>One finished figure.</summary>
/// <param name="Name">Short name, unique in a report; the file name of the export and the prefix of every id.</param>
/// <param name="Title">What is shown.</param>
/// <param name="Quantity">The measured quantity and how it is formed; printed in the figure.</param>
/// <param name="Caption">How to read it, in one or two sentences.</param>
/// <param name="Description">What a reader who cannot see it should know: printed in its desc element.</param>
/// <param name="Width">Width, px.</param>
/// <param name="Height">Height, px.</param>
/// <param name="Inline">The svg element for a page that carries <see cref="FigureStyle.PageCss"/>.</param>
/// <param name="Standalone">The whole SVG document with its own style.</param>
public sealed record Figure(string Name, string Title, string Quantity, string Caption, string Description, double Width, double Height,
    string Inline, string Standalone)
{
    /// <summary>What is drawn, as a table; null where a table of the report says the same.</summary>
    public ReportTable? Numbers { get; init; }

    /// <summary>Margin that the standalone document has left and right, px.</summary>
    public const double SideMargin = 16;

    /// <summary>Margin that the standalone document has above and below, px.</summary>
    public const double TopMargin = 12;
}
