using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Samples;

/// <summary>Results that nobody hopes for: markup as names, long and right-to-left names, many conditions, none, no bands.</summary>
internal static class Hostile
{
    internal const string Script = "<script>alert('x')</script>\"&\u0001";
    private const string RightToLeft = "سماعة الرأس الزرقاء";
    private const string Long = "Rosemary-and-Thyme Extra Long Headband 40";

    /// <summary>Texts that try to leave their place.</summary>
    public static TrialResults Markup()
    {
        var results = Helicopter.Results();
        var document = results.Document with
        {
            Identity = new(Script, Script, Script, RightToLeft, "</title><style>*{}</style>", "<img src=x onerror=alert(1)>", Script, Script),
            Noise = [new(Script, Script)],
            Runs = [new("flight-1", Script, []), new("flight-2", RightToLeft, [])],
        };
        string[] names = [Script, Long + ", passive, with very thick spectacles and a hat", RightToLeft, "Cedar]]>", "Dogwood --> <!--"];
        return results with
        {
            Document = document,
            Headline = Script,
            Conditions = [.. results.Conditions.Select((c, i) => c with { Name = names[i], Device = c.Device with { Name = names[i] } })],
            Problems = [new("REC-001", Severity.Error, Script, Script, Script, Script, 1)],
            Takes = [.. results.Takes.Select(t => t.Used ? t : t with { Entry = t.Entry with { Excluded = Script } })],
        };
    }

    /// <summary>Twelve devices with names of 40 characters.</summary>
    public static TrialResults Twelve()
    {
        var results = Helicopter.Results();
        var conditions = Enumerable.Range(0, 12).Select(i =>
        {
            var c = results.Conditions[i % 4];
            var name = $"{Long[..37]} {i:00}";
            return c with { Condition = c.Condition with { Id = $"c{i}", Device = $"d{i}" }, Device = c.Device with { Id = $"d{i}", Name = name }, Name = $"{name}, {c.Condition.Mode}" };
        }).ToList();
        var pairs = conditions.SelectMany((a, i) => conditions.Skip(i + 1).Select(b => results.Pairs[(i + b.Condition.Id.Length) % 4] with { First = a.Condition.Id, Second = b.Condition.Id })).ToList();
        return results with
        {
            Conditions = conditions,
            Pairs = pairs,
            Document = results.Document with { Conditions = [.. conditions.Select(c => c.Condition)], Devices = [.. conditions.Select(c => c.Device)] },
            Takes = [.. results.Takes.Select((t, i) => t.Entry.IsOpen ? t : t with { Entry = t.Entry with { Condition = $"c{i % 12}" } })],
        };
    }

    /// <summary>One condition by hand-noted readings: no bands, no recording, no pair, nothing stated.</summary>
    public static TrialResults Bare()
    {
        var results = Helicopter.Results();
        var c = results.Conditions[0];
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("Readings on a slip of paper", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.ReadingsOnly,
            Devices = [c.Device], Conditions = [c.Condition], Runs = [new("r", null, [])], Takes = [],
        };
        return results with
        {
            Document = document,
            OpenEarLevel = null,
            OpenSpectrum = new Dictionary<Band, double>(),
            Conditions = [c with { Loss = c.Loss with { Bands = [], C = null }, EarLevel = null, FitsDetail = [.. c.FitsDetail.Select(f => f with { Bands = new Dictionary<Band, double>(), LossC = null, Run = "r" })] }],
            Pairs = [],
            Takes = [.. Enumerable.Range(0, 5).Select(i => new TakeResult(new($"t{i}", "r", null, i % 2 == 0 ? "open" : "alder", i % 2 == 0 ? null : "alder-1", null, null, null, 96 - (i % 2 * 14), null, [], i * 60, null, null, null, "line 9"),
                true, i * 60, null, 96 - (i % 2 * 14), null, new Dictionary<Band, double>(), []))],
            Histories = [],
            Calibrations = [],
            Inputs = [],
            Problems = [],
            Headline = "Alder takes away 14.2 dB (95 %: 12.1 to 16.3 dB).",
            Method = results.Method with { ComponentsGeneral = [] },
        };
    }

    /// <summary>Nothing at all: every list empty.</summary>
    public static TrialResults Empty() => Bare() with { Conditions = [], Takes = [], Headline = "Nothing can be said." };
}
