using System.Text;

namespace Hushtrial.Reporting.Figures;

/// <summary>The one style sheet of all figures, for a page (colours as CSS variables) and for a figure that stands alone.</summary>
/// <remarks>A standing-alone figure carries plain colours: several drawing programs do not know CSS variables and would paint
/// everything black. Contrast with the paper was computed by the formula of WCAG 2.2: text at least 4.5, marks at least 3.</remarks>
public static class FigureStyle
{
    private static readonly (string Name, string Light, string Dark)[] _colours =
    [
        ("paper", "#fdfcf8", "#191a1c"),
        ("ink", "#22252b", "#e9e6df"),
        ("soft", "#5c6069", "#a9a69f"),
        ("rule", "#d9d5ca", "#3a3b3e"),
        ("faint", "#ece9e0", "#26272a"),
        ("grey", "#85857f", "#8b8a86"),
        ("accent", "#a4431c", "#ea9168"),
        ("c0", "#2b5283", "#86b1e8"),
        ("c1", "#a4431c", "#ea9168"),
        ("c2", "#1c6f62", "#69c2b2"),
        ("c3", "#80660a", "#d8bb58"),
        ("c4", "#99335f", "#e58bb1"),
        ("c5", "#6a4b8c", "#bfa2e2"),
    ];

    private static readonly string _rules = string.Join('\n',
        ".h-fig{font-family:system-ui,-apple-system,'Segoe UI','Helvetica Neue',Arial,'DejaVu Sans',sans-serif;font-variant-numeric:tabular-nums}",
        ".h-fig text{fill:{ink};font-size:12px;unicode-bidi:plaintext}",
        ".h-fig .h-title{font-size:15px;font-weight:600}",
        ".h-fig .h-head{font-size:12.5px;font-weight:600}",
        ".h-fig .h-sub,.h-fig .h-tick{fill:{soft}}",
        ".h-fig .h-tick{font-size:11px}",
        ".h-fig .h-small{font-size:11px}",
        ".h-fig .h-strong{font-weight:600}",
        ".h-fig .h-word{font-size:10px}",
        ".h-fig .h-sign{font-size:15px;font-weight:600}",
        ".h-paper{fill:{paper}}",
        ".h-grid{stroke:{faint};stroke-width:1}",
        ".h-axis{stroke:{rule};stroke-width:1;fill:none}",
        ".h-zero{stroke:{grey};stroke-width:1;fill:none}",
        ".h-hatch{stroke:{grey};stroke-width:1;fill:none}",
        ".h-veil{fill:{grey};fill-opacity:.07}",
        ".h-level{stroke:{ink};stroke-width:1;fill:none;stroke-linejoin:round}",
        ".h-span{fill:{accent};fill-opacity:.12}",
        ".h-out{stroke:{grey};stroke-width:1;fill:{paper}}",
        ".h-cell{fill:{paper};stroke:{rule};stroke-width:1}",
        ".h-cell-d{fill:{accent};fill-opacity:.26;stroke:{accent};stroke-width:1}",
        ".h-cell-w{fill:{accent};fill-opacity:.09;stroke:{accent};stroke-width:1;stroke-dasharray:4 2}",
        ".h-cell-e{fill:{paper};stroke:{ink};stroke-width:1.5}",
        ".h-cell-u{fill:{faint};stroke:{rule};stroke-width:1}",
        ".h-ln{fill:none;stroke-width:1.8;stroke-linejoin:round;stroke-linecap:round}",
        ".h-op{fill:{paper};stroke-width:1.6}",
        ".h-fl{stroke:{paper};stroke-width:1}",
        ".h-dot{fill-opacity:.75;stroke:none}",
        ".h-bd{fill-opacity:.15;stroke:none}",
        ".h-ed{fill:none;stroke-width:.8;stroke-opacity:.55}",
        ".h-bar{fill-opacity:.38;stroke:none}",
        ".h-thin{fill:none;stroke-width:1.5}",
        ".h-ln.h-ink,.h-thin.h-ink,.h-ed.h-ink,.h-op.h-ink{stroke:{ink}}",
        ".h-ln.h-ink{stroke-width:1.4}",
        ".h-fl.h-ink,.h-bd.h-ink,.h-dot.h-ink,.h-bar.h-ink{fill:{ink}}",
        ".h-no{fill:none;stroke:{grey};stroke-width:1.2}");

    /// <summary>For a page that holds figures: variables for light and dark, then the rules.</summary>
    public static string PageCss { get; } =
        ":root{" + Variables(light: true) + "}\n@media screen and (prefers-color-scheme:dark){:root{" + Variables(light: false) + "}}\n"
        + Expand(AllRules(), c => $"var(--h-{c.Name})") + "\n";

    /// <summary>For a figure that stands alone: plain colours, and dark ones for screens that ask for them.</summary>
    public static string StandaloneCss { get; } =
        Expand(AllRules(), c => c.Light) + "\n@media screen and (prefers-color-scheme:dark){\n" + Expand(AllRules(), c => c.Dark) + "\n}\n";

    /// <summary>The colours by name, light and dark, so that contrast can be checked.</summary>
    public static IReadOnlyList<(string Name, string Light, string Dark)> Colours => _colours;

    private static string Variables(bool light) => string.Concat(_colours.Select(c => $"--h-{c.Name}:{(light ? c.Light : c.Dark)};"));

    private static string AllRules()
    {
        var rules = new StringBuilder(_rules);
        for (var i = 0; i < 6; i++)
        {
            rules.Append($"\n.h-ln.h-c{i},.h-thin.h-c{i},.h-ed.h-c{i},.h-op.h-c{i}{{stroke:{{c{i}}}}}");
            rules.Append($"\n.h-fl.h-c{i},.h-bd.h-c{i},.h-dot.h-c{i},.h-bar.h-c{i}{{fill:{{c{i}}}}}");
        }
        return rules.ToString();
    }

    private static string Expand(string rules, Func<(string Name, string Light, string Dark), string> colour) =>
        _colours.Aggregate(rules, (text, c) => text.Replace("{" + c.Name + "}", colour(c), StringComparison.Ordinal));
}
