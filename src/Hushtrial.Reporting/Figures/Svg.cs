using System.Globalization;
using System.Text;
using Hushtrial.Reporting.Wording;

namespace Hushtrial.Reporting.Figures;

/// <summary>Writes SVG elements as text: escaped, with numbers of at most two decimals, in the order of the calls.</summary>
internal sealed class Svg
{
    private readonly StringBuilder _text = new();

    /// <summary>The elements written so far.</summary>
    public override string ToString() => _text.ToString();

    /// <summary>A coordinate: at most two decimals, invariant, no negative zero.</summary>
    public static string N(double value)
    {
        var rounded = Math.Round(value, 2);
        return (rounded == 0 ? 0 : rounded).ToString("0.##", CultureInfo.InvariantCulture);
    }

    /// <summary>Text made safe for XML: markup escaped, characters that XML 1.0 forbids replaced by U+FFFD.</summary>
    /// <remarks>Source: Extensible Markup Language (XML) 1.0, fifth edition, 2.2, production [2] Char.</remarks>
    public static string Escape(string text)
    {
        var safe = new StringBuilder(text.Length + 16);
        foreach (var rune in text.EnumerateRunes())
        {
            _ = rune.Value switch
            {
                '&' => safe.Append("&amp;"),
                '<' => safe.Append("&lt;"),
                '>' => safe.Append("&gt;"),
                '"' => safe.Append("&quot;"),
                '\'' => safe.Append("&#39;"),
                '\t' or '\n' or '\r' => safe.Append(' '),
                < 0x20 or 0xFFFE or 0xFFFF => safe.Append('\uFFFD'),
                _ => safe.Append(rune.ToString()),
            };
        }
        return safe.ToString();
    }

    /// <summary>A straight line.</summary>
    public Svg Line(double x1, double y1, double x2, double y2, string css, string? title = null) =>
        Element("line", css, title, $"x1=\"{N(x1)}\" y1=\"{N(y1)}\" x2=\"{N(x2)}\" y2=\"{N(y2)}\"");

    /// <summary>A rectangle.</summary>
    public Svg Rect(double x, double y, double width, double height, string css, string? title = null, double radius = 0) =>
        Element("rect", css, title, $"x=\"{N(x)}\" y=\"{N(y)}\" width=\"{N(Math.Max(0, width))}\" height=\"{N(Math.Max(0, height))}\""
            + (radius > 0 ? $" rx=\"{N(radius)}\"" : ""));

    /// <summary>A rectangle hatched by lines that rise to the right.</summary>
    /// <remarks>Real lines and not a pattern: printed to PDF, a pattern becomes a picture of megabytes.</remarks>
    public Svg Hatched(double x, double y, double width, double height, string? title = null)
    {
        const double Step = 8.5;
        var lines = new StringBuilder();
        // On every line x + y is constant; multiples of the step, so that neighbouring rectangles join.
        for (var sum = Math.Ceiling((x + y) / Step) * Step; sum <= x + width + y + height; sum += Step)
        {
            double fromX = Math.Max(x, sum - y - height), toX = Math.Min(x + width, sum - y);
            if (toX > fromX) lines.Append(CultureInfo.InvariantCulture, $"M{N(fromX)} {N(sum - fromX)}L{N(toX)} {N(sum - toX)}");
        }
        return Rect(x, y, width, height, "h-veil", title).Path(lines.ToString(), "h-hatch");
    }

    /// <summary>A circle.</summary>
    public Svg Circle(double x, double y, double r, string css, string? title = null) =>
        Element("circle", css, title, $"cx=\"{N(x)}\" cy=\"{N(y)}\" r=\"{N(r)}\"");

    /// <summary>A path with its data already written.</summary>
    public Svg Path(string data, string css, string? title = null, string? dash = null) =>
        Element("path", css, title, $"d=\"{data}\"" + (dash is null ? "" : $" stroke-dasharray=\"{dash}\""));

    /// <summary>A line of text; <paramref name="anchor"/> is start, middle or end.</summary>
    public Svg Text(double x, double y, string text, string css, string anchor = "start", string? title = null)
    {
        _text.Append(CultureInfo.InvariantCulture, $"<text class=\"{css}\" x=\"{N(x)}\" y=\"{N(y)}\"");
        if (anchor != "start") _text.Append(CultureInfo.InvariantCulture, $" text-anchor=\"{anchor}\"");
        _text.Append('>').Append(Escape(Phrasebook.Say(text)));
        Title(title);
        _text.Append("</text>\n");
        return this;
    }

    /// <summary>Opens a group; closed by <see cref="End"/>.</summary>
    public Svg Group(string? label = null)
    {
        _text.Append(label is null ? "<g>\n" : $"<g role=\"group\" aria-label=\"{Escape(Phrasebook.Say(label))}\">\n");
        return this;
    }

    /// <summary>Closes the group opened last.</summary>
    public Svg End()
    {
        _text.Append("</g>\n");
        return this;
    }

    /// <summary>Puts in elements written elsewhere by this class.</summary>
    public Svg Raw(string markup)
    {
        _text.Append(markup);
        return this;
    }

    private Svg Element(string name, string css, string? title, string attributes)
    {
        _text.Append(CultureInfo.InvariantCulture, $"<{name} class=\"{css}\" {attributes}");
        if (title is null) _text.Append("/>\n");
        else
        {
            _text.Append('>');
            Title(title);
            _text.Append(CultureInfo.InvariantCulture, $"</{name}>\n");
        }
        return this;
    }

    private void Title(string? title)
    {
        if (title is not null) _text.Append("<title>").Append(Escape(Phrasebook.Say(title))).Append("</title>");
    }
}
