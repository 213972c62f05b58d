using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Tests.Screening;

/// <summary>Hand-noted readings are held against each other like recorded takes. Invented levels; limits: common practice, no source.</summary>
public sealed class NotedReadingsTests
{
    [Fact]
    public void Brackets_of_the_open_ear_far_apart_are_told_in_every_run()
    {
        var found = Found([.. new[] { "R0", "R1", "R2" }.SelectMany(r => new[] { Take(r, "open", 95), Take(r, "elm", 76), Take(r, "fir", 75), Take(r, "open", 109) })]).Where(f => f.Problem.Code != "TAK-044").ToList();
        Assert.Equal(["R0", "R1", "R2"], found.Select(f => f.Problem.Where.Split([' ', ','])[1]));
        Assert.All(found, f => Assert.Equal(("TAK-026", Severity.Warning, 7), (f.Problem.Code, f.Problem.Severity, f.Problem.EffectDecibels)));
        Assert.Contains("14.0 dB apart from one bracket to the next", found[0].Problem.Found, StringComparison.Ordinal);
        Assert.Empty(Found([Take("R0", "open", 95), Take("R0", "elm", 76), Take("R0", "open", 97.5)]));
    }

    [Fact]
    public void A_loss_that_no_device_gives_is_told_of_one_reading()
    {
        var found = Assert.Single(Found([Take("R1", "open", 100), Take("R1", "elm", 48), Take("R1", "fir", 66)]));
        Assert.Equal(("TAK-034", "take N2, noted", "an A-weighted loss of 52.0 dB"), (found.Problem.Code, found.Problem.Where, found.Problem.Found));
        Assert.Equal(17, found.Problem.EffectDecibels!.Value, 1e-9);
        Assert.StartsWith("Bone conduction", found.Problem.Remedy, StringComparison.Ordinal);
    }

    [Fact]
    public void Noted_bands_have_the_ceiling_of_bone_conduction_too()
    {
        var band = Band.ThirdOctave(3);
        TakeLevels With(TakeLevels take, double level) => take with { Ears = [take.Ears[0] with { Bands = new Dictionary<Band, double> { [band] = level } }] };
        var found = Assert.Single(Found([With(Take("R1", "open", 100), 90), With(Take("R1", "elm", 80), 45)]));
        Assert.Equal(("TAK-034", "a loss of 45.0 dB at 2000 Hz"), (found.Problem.Code, found.Problem.Found));
    }

    [Fact]
    public void A_meter_is_not_held_against_a_recorder()
    {
        // The recorder knows no sound pressure: its open ear reads −20 dB re full scale, the meter 95 dB(A).
        TakeLevels Recorded(string condition, double a) => Take("R1", condition, a) with { Seconds = 12 };
        Assert.Empty(Found([Take("R1", "open", 95), Recorded("open", -20), Take("R1", "elm", 75), Recorded("elm", -41), Take("R1", "open", 95), Recorded("open", -20)]));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void The_vineyard_tractor_is_free_of_false_alarms(ulong seed)
    {
        var results = Analysis.Run(new(VineyardTractor.Make(seed).Document, new Dictionary<string, Hushtrial.Signals.Recordings.Recording>(), [], [], "0"), cancellation: TestContext.Current.CancellationToken);
        Assert.DoesNotContain(results.Takes.SelectMany(t => t.Findings), f => f.Code.StartsWith("TAK", StringComparison.Ordinal));
    }

    private static List<Hushtrial.Trials.Screening.Finding> Found(IReadOnlyList<TakeLevels> takes)
    {
        var numbered = takes.Select((t, i) => t with { Entry = t.Entry with { Id = $"N{i + 1}" } }).ToList();
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("t", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.ReadingsOnly, Scope = EstimateScope.AsWorn,
            Devices = [new("elm", "Elm", DeviceKind.OverEar, true, null, null, [], null), new("fir", "Fir", DeviceKind.OverEar, true, null, null, [], null)],
            Conditions = [new("elm", "elm", "passive", []), new("fir", "fir", "passive", [])], Runs = [new("R0", null, []), new("R1", null, []), new("R2", null, [])], Takes = [.. numbered.Select(t => t.Entry)],
        };
        return [.. SignalChecks.OfTrial(new(document, numbered, new Dictionary<string, ChannelLevels>()), null)];
    }

    private static TakeLevels Take(string run, string condition, double a) => new(new("", run, null, condition, condition == "open" ? null : condition, null, null, null, a, null, [], null, null, null, null, ""), null, null,
        [new("", a, null, new Dictionary<Band, double>())], null, []);
}
