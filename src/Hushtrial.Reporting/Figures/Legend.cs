namespace Hushtrial.Reporting.Figures;

/// <summary>A row of samples with their words, broken into lines by measured width.</summary>
internal sealed class Legend
{
    private const double Gap = 18;
    private readonly List<(double SampleWidth, Action<Svg, double, double> Sample, string Words)> _items = [];

    /// <summary>Adds an entry; the sample is drawn to the right of x, centred on y.</summary>
    public void Add(double sampleWidth, string words, Action<Svg, double, double> sample) => _items.Add((sampleWidth, sample, words));

    /// <summary>Draws all entries from the left; y is the middle of the first line. Returns the middle of the line that follows.</summary>
    public double Draw(Svg svg, double left, double y, double right)
    {
        var x = left;
        foreach (var (sampleWidth, sample, words) in _items)
        {
            var fitted = TextMetrics.Fit(words, 12, right - left - sampleWidth - 6);
            var width = sampleWidth + 6 + TextMetrics.Width(fitted, 12);
            if (x > left && x + width > right) (x, y) = (left, y + 19);
            sample(svg, x, y);
            svg.Text(x + sampleWidth + 6, y + 4, fitted, "h-sub");
            x += width + Gap;
        }
        return _items.Count == 0 ? y : y + 19;
    }
}
