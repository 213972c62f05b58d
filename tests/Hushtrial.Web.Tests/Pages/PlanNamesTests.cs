using Hushtrial.Trials.Document;
using Hushtrial.Web.Work;

namespace Hushtrial.Web.Tests.Pages;

/// <summary>The plan names devices as people do, and leads back to the conditions that it was drawn from.</summary>
public sealed class PlanNamesTests(OneBrowser browser)
{
    [Fact]
    public async Task Devices_come_by_their_names_and_two_of_one_name_by_their_ids()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var draft = TrialDraft.FromText("""
            hushtrial: 1
            trial: { title: Names, quantity: insertion-loss, design: sequential }
            devices: [{ id: birch, name: Birch, kind: over-ear }, { id: plug, kind: plug }, { id: old, name: Alder, kind: over-ear }, { id: new, name: Alder, kind: over-ear }]
            conditions:
              - { id: birch-passive, device: birch, mode: passive }
              - { id: birch-active, device: birch, mode: active }
              - { id: birch-glasses, device: birch, with: [spectacles] }
              - { id: plug, device: plug }
              - { id: old, device: old }
              - { id: new, device: new }
            runs: [{ id: F1 }]
            takes: []
            """, "trial.yaml").Draft!;
        var trial = workspace.Workspace.Library.Create(draft, "Begun");
        Assert.Equal(["Birch", "Birch (spectacles)", "plug", "old", "new"], Planning.Devices(trial).Select(d => d.Name));
        Assert.Equal("birch-active", Planning.Condition(trial.Draft, "Birch", "active"));
        Assert.Equal("birch-glasses", Planning.Condition(trial.Draft, "Birch (spectacles)", ""));
        Assert.Equal("new", Planning.Condition(trial.Draft, "new", ""));
    }
}
