using Hushtrial.Trials.Document;
using Hushtrial.Trials.Leading;
using Hushtrial.Trials.Planning;

namespace Hushtrial.Trials.Tests.Leading;

/// <summary>A drawn order goes through the text of the trial document and leads as it was drawn.</summary>
public sealed class KeptOrderTests
{
    private const string Trial = """
        hushtrial: 1
        trial: { title: Kept, quantity: insertion-loss, design: sequential }
        channels: [{ id: ear, where: ear, number: 1 }]
        devices: [{ id: alder, kind: over-ear }, { id: birch, kind: over-ear }]
        conditions: [{ id: alder, device: alder }, { id: birch-off, device: birch }, { id: birch-on, device: birch, mode: active }]
        runs: [{ id: F1 }, { id: F2 }]
        takes: []
        """;

    [Fact]
    public void What_was_drawn_is_what_leads()
    {
        var order = MeasuringOrder.Draw([new("alder", []), new("birch", ["passive", "active"])], 3, 2, 2, openEar: true, seed: 7);
        static string Condition(string device, string mode) => device == "alder" ? "alder" : mode == "active" ? "birch-on" : "birch-off";
        var draft = TrialDraft.FromText(Trial, "trial.yaml").Draft!.Apply(new DraftEdit.Several(
        [
            new DraftEdit.Set("fitting.order", KeptOrder.Text(order, Condition)), new DraftEdit.Set("fitting.codes", KeptOrder.CodesText(order, Condition)),
            new DraftEdit.Set("fitting.take_s", "12.5"), new DraftEdit.Set("fitting.settle_s", "3"), new DraftEdit.Set("fitting.take_half_width_db", "0.8"),
        ])).Draft!;
        var read = TrialDraft.FromText(draft.Text, "trial.yaml").Draft!.Read();
        Assert.DoesNotContain(read.Problems, p => p.Problem.Severity == Quantities.Severity.Error);
        foreach (var (flight, run) in new[] { (1, "F1"), (2, "F2") })
        {
            var kept = KeptOrder.Of(read.Document!, run);
            Assert.Equal((12.5, 3.0, 0.8), (kept.TakeSeconds, kept.SettleSeconds, kept.HalfWidth));
            Assert.Equal(order.Steps.Where(s => s.Flight == flight).Select(s => (s.Code, string.Join(' ', s.Takes.Select(m => s.Device is null ? "open" : Condition(s.Device, m))))), kept.Steps.Select(s => (s.Code, string.Join(' ', s.Takes))));
        }
        // The third flight has a card and no run yet: nothing leads into it, and nothing is wrong.
        Assert.Empty(KeptOrder.Of(read.Document!, "F3").Steps);
    }

    [Fact]
    public void An_order_in_other_words_leads_nowhere() =>
        Assert.Empty(KeptOrder.Of(TrialDraft.FromText(Trial + "\nfitting: { order: as it came }\n", "trial.yaml").Draft!.Read().Document!, "F1").Steps);
}
