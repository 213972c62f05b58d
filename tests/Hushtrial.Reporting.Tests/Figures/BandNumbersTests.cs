using Hushtrial.Reporting.Figures;
using Hushtrial.Tests.Samples;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Figures;

/// <summary>A figure over frequency brings its own numbers: those of its curves, not those of another table.</summary>
public sealed class BandNumbersTests
{
    private static readonly TrialResults _results = Helicopter.Results();

    private static readonly TrialFigures _figures = TrialFigures.Of(_results, FigureWidth.Page);

    [Fact]
    public void The_spectrum_brings_levels_and_the_loss_brings_losses()
    {
        var condition = _results.Conditions.First(c => !c.Predicted && c.Condition.Mode == "active");
        foreach (var (figure, bands) in new[] { (_figures.Spectrum[0], condition.EarLevel!.Bands), (_figures.Loss[0], condition.Loss.Bands) })
        {
            var numbers = figure.Numbers!;
            var column = numbers.Columns.ToList().FindIndex(c => (c.Head, c.Unit) == (condition.Device.Name, "active"));
            Assert.True(column > 0, figure.Name);
            foreach (var band in bands.Where(b => b is { Valid: true, LowerBoundOnly: false } && b.Effect.In(_results.Document.Scope) is not null))
            {
                var estimate = band.Effect.In(_results.Document.Scope)!;
                // Octaves of published data stand below the thirds.
                var cell = numbers.Rows.First(r => r.Cells[0].Main == band.Band.ToString()).Cells[column];
                Assert.Equal(FormattableString.Invariant($"{estimate.Value:0.0}"), cell.Main.Replace('−', '-'));
                Assert.Contains(FormattableString.Invariant($"{Math.Abs(estimate.High):0.0}"), cell.Small);
            }
        }
    }

    [Fact]
    public void The_open_ear_in_every_panel_is_one_column()
    {
        var numbers = _figures.Spectrum[0].Numbers!;
        Assert.Single(numbers.Columns, c => c.Head == "open ear");
        Assert.Equal(numbers.Columns.Count, numbers.Columns.Distinct().Count());
        Assert.All(numbers.Rows, r => Assert.Equal(numbers.Columns.Count, r.Cells.Count));
        // Where curves are in thirds and in octaves, no row holds both.
        Assert.Equal(2, _figures.Loss[0].Numbers!.Rows.Count(r => r.Cells.Count == 1));
        Assert.All(_figures.Loss[0].Numbers!.Rows.Where(r => r.Cells.Count > 1), r => Assert.Contains(r.Cells.Skip(1), c => c.Main != "–"));
        Assert.Equal(_results.Conditions.Count(c => c.EarLevel is { Bands.Count: > 0 }) + 2, numbers.Columns.Count);
    }
}
