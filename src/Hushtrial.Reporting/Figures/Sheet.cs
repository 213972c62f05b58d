using Hushtrial.Reporting.Wording;

namespace Hushtrial.Reporting.Figures;

/// <summary>A figure being drawn: title and quantity stand at the top, the rest is drawn below <see cref="Top"/>.</summary>
internal sealed class Sheet
{
    private const double PageWidth = 820;
    private const double PhoneWidth = 344;

    private readonly string _name;
    private readonly string _title;
    private readonly string _quantity;
    private readonly string _prefix;

    /// <summary>Starts a figure.</summary>
    public Sheet(string name, string title, string quantity, FigureWidth width)
    {
        (_name, _title, _quantity) = (name, Phrasebook.Say(title), Phrasebook.Say(quantity));
        Narrow = width == FigureWidth.Phone;
        Width = Narrow ? PhoneWidth : PageWidth;
        _prefix = Narrow ? name + "-phone" : name;
        double y = 17;
        foreach (var line in TextMetrics.Wrap(title, 15, Width - 4, 3, bold: true))
        {
            Body.Text(0, y, line, "h-title");
            y += 19;
        }
        foreach (var line in TextMetrics.Wrap(quantity, 12, Width - 4, 6))
        {
            Body.Text(0, y, line, "h-sub");
            y += 16;
        }
        Top = y;
    }

    /// <summary>Whether it is laid out for a phone.</summary>
    public bool Narrow { get; }

    /// <summary>Width, px.</summary>
    public double Width { get; }

    /// <summary>Where the drawing begins, px.</summary>
    public double Top { get; }

    /// <summary>The elements.</summary>
    public Svg Body { get; } = new();

    /// <summary>Ends the figure.</summary>
    public Figure Finish(double height, string caption, string description)
    {
        height = Math.Ceiling(height);
        (caption, description) = (Phrasebook.Say(caption), Phrasebook.Say(description));
        var size = $"viewBox=\"0 0 {Svg.N(Width)} {Svg.N(height)}\" width=\"{Svg.N(Width)}\" height=\"{Svg.N(height)}\"";
        var head = $"role=\"img\" aria-labelledby=\"{_prefix}-title {_prefix}-desc\">\n<title id=\"{_prefix}-title\">{Svg.Escape(_title)}</title>\n"
            + $"<desc id=\"{_prefix}-desc\">{Svg.Escape(description)}</desc>\n";
        var inline = $"<svg class=\"h-fig\" {size} {head}{Body}</svg>";
        var (left, top) = (Svg.N(-Figure.SideMargin), Svg.N(-Figure.TopMargin));
        var (wide, high) = (Svg.N(Width + (2 * Figure.SideMargin)), Svg.N(height + (2 * Figure.TopMargin)));
        // The margin keeps marks and text off the edge of a file; on a page the surroundings do.
        var standalone = $"<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"h-fig\" viewBox=\"{left} {top} {wide} {high}\" "
            + $"width=\"{wide}\" height=\"{high}\" {head}<style>\n{FigureStyle.StandaloneCss.Replace(">", "&gt;", StringComparison.Ordinal)}</style>\n"
            + $"<rect class=\"h-paper\" x=\"{left}\" y=\"{top}\" width=\"{wide}\" height=\"{high}\"/>\n{Body}</svg>\n";
        return new(_name, _title, _quantity, caption, description, Width, height, inline, standalone);
    }
}
