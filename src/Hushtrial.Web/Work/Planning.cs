using System.Globalization;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Cards;
using Hushtrial.Reporting.Wording;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Planning;
using Hushtrial.Trials.Proof;
using Hushtrial.Trials.Verdicts;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace Hushtrial.Web.Work;

/// <summary>The wishes of the plan page, as they stand in its address: a plan can be kept as a link.</summary>
public sealed record PlanWish
{
    /// <summary>Flights or runs.</summary>
    public int Flights { get; init; } = 3;

    /// <summary>Donnings of each device per flight.</summary>
    public int Donnings { get; init; } = 1;

    /// <summary>Takes per mode in each donning.</summary>
    public int Takes { get; init; } = 2;

    /// <summary>Seconds per take.</summary>
    public double Seconds { get; init; } = 16;

    /// <summary>Difference to be found, dB.</summary>
    public double Difference { get; init; } = 3;

    /// <summary>Scatter of donnings to plan with, dB.</summary>
    public double Scatter { get; init; } = 1.6;

    /// <summary>Level at the open ear, dB(A); null: no open-ear part is planned for.</summary>
    public double? Level { get; init; }

    /// <summary>Rule set of the dose.</summary>
    public ExposureRules Rules { get; init; } = RuleSets.Find("niosh")!;

    /// <summary>Seed of the order.</summary>
    public ulong Seed { get; init; } = 1;

    /// <summary>Whether the chance is to be simulated; it takes a second or two.</summary>
    public bool Simulate { get; init; }

    /// <summary>Reads the wishes of an address; what is out of range falls back to the nearest that is not.</summary>
    public static PlanWish Of(IQueryCollection query) => new()
    {
        Flights = Whole(query["flights"], 3, 1, 12),
        Donnings = Whole(query["donnings"], 1, 1, 6),
        Takes = Whole(query["takes"], 2, 1, 10),
        Seconds = Number(query["seconds"], 1, 600) ?? 16,
        Difference = Number(query["difference"], 0.1, 30) ?? 3,
        Scatter = Number(query["scatter"], 0.1, 10) ?? 1.6,
        Level = Number(query["level"], 40, 150),
        Rules = RuleSets.Find(query["rules"].ToString()) ?? RuleSets.Find("niosh")!,
        Seed = ulong.TryParse(query["seed"], NumberStyles.None, CultureInfo.InvariantCulture, out var seed) ? seed : 1,
        Simulate = query["simulate"] == "yes",
    };

    /// <summary>The same wishes as an address's query.</summary>
    public string Query => string.Create(CultureInfo.InvariantCulture, $"?flights={Flights}&donnings={Donnings}&takes={Takes}&seconds={Seconds}&difference={Difference}&scatter={Scatter}&level={Level}&rules={Rules.Id}&seed={Seed}");

    private static int Whole(string? text, int usual, int least, int most) => int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var n) ? Math.Clamp(n, least, most) : usual;

    // Both decimal marks: the field is filled in by hand.
    private static double? Number(string? text, double least, double most) =>
        double.TryParse(text?.Replace(',', '.'), NumberStyles.Float, CultureInfo.InvariantCulture, out var x) && double.IsFinite(x) ? Math.Clamp(x, least, most) : null;
}

/// <summary>A plan for a trial's devices.</summary>
/// <param name="Plan">The plan.</param>
/// <param name="Dose">The open ear's dose; null when no level is given.</param>
/// <param name="Simulated">Chance to find the difference by simulation, 0 to 1; null when it was not asked for.</param>
public sealed record PlannedTrial(TrialPlan Plan, OpenEarDose? Dose, double? Simulated);

/// <summary>Plans from the devices and conditions of a draft.</summary>
internal static class Planning
{
    /// <summary>The devices that a draft's measurable conditions name, with their modes.</summary>
    public static IReadOnlyList<PlannedDevice> Devices(StoredTrial trial)
    {
        var draft = trial.Draft;
        return [.. draft.Ids("conditions").Select(c => (Device: draft.Value($"conditions[{c}].device"), Mode: draft.Value($"conditions[{c}].mode") ?? "passive", With: draft.Value($"conditions[{c}].with")))
            .Where(c => c.Device is not null && draft.Value($"devices[{c.Device}].measurable") != "no")
            .GroupBy(c => PlannedName(draft, c.Device, c.With)!, StringComparer.Ordinal)
            .Select(g => new PlannedDevice(g.Key, g.Select(c => c.Mode).Distinct(StringComparer.Ordinal).ToList() is { Count: > 1 } modes ? modes : []))];
    }

    /// <summary>The condition of a planned device in a mode: what the order is kept with.</summary>
    /// <param name="draft">The trial.</param>
    /// <param name="device">Name of a planned device, as <see cref="Devices"/> gives it.</param>
    /// <param name="mode">The mode; '' for a device of one mode.</param>
    public static string Condition(TrialDraft draft, string device, string mode) => draft.Ids("conditions").First(c =>
        PlannedName(draft, draft.Value($"conditions[{c}].device"), draft.Value($"conditions[{c}].with")) == device && (mode.Length == 0 || (draft.Value($"conditions[{c}].mode") ?? "passive") == mode));

    // By the name of the device; two of one name are told apart by their ids.
    private static string? PlannedName(TrialDraft draft, string? device, string? with)
    {
        string? Name(string? id) => draft.Value($"devices[{id}].name") is { Length: > 0 } name ? name : id;
        var name = draft.Ids("devices").Count(d => Name(d) == Name(device)) > 1 ? device : Name(device);
        return with is { Length: > 0 } ? $"{name} ({with.Trim('[', ']')})" : name;
    }

    /// <summary>The plan for these wishes; null when there is nothing to plan with yet.</summary>
    public static PlannedTrial? Of(StoredTrial trial, PlanWish wish)
    {
        var devices = Devices(trial);
        if (devices.Count is 0 or > 40) return null;
        var question = new PlanQuestion(devices, wish.Flights, wish.Donnings, wish.Takes, TimeSpan.FromSeconds(wish.Seconds), wish.Difference, new PlannedScatter(wish.Scatter, 0.4, 0.3, 0.6), true, wish.Seed);
        var plan = TrialPlan.For(question);
        var dose = wish.Level is { } level ? OpenEarDose.Of(plan.Order, Level.FromDecibels(level), question.TakeTime, wish.Rules) : null;
        return new(plan, dose, wish.Simulate ? PlannedChance.Of(question, trials: 200, mostDevices: 8).Value : null);
    }

    /// <summary>Serves the cards.</summary>
    public static void MapPlanning(this IEndpointRouteBuilder app) =>
        app.MapGet("/trials/{id:guid}/cards.html", (Guid id, HttpContext context, TrialLibrary library) =>
        {
            if (library.Find(id) is not { } trial || Of(trial, PlanWish.Of(context.Request.Query)) is not { } planned) return Results.NotFound();
            // The card page carries a policy of its own that names its style by hash; the workspace's would refuse that style.
            context.Response.Headers.ContentSecurityPolicy = PlanCards.Policy + "; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
            var html = PlanCards.Html(planned.Plan, planned.Dose);
            return Results.Text(Phrasebook.Current is { } book ? SpokenHtml.In(html, book) : html, "text/html; charset=utf-8");
        });
}
