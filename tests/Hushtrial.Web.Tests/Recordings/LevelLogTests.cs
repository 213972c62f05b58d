using System.Globalization;
using System.Text;
using Hushtrial.Trials.Document;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Recordings;

/// <summary>A level log comes in by upload, its open question is answered, and its takes give a result.</summary>
public sealed class LevelLogTests(OneBrowser browser)
{
    private const string Document = """
        hushtrial: 1
        trial:
          title: A helmet on an air ambulance
          quantity: insertion-loss
          design: sequential
        devices:
          - { id: alder, name: Alder, kind: over-ear }
        conditions:
          - { id: alder, device: alder, mode: passive }
        runs:
          - { id: F1, start: "10:00" }
        takes:
          - { id: T01, condition: open, log: ear, clock_from: "10:01:00", clock_to: "10:01:30" }
          - { id: T02, condition: alder, fit: A1, log: ear, clock_from: "10:02:00", clock_to: "10:02:30" }
          - { id: T03, condition: open, log: ear, clock_from: "10:03:00", clock_to: "10:03:30" }

        """;

    [Fact]
    public async Task A_log_is_brought_in_its_column_is_confirmed_and_its_takes_are_in_the_results()
    {
        await using var workspace = await OpenedWorkspace.StartAsync(browser);
        var library = workspace.Workspace.Library;
        var trial = library.Create(TrialDraft.FromText(Document, "trial.yaml").Draft!, "Begun", "me").Id;
        var page = await workspace.PageAsync($"/trials/{trial:N}/recordings");
        await page.Locator("#files").SetInputFilesAsync(new FilePayload { Name = "ear.csv", MimeType = "text/csv", Buffer = Ear() });
        var card = page.Locator("#f-logs-ear-");
        await Expect(card).ToContainTextAsync("logs/ear.csv");
        // 'Level' states neither weighting nor average: nothing can be confirmed before a person says it.
        await Expect(card).ToContainTextAsync("neither the frequency weighting nor whether it is an average");
        await Expect(card.GetByRole(AriaRole.Button, new() { Name = "Confirm" })).ToHaveCountAsync(0);
        await Expect(card.GetByLabel("Role of column 1 of ear")).ToHaveValueAsync("clock");
        await card.GetByLabel("Role of column 2 of ear").SelectOptionAsync("LAeq");
        await Expect(card).ToContainTextAsync("LAeq over the whole log");
        // Where the microphone was is asked, with what speaks for it, and no file is confirmed without it.
        await Expect(card).ToContainTextAsync("At the ear, it seems. The word 'ear' in 'ear' says so.");
        await Expect(card.GetByRole(AriaRole.Button, new() { Name = "Confirm" })).ToHaveCountAsync(0);
        await card.GetByRole(AriaRole.Button, new() { Name = "At the ear" }).ClickAsync();
        // By hand: 10 lg((240·10^9.5 + 60·10^7.3)/300) = 94.0 dB.
        await Expect(card).ToContainTextAsync("94.0 dB(A)");
        await card.GetByRole(AriaRole.Button, new() { Name = "Confirm" }).ClickAsync();
        await Expect(card).ToContainTextAsync("Confirmed for this file");
        Assert.Equal(library.Find(trial)!.Files[0].Sha256, library.Find(trial)!.Draft.Value("logs[ear].sha256"));
        await Expect(page.GetByLabel("Level log, T02")).ToHaveValueAsync("ear");
        Assert.Equal("", await OpenedWorkspace.AxeAsync(page));
        await page.GotoAsync(new Uri(new Uri(page.Url), $"/trials/{trial:N}/results").ToString());
        // Built in: 95 dB(A) with the open ear, 73 under the device.
        await Expect(page.Locator("main")).ToContainTextAsync("22.0", new() { Timeout = 30_000 });
        Assert.Empty(workspace.Complaints);
    }

    /// <summary>Five minutes, a row a second: 95 dB with the open ear; 73 dB in the third minute, under the device.</summary>
    private static byte[] Ear()
    {
        var text = new StringBuilder("Clock;Level\n");
        for (var second = 0; second < 300; second++) text.Append(CultureInfo.InvariantCulture, $"10:{second / 60:00}:{second % 60:00};{(second / 60 == 2 ? 73.0 : 95.0):0.0}\n");
        return Encoding.UTF8.GetBytes(text.ToString());
    }
}
