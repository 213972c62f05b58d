using System.Text.Json;
using System.Text.RegularExpressions;
using Hushtrial.Trials.Document;
using Hushtrial.Web.Tests.Doors;
using Hushtrial.Web.Tests.Pages;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Hushtrial.Web.Tests.Language;

/// <summary>Every page as a German reader sees it: no English left over, decimal commas throughout.</summary>
[Collection(nameof(WholeTrials)), Trait("Trials", "whole")]
public sealed partial class GermanPagesTests(ThreeTrials trials)
{
    // Words of English that are no words of German.
    private static readonly HashSet<string> _english = new(StringComparer.OrdinalIgnoreCase)
    {
        "the", "of", "and", "with", "is", "are", "were", "not", "no", "by", "for", "from", "this", "that", "each", "it", "than", "one", "be", "has", "have", "had", "which", "without", "or", "to", "at", "as", "its", "their",
        "added", "removed", "changed", "below", "above", "between", "under", "take", "takes", "noise", "device", "devices", "outside", "level", "levels", "worn", "left", "right",
    };

    // What stands in a page as it is written elsewhere: code, English marked as such, what people type.
    private const string Texts = """
        () => {
          const out = [];
          const kept = e => e.closest('code, pre, [lang="en"], script, style, textarea, datalist, .tongues, [dir="auto"], [data-path$=".decimal"], [data-path$=".thousands"]');
          const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
          for (let n = walk.nextNode(); n; n = walk.nextNode())
            if (n.data.trim() && !kept(n.parentElement)) out.push(n.data.trim().replace(/\s+/g, ' '));
          for (const e of document.querySelectorAll('[aria-label], [title], [alt], [placeholder]'))
            if (!kept(e)) for (const name of ['aria-label', 'title', 'alt', 'placeholder']) if (e.getAttribute(name)) out.push(e.getAttribute(name));
          return [...new Set(out)];
        }
        """;

    [Fact]
    public async Task Nothing_English_is_left_and_numbers_have_commas()
    {
        var page = await trials.Workspace.PageAsync("/", locale: "de-DE");
        var left = new List<string>();
        var seen = 0;
        var titles = trials.Trials.Values.Select(t => trials.Workspace.Workspace.Library.Find(t)!.Title).ToList();
        foreach (var trial in new[] { "rich", "empty", "tractor" })
        {
            var id = trials.Trials[trial];
            List<string> own = [.. titles, .. Own(trials.Workspace.Workspace.Library.Find(id)!.Draft.Text)];
            foreach (var path in DoorTests.PagesOf(id).Append("/").Where(p => trial == "rich" || !p.Contains("/numbers/", StringComparison.Ordinal)))
            {
                await page.GotoAsync(trials.Workspace.Workspace.Root + path);
                await Expect(page.Locator("html")).ToHaveAttributeAsync("lang", "de");
                foreach (var text in await page.EvaluateAsync<string[]>(Texts))
                {
                    seen++;
                    if (Remainder(text, own) is { } what) left.Add($"{path[(path.LastIndexOf('/') + 1)..]}: {what} in '{text}'");
                }
            }
            // What the takes page is told when it looks for takes.
            await page.GotoAsync($"{trials.Workspace.Workspace.Root}/trials/{id:N}/takes");
            var told = JsonDocument.Parse(await page.EvaluateAsync<string>("async () => await (await fetch(location.pathname.replace('/takes', '/proposals'))).text()"));
            foreach (var text in Strings(told.RootElement))
                if (Remainder(text, own) is { } what) left.Add($"proposals: {what} in '{text}'");
        }
        await page.Context.CloseAsync();
        Assert.True(seen > 1500, $"Only {seen} texts were seen.");
        Assert.True(left.Count == 0, $"{left.Count}\n{string.Join('\n', left.Distinct(StringComparer.Ordinal).Take(600))}");
    }

    private static string? Remainder(string text, IReadOnlyList<string> own)
    {
        // Quoted words are somebody else's.
        var rest = Quoted().Replace(text, " ");
        foreach (var name in own.Where(n => rest.Contains(n, StringComparison.Ordinal))) rest = rest.Replace(name, " ", StringComparison.Ordinal);
        if (Names().Replace(rest, " ") is var plain && Word().Matches(plain).FirstOrDefault(m => _english.Contains(m.Value)) is { } word) return word.Value;
        return Point().Match(plain) is { Success: true } point ? point.Value : null;
    }

    // Texts of the document itself, longest first: names, remarks, sources, short names.
    private static List<string> Own(string document) =>
        [.. document.Split(['\n', '{', '}', '[', ']', '"', ',', ':', ';'], StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries).Select(v => v.TrimStart('-', ' '))
            .Concat(TrialDraft.FromText(document, "trial.yaml").Draft is { } draft ? Values(draft) : []).SelectMany(Pieces).Where(v => v.Length >= 3 && Word().IsMatch(v) && !_english.Contains(v)).Distinct(StringComparer.Ordinal).OrderByDescending(v => v.Length)];

    // A figure breaks long names into lines.
    private static IEnumerable<string> Pieces(string value) => value.Split(' ') is { Length: > 3 and < 30 } words
        ? Enumerable.Range(2, words.Length - 2).SelectMany(n => new[] { string.Join(' ', words.Take(n)), string.Join(' ', words.TakeLast(n)) }).Append(value) : [value];

    private static IEnumerable<string> Values(TrialDraft draft) => draft.Fields("trial").Concat(draft.Fields("noise")).Concat(draft.Fields("chain")).Concat(draft.Fields("comms")).Concat(draft.Fields("fitting")).Select(f => f.Value);

    private static IEnumerable<string> Strings(JsonElement element) => element.ValueKind switch
    {
        JsonValueKind.String => [element.GetString()!],
        JsonValueKind.Array => element.EnumerateArray().SelectMany(Strings),
        JsonValueKind.Object => element.EnumerateObject().Where(p => p.Name is "reasons" or "notes" or "label").SelectMany(p => Strings(p.Value)).Concat(element.EnumerateObject().Where(p => p.Value.ValueKind is JsonValueKind.Array or JsonValueKind.Object).SelectMany(p => Strings(p.Value)).Where(s => s.Contains(' ', StringComparison.Ordinal))),
        _ => [],
    };

    [GeneratedRegex("„[^“]*“|‚[^‘]*‘|Control of Noise at Work Regulations", RegexOptions.CultureInvariant)]
    private static partial Regex Quoted();

    // Names of files, standards, roles and addresses.
    [GeneratedRegex(@"\S+\.(?:wav|csv|yaml|zip|html|pdf|svg|json)\b|\b(?:ISO|IEC|EN|ANSI|DIN|NIOSH|OSHA)\b[^,;)]*|\b\d+\.\d+\.\d+\S*|\w+\[[^\]]*\]\S*|[\w-]+(?:\.[\w-]+)*: ", RegexOptions.CultureInvariant)]
    private static partial Regex Names();

    [GeneratedRegex(@"(?<![\p{L}-])\p{L}+(?![\p{L}-])", RegexOptions.CultureInvariant)]
    private static partial Regex Word();

    [GeneratedRegex(@"(?<![\d.:])\d+\.\d+(?![\d.:])", RegexOptions.CultureInvariant)]
    private static partial Regex Point();
}
