namespace Hushtrial.Reporting.Figures;

/// <summary>The shape of a point.</summary>
internal enum Mark
{
    Circle,
    Square,
    Diamond,
    Triangle,
    Plus,
    Cross,
}

/// <summary>How one kind of condition is drawn: a colour, a mark and a dash, so that none of them is needed to tell it apart.</summary>
/// <param name="Colour">Number of the colour, 0 to 5; the open ear is −1 and drawn in ink.</param>
/// <param name="Mark">The shape of its points.</param>
/// <param name="Open">True for marks without filling.</param>
/// <param name="Dash">Dash pattern of its lines; null for solid.</param>
internal sealed record SeriesStyle(int Colour, Mark Mark, bool Open, string? Dash)
{
    /// <summary>The open ear: a plain ink line.</summary>
    public static SeriesStyle OpenEar { get; } = new(-1, Mark.Plus, Open: true, Dash: null);

    /// <summary>What was published and not measured.</summary>
    public static SeriesStyle Published { get; } = new(5, Mark.Diamond, Open: true, Dash: "1.5 4");

    /// <summary>The class of its colour, joined to a role: ln line, fl filled, op open mark, bd interval band, ed edge of a band.</summary>
    public string Css(string role) => Colour < 0 ? $"h-{role} h-ink" : $"h-{role} h-c{Colour}";

    /// <summary>The path of the mark at a place, with half its width r in px.</summary>
    public string MarkPath(double x, double y, double r) => MarkPath(Mark, x, y, r);

    /// <summary>The path of any mark at a place.</summary>
    public static string MarkPath(Mark mark, double x, double y, double r)
    {
        static string P(double x, double y) => Svg.N(x) + " " + Svg.N(y);
        return mark switch
        {
            Mark.Circle => $"M{P(x - r, y)}a{Svg.N(r)} {Svg.N(r)} 0 1 0 {Svg.N(2 * r)} 0a{Svg.N(r)} {Svg.N(r)} 0 1 0 {Svg.N(-2 * r)} 0z",
            Mark.Square => $"M{P(x - (r * 0.9), y - (r * 0.9))}h{Svg.N(r * 1.8)}v{Svg.N(r * 1.8)}h{Svg.N(-r * 1.8)}z",
            Mark.Diamond => $"M{P(x, y - (r * 1.25))}L{P(x + (r * 1.25), y)}L{P(x, y + (r * 1.25))}L{P(x - (r * 1.25), y)}z",
            Mark.Triangle => $"M{P(x, y - (r * 1.2))}L{P(x + (r * 1.15), y + (r * 0.85))}L{P(x - (r * 1.15), y + (r * 0.85))}z",
            Mark.Plus => $"M{P(x - r, y)}h{Svg.N(2 * r)}M{P(x, y - r)}v{Svg.N(2 * r)}",
            _ => $"M{P(x - r, y - r)}L{P(x + r, y + r)}M{P(x - r, y + r)}L{P(x + r, y - r)}",
        };
    }
}
