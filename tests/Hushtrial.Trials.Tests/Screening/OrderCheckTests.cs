using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Tests.Screening;

/// <summary>A fixed order of the devices is said, a balanced one is not. Invented levels; trade knowledge, no source.</summary>
public sealed class OrderCheckTests
{
    [Fact]
    public void The_same_order_in_every_run_is_a_warning_without_a_size()
    {
        var found = Assert.Single(Found(["open", "elm", "fir", "open"], ["elm", "elm", "fir"], ["elm", "open", "fir"]));
        Assert.Equal(("TAK-044", Severity.Warning, null), (found.Code, found.Severity, found.EffectDecibels));
        Assert.Equal(("runs R0, R1, R2", "Elm before Fir in all 3 runs"), (found.Where, found.Found));
    }

    [Fact]
    public void A_pair_that_never_changes_places_is_a_note_where_others_do()
    {
        var found = Assert.Single(Found(["elm", "fir", "oak"], ["fir", "oak", "elm"]));
        Assert.Equal((Severity.Note, "Fir before Oak in all 2 runs"), (found.Severity, found.Found));
        Assert.Equal("Elm before Fir in all 2 runs; Elm before Oak in all 2 runs; Fir before Oak in all 2 runs", Assert.Single(Found(["elm", "fir", "oak"], ["elm", "fir", "oak"])).Found);
    }

    [Fact]
    public void One_run_a_turned_order_and_devices_that_take_turns_are_none()
    {
        Assert.Empty(Found(["elm", "fir"]));
        Assert.Empty(Found(["elm", "fir"], ["fir", "elm"]));
        Assert.Empty(Found(["elm", "fir", "elm"], ["elm", "fir", "elm"]));
        Assert.Empty(Found(["elm", "fir"], ["elm"], ["open"]));
    }

    [Fact]
    public void The_clock_goes_before_the_order_as_written()
    {
        TakeLevels[] takes = [Take("R0", "elm", 300), Take("R0", "fir", 100), Take("R1", "elm", 100), Take("R1", "fir", 300)];
        Assert.Empty(Found(takes));
        Assert.Single(Found([.. takes.Select(t => t with { Clock = null })]));
    }

    [Fact]
    public void Takes_left_out_do_not_count()
    {
        TakeLevels[] takes = [Take("R0", "elm", 100), Take("R0", "fir", 300), Take("R1", "elm", 100), Take("R1", "fir", 300), Take("R1", "elm", 500)];
        Assert.Empty(Found(takes));
        Assert.Single(Found([.. takes[..4], takes[4] with { Entry = takes[4].Entry with { Excluded = "a knock" } }]));
    }

    [Fact]
    public void The_order_of_the_vineyard_tractor_is_balanced()
    {
        var document = VineyardTractor.Make(1).Document;
        List<TakeLevels> takes = [.. document.Takes.Select(t => Take(t.Run, t.Condition, t.Clock) with { Entry = t })];
        Assert.Empty(OrderCheck.Check(new(document, takes, new Dictionary<string, ChannelLevels>())));
        // Two rows of another order would be told: laurel behind juniper.
        Assert.Single(OrderCheck.Check(new(document, [.. takes.Where(t => t.Entry.Run != "row-2" && t.Entry.Condition != "juniper-cap")], new Dictionary<string, ChannelLevels>())));
    }

    private static List<Problem> Found(params string[][] runs) => Found([.. runs.SelectMany((r, n) => r.Select((c, i) => Take($"R{n}", c, 60 * i)))]);

    private static List<Problem> Found(TakeLevels[] takes)
    {
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("t", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.ReadingsOnly, Scope = EstimateScope.AsWorn,
            Devices = [.. new[] { "Elm", "Fir", "Oak" }.Select(n => new Device(n.ToLowerInvariant(), n, DeviceKind.OverEar, true, null, null, [], null))],
            Conditions = [.. new[] { "elm", "fir", "oak" }.Select(n => new Condition(n, n, "passive", []))], Runs = [new("R0", null, []), new("R1", null, []), new("R2", null, [])], Takes = [.. takes.Select(t => t.Entry)],
        };
        return [.. SignalChecks.OfTrial(new(document, takes, new Dictionary<string, ChannelLevels>()), null).Select(f => f.Problem)];
    }

    private static TakeLevels Take(string run, string condition, double? clock) => new(new("", run, null, condition, condition == "open" ? null : condition, null, null, null, 80, null, [], clock, null, null, null, ""), clock, null,
        [new("", 80, null, new Dictionary<Band, double>())], null, []);
}
