using System.Globalization;
using System.Net;
using System.Security.Cryptography;
using System.Text;
using Hushtrial.Trials.Planning;

namespace Hushtrial.Reporting.Cards;

/// <summary>The cards of a plan as one printable page: the safety card, the order flight by flight with boxes to tick, and the key of the blind codes on a sheet of its own.</summary>
/// <remarks>For the briefed second person; it asks nothing of the pilot flying. No network, no script.</remarks>
public static class PlanCards
{
    private const string Style = """
        :root { color: #1d2430; background: #fff; font: 12pt/1.4 "Source Sans 3", "Segoe UI", "Noto Sans", sans-serif; }
        body { max-width: 46rem; margin: 2rem auto; padding: 0 1rem; }
        h1 { font-size: 1.5rem; margin: 0 0 .3rem; } h2 { font-size: 1.1rem; margin: 1.2rem 0 .3rem; }
        .sheet { break-after: page; padding-bottom: 1.5rem; } .sheet:last-child { break-after: auto; }
        table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
        th { text-align: left; border-bottom: 1.5pt solid #1d2430; padding: .2rem .5rem; }
        td { border-bottom: .5pt solid #98a1ad; padding: .35rem .5rem; } td.write { min-width: 6rem; }
        .box { display: inline-block; width: .8em; height: .8em; border: 1pt solid #1d2430; margin-right: .35em; }
        .stop { border: 2pt solid #1d2430; padding: .5rem .8rem; font-weight: 600; }
        ul { margin: .2rem 0; padding-left: 1.2rem; }
        @page { size: A4; margin: 15mm; }
        """;

    /// <summary>The content security policy of the page: nothing but its own style, which is named by its hash.</summary>
    public static string Policy { get; } = "default-src 'none'; style-src 'sha256-" + Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(Style))) + "'";

    /// <summary>Writes the page.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="dose">Dose of the open-ear part; null without one.</param>
    public static string Html(TrialPlan plan, OpenEarDose? dose)
    {
        var page = new StringBuilder();
        page.Append("<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>Order and safety cards</title>")
            .Append(CultureInfo.InvariantCulture, $"<meta http-equiv=\"Content-Security-Policy\" content=\"{Policy}\">")
            .Append(CultureInfo.InvariantCulture, $"<meta name=\"viewport\" content=\"width=device-width\"><style>{Style}</style></head><body>\n");
        Safety(page, dose);
        foreach (var flight in plan.Order.Steps.GroupBy(s => s.Flight)) Flight(page, plan, flight.Key, [.. flight]);
        Key(page, plan);
        return page.Append("</body></html>\n").ToString();
    }

    private static void Safety(StringBuilder page, OpenEarDose? dose)
    {
        page.Append("<section class=\"sheet\"><h1>Safety card</h1>");
        foreach (var section in SafetyCard.Sections)
        {
            page.Append(CultureInfo.InvariantCulture, $"<h2>{Safe(section.Heading)}</h2><ul>");
            foreach (var point in section.Points) page.Append(CultureInfo.InvariantCulture, $"<li>{Safe(point)}</li>");
            page.Append("</ul>");
        }
        if (dose is not null)
        {
            page.Append(CultureInfo.InvariantCulture, $"<h2>Dose of the open-ear part</h2><p class=\"stop\">{Safe(Words(dose))}</p>");
            if (dose.Refused)
            {
                page.Append("<ul>");
                foreach (var alternative in OpenEarDose.Alternatives) page.Append(CultureInfo.InvariantCulture, $"<li>{Safe(alternative)}</li>");
                page.Append("</ul>");
            }
        }
        page.Append("</section>\n");
    }

    /// <summary>The dose in one sentence.</summary>
    public static string Words(OpenEarDose dose) => string.Create(CultureInfo.InvariantCulture,
        $"At {dose.Level.Decibels:0.#} dB(A) a flight of this plan has {dose.TimePerFlight.TotalMinutes:0.0} min of bare ears: {dose.DosePercent:0.#} % of a day's dose ({dose.Rules.Name}). ")
        + (dose.Refused ? string.Create(CultureInfo.InvariantCulture, $"That is more than the {dose.AllowedPercent:0.#} % accepted: do not read the open ear as planned.") : "Accepted; do not stretch it. Local rules win.");

    private static void Flight(StringBuilder page, TrialPlan plan, int flight, List<OrderStep> steps)
    {
        page.Append(CultureInfo.InvariantCulture, $"<section class=\"sheet\"><h1>Order card, flight {flight}</h1><p>For the briefed second person. Date ________  Flight ________  Height ________  Power ________</p>")
            .Append(CultureInfo.InvariantCulture, $"<p>Every take {plan.Question.TakeTime.TotalSeconds:0} s in steady cruise. Note the clock at the start of a step. Stop for traffic, a call, turbulence, an alarm or unease.</p>")
            .Append("<table><thead><tr><th>Step</th><th>What</th><th>Takes</th><th>Clock</th><th>Remarks</th></tr></thead><tbody>");
        foreach (var step in steps)
        {
            page.Append(CultureInfo.InvariantCulture, $"<tr><td>{step.Number}</td><td>{Safe(step.Code is null ? "open ear" : $"put on {step.Code}")}</td><td>");
            foreach (var take in step.Takes) page.Append(CultureInfo.InvariantCulture, $"<span class=\"box\"></span>{Safe(take)} ");
            page.Append("</td><td class=\"write\"></td><td class=\"write\"></td></tr>");
        }
        page.Append("</tbody></table></section>\n");
    }

    private static void Key(StringBuilder page, TrialPlan plan)
    {
        page.Append("<section class=\"sheet\"><h1>Key of the codes</h1><p>Keep this sheet from the person whose ears are measured until all is read.</p><table><thead><tr><th>Code</th><th>Device</th></tr></thead><tbody>");
        foreach (var (code, device) in plan.Order.Codes) page.Append(CultureInfo.InvariantCulture, $"<tr><td>{Safe(code)}</td><td>{Safe(device)}</td></tr>");
        page.Append(CultureInfo.InvariantCulture, $"</tbody></table><p>Order drawn with seed {plan.Order.Seed}.</p></section>\n");
    }

    private static string Safe(string text) => WebUtility.HtmlEncode(text);
}
