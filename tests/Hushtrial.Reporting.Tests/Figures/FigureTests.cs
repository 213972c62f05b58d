using System.Globalization;
using System.Xml.Linq;
using Hushtrial.Reporting.Figures;
using Hushtrial.Tests.Samples;

namespace Hushtrial.Tests.Figures;

public sealed class FigureTests
{
    private static readonly XNamespace _svg = "http://www.w3.org/2000/svg";

    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public void Every_figure_is_well_formed_and_named(string name)
    {
        foreach (var figure in All.Figures(name))
        {
            var root = XDocument.Parse(figure.Standalone).Root!;
            Assert.Equal("img", root.Attribute("role")?.Value);
            var ids = root.Attribute("aria-labelledby")!.Value.Split(' ');
            Assert.Equal(ids[0], root.Element(_svg + "title")!.Attribute("id")!.Value);
            Assert.Equal(ids[1], root.Element(_svg + "desc")!.Attribute("id")!.Value);
            Assert.False(string.IsNullOrWhiteSpace(root.Element(_svg + "title")!.Value), figure.Name);
            Assert.True(root.Element(_svg + "desc")!.Value.Length > 20, figure.Name);
            Assert.Contains("dB", string.Concat(root.Descendants(_svg + "text").Select(t => t.Value)), StringComparison.Ordinal);
            // The quantity is printed, in as many lines as it needs.
            var printed = string.Join(' ', root.Descendants(_svg + "text").Where(t => t.Attribute("class")?.Value == "h-sub").Select(t => t.Value));
            Assert.Contains(figure.Quantity[..25], printed, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void The_helicopter_has_eight_figures_and_the_bare_trial_two()
    {
        Assert.Equal(["spectrum-at-the-ear", "loss-by-band", "a-weighted-loss", "ladder", "pairs", "difference-by-band", "history-1", "history-2"], TrialFigures.Of(Helicopter.Results(), FigureWidth.Page).All().Select(f => f.Name));
        Assert.Equal(["a-weighted-loss", "history-1"], TrialFigures.Of(Hostile.Bare(), FigureWidth.Page).All().Select(f => f.Name));
        Assert.Empty(TrialFigures.Of(Hostile.Empty(), FigureWidth.Page).All());
    }

    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public void Ids_are_unique_over_both_layouts_of_all_figures(string name)
    {
        var ids = All.Figures(name).SelectMany(f => XDocument.Parse(f.Standalone).Descendants().Select(e => e.Attribute("id")?.Value).OfType<string>()).ToList();
        Assert.Equal(ids.Count, ids.Distinct().Count());
    }

    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public void The_same_results_give_the_same_bytes(string name) => Assert.Equal(All.Figures(name).Select(f => f.Standalone), All.Figures(name).Select(f => f.Standalone));

    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public void No_text_leaves_the_figure(string name)
    {
        foreach (var figure in All.Figures(name))
            foreach (var text in XDocument.Parse(figure.Standalone).Descendants(_svg + "text"))
            {
                var size = text.Attribute("class")!.Value is var css && css.Contains("h-title", StringComparison.Ordinal) ? 15 : css.Contains("h-tick", StringComparison.Ordinal) || css.Contains("h-small", StringComparison.Ordinal) ? 11 : 12;
                var own = string.Concat(text.Nodes().OfType<XText>().Select(t => t.Value));
                var width = TextMetrics.Width(own, size, css.Contains("h-title", StringComparison.Ordinal) || css.Contains("h-head", StringComparison.Ordinal));
                var x = double.Parse(text.Attribute("x")!.Value, CultureInfo.InvariantCulture);
                var left = text.Attribute("text-anchor")?.Value switch { "end" => x - width, "middle" => x - (width / 2), _ => x };
                // 12 px: the margin of a figure that stands alone is 16 px, and tick labels at the ends of an axis are centred on it.
                Assert.True(left >= -12 && left + width <= figure.Width + 12, $"{figure.Name} {figure.Width}: '{own}' from {left} to {left + width}");
                Assert.InRange(double.Parse(text.Attribute("y")!.Value, CultureInfo.InvariantCulture), 0, figure.Height + 4);
            }
    }

    [Fact]
    public void Every_point_and_dot_says_in_words_what_it_is()
    {
        var loss = XDocument.Parse(TrialFigures.Of(Helicopter.Results(), FigureWidth.Page).Loss[0].Standalone);
        var dots = loss.Descendants(_svg + "circle").Where(c => c.Attribute("class")!.Value.StartsWith("h-dot", StringComparison.Ordinal) && c.Element(_svg + "title") is not null).ToList();
        // 4 measured conditions × 3 donnings × 26 trusted bands.
        Assert.Equal(4 * 3 * 26, dots.Count);
        Assert.Contains(dots, d => d.Value.StartsWith("Birch, active, donning birch-3, 125 Hz: ", StringComparison.Ordinal));
        var points = loss.Descendants(_svg + "path").Where(p => p.Element(_svg + "title")?.Value.Contains("(95\u00A0%: ", StringComparison.Ordinal) == true).ToList();
        Assert.True(points.Count >= 4 * 26);
    }

    [Fact]
    public void Words_on_comfort_stand_at_their_moments_and_in_no_decibel()
    {
        var silent = Helicopter.Results();
        var results = silent with
        {
            Document = silent.Document with
            {
                Comfort =
                [
                    new("alder", null, null, "flight-1", 240, 3, false, 3, "crown", null, null, null), new("birch-on", null, null, "flight-1", 600, null, false, 1.5, null, null, null, null),
                    new("cedar-on", null, null, "flight-2", 400, null, false, null, "left ear", null, null, null), new("cedar-on", null, null, null, null, null, true, 5, null, null, null, null), new("alder", null, null, "flight-1", 90_000, null, false, 9, null, null, null, null),
                ],
            },
        };
        foreach (var width in new[] { FigureWidth.Page, FigureWidth.Phone })
        {
            var (said, before) = (TrialFigures.Of(results, width).Histories.Select(f => XDocument.Parse(f.Standalone)).ToList(), TrialFigures.Of(silent, width).Histories.Select(f => XDocument.Parse(f.Standalone)).ToList());
            var lane = Lane(said[0]);
            Assert.Equal(["Comfort at 4:00, as said: Alder, passive: discomfort 3 of 10, it presses: crown", "Comfort at 10:00, as said: Birch, active: discomfort 1.5 of 10"], lane.Elements(_svg + "path").Select(p => p.Value));
            Assert.DoesNotContain("dB", lane.Value, StringComparison.Ordinal);
            Assert.Equal(["Comfort at 6:40, as said: Cedar, active: it presses: left ear"], Lane(said[1]).Elements(_svg + "path").Select(p => p.Value));
            Assert.Contains("Comfort at 4:00, as said: Alder, passive: discomfort 3 of 10, it presses: crown.", said[0].Root!.Element(_svg + "desc")!.Value, StringComparison.Ordinal);
            // Where the lines of the level run, nothing moves by it.
            Assert.Equal(Levels(before[0]), Levels(said[0]));
        }
        XElement Lane(XDocument figure) => figure.Descendants(_svg + "g").Single(g => g.Attribute("aria-label")?.Value == "comfort, as said");
        IEnumerable<string?> Levels(XDocument figure) => figure.Descendants(_svg + "path").Where(p => p.Attribute("class")?.Value == "h-level" && p.Value.StartsWith("Recording ", StringComparison.Ordinal)).Select(p => p.Attribute("d")?.Value);
    }

    [Fact]
    public void Untrusted_bands_are_hatched_and_named_in_the_legend()
    {
        var loss = TrialFigures.Of(Helicopter.Results(), FigureWidth.Page).Loss[0].Standalone;
        // Three bands in the open: 25 Hz, 12.5 kHz, 16 kHz in three panels, 10 kHz of Birch, active; one sample in the legend.
        Assert.Equal((3 * 3) + 1 + 1, loss.Split("class=\"h-hatch\"").Length - 1);
        Assert.Contains(">band not trusted<", loss, StringComparison.Ordinal);
        Assert.Contains("16 kHz: not trusted.", loss, StringComparison.Ordinal);
        Assert.Contains("at least this (microphone noise reached)", loss, StringComparison.Ordinal);
        Assert.Contains(">Published, not measured<", loss, StringComparison.Ordinal);
    }

    [Fact]
    public void Bars_are_sorted_by_the_estimate_and_carry_both_scopes()
    {
        var root = XDocument.Parse(TrialFigures.Of(Helicopter.Results(), FigureWidth.Page).Overall[0].Standalone);
        var rows = root.Descendants(_svg + "g").Select(g => g.Attribute("aria-label")?.Value).OfType<string>().ToList();
        Assert.Equal(["Birch, active", "Cedar, active", "Birch, passive", "Alder, passive", "Dogwood"], rows);
        var titles = root.Descendants(_svg + "title").Select(t => t.Value).ToList();
        Assert.Contains(titles, t => t.StartsWith("Birch, active, as worn: ", StringComparison.Ordinal));
        Assert.Contains(titles, t => t.StartsWith("Birch, active, in general: ", StringComparison.Ordinal));
        Assert.DoesNotContain(titles, t => t.StartsWith("Dogwood, as worn", StringComparison.Ordinal));
    }

    [Fact]
    public void A_take_left_out_is_named_with_its_reason()
    {
        var history = TrialFigures.Of(Helicopter.Results(), FigureWidth.Page).Histories[1].Standalone;
        Assert.Contains("left out: radio call", history, StringComparison.Ordinal);
        Assert.Contains("Left out: 2.6b, Cedar, active – radio call", history, StringComparison.Ordinal);
    }

    [Fact]
    public void What_is_left_out_or_set_aside_stays_visible_over_the_level_and_is_hatched()
    {
        var results = Helicopter.Results();
        string Drawn(Trials.Results.TrialResults r) => TrialFigures.Of(r, FigureWidth.Page).Histories[1].Standalone;
        int Hatched(string svg) => XDocument.Parse(svg).Descendants(_svg + "path").Count(p => p.Attribute("class")?.Value == "h-hatch");
        // The take left out: over the level, in its lane, in the legend.
        Assert.Equal(3, Hatched(Drawn(results)));
        Assert.DoesNotContain("speech or bursts", Drawn(results), StringComparison.Ordinal);
        var used = results.Takes.First(t => t.Used && t.Entry.Run == "flight-2");
        var (from, to) = (used.Entry.From!.Value + 4, used.Entry.From.Value + 6.5);
        var set = Drawn(results with { Takes = [.. results.Takes.Select(t => t == used ? t with { NoiseOnly = new([(from, to)], 80, 90, new Dictionary<Quantities.Band, double>()) } : t)] });
        Assert.Equal(6, Hatched(set));
        Assert.Contains($"{used.Entry.Id}, set aside: speech or bursts", set, StringComparison.Ordinal);
        Assert.Contains("speech or bursts set aside", set, StringComparison.Ordinal);
        Assert.Contains($"Set aside in {used.Entry.Id}: 2.5 s of speech or bursts.", set, StringComparison.Ordinal);
        // The hatching over the level has the place and the length of what was set aside.
        var spans = XDocument.Parse(set).Descendants(_svg + "rect").Where(r => r.Attribute("class")?.Value is "h-span" or "h-out").Select(r => (Kind: r.Attribute("class")!.Value, X: (double)r.Attribute("x")!, Width: (double)r.Attribute("width")!, Height: (double)r.Attribute("height")!)).Where(r => r.Height > 50).ToList();
        var take = spans.Where(s => s.Kind == "h-span").MinBy(s => s.X);
        var aside = spans.Where(s => s.Kind == "h-out").Single(s => s.X >= take.X && s.X < take.X + take.Width);
        var seconds = used.Entry.To!.Value - used.Entry.From.Value;
        Assert.Equal((take.X + (take.Width * 4 / seconds), take.Width * 2.5 / seconds), (aside.X, aside.Width), new Near(0.25));
    }

    private sealed class Near(double tolerance) : IEqualityComparer<(double, double)>
    {
        public bool Equals((double, double) x, (double, double) y) => Math.Abs(x.Item1 - y.Item1) <= tolerance && Math.Abs(x.Item2 - y.Item2) <= tolerance;

        public int GetHashCode((double, double) pair) => 0;
    }

    [Fact]
    public void Without_calibration_the_highest_level_of_the_trial_is_zero()
    {
        foreach (var figure in All.Figures("tractor").Where(f => f.Name == "history-1"))
        {
            var ticks = XDocument.Parse(figure.Standalone).Descendants(_svg + "text").Where(t => t.Attribute("class")!.Value == "h-tick" && t.Attribute("text-anchor")?.Value == "end").Select(t => t.Value).ToList();
            // Readings lie from −47 to −20 dB re full scale; drawn they end at 0.
            Assert.Contains("0", ticks);
            Assert.DoesNotContain("−40", ticks);
        }
    }

    [Fact]
    public void Colours_have_the_contrast_that_WCAG_asks_for()
    {
        // WCAG 2.2, success criteria 1.4.3 (text 4.5) and 1.4.11 (graphical objects 3); relative luminance as defined there.
        var light = FigureStyle.Colours.ToDictionary(c => c.Name, c => c.Light);
        var dark = FigureStyle.Colours.ToDictionary(c => c.Name, c => c.Dark);
        foreach (var palette in new[] { light, dark })
        {
            foreach (var text in new[] { "ink", "soft", "accent" }) Assert.True(Contrast(palette[text], palette["paper"]) >= 4.5, text);
            foreach (var mark in new[] { "grey", "c0", "c1", "c2", "c3", "c4", "c5" }) Assert.True(Contrast(palette[mark], palette["paper"]) >= 3, mark);
        }
    }

    [Fact]
    public void Contrast_of_black_and_white_is_21() => Assert.Equal(21, Contrast("#000000", "#ffffff"), 6);

    private static double Contrast(string a, string b)
    {
        double la = Luminance(a), lb = Luminance(b);
        return (Math.Max(la, lb) + 0.05) / (Math.Min(la, lb) + 0.05);
    }

    private static double Luminance(string hex)
    {
        double Channel(int at)
        {
            var c = int.Parse(hex.AsSpan(at, 2), NumberStyles.HexNumber, CultureInfo.InvariantCulture) / 255.0;
            return c <= 0.04045 ? c / 12.92 : Math.Pow((c + 0.055) / 1.055, 2.4);
        }
        return (0.2126 * Channel(1)) + (0.7152 * Channel(3)) + (0.0722 * Channel(5));
    }
}
