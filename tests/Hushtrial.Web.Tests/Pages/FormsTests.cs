using System.Net;
using System.Text.RegularExpressions;
using Hushtrial.Trials.Document;
using Hushtrial.Web.Tests.Doors;

namespace Hushtrial.Web.Tests.Pages;

/// <summary>Whatever a trial document can say, some page has a form for it.</summary>
[Collection(nameof(WholeTrials)), Trait("Trials", "whole")]
public sealed partial class FormsTests(ThreeTrials trials)
{
    // Written by the program: what a file that was brought says of itself, and how files belong together, which 'hushtrial check' and 'align' propose.
    private static readonly string[] _written = ["recordings[].captured", "recordings[].file", "recordings[].files", "recordings[].channel_files", "logs[].file", "logs[].sha256", "logs[].columns"];

    // Shown with a take of a level log, which neither trial has (LevelLogTests fill them in), and the wearer where there are several.
    private static readonly string[] _ofLogs = ["takes[].log", "takes[].clock_from", "takes[].clock_to", "takes[].line_from", "takes[].line_to", "takes[].wearer"];

    [Fact]
    public async Task Every_field_of_the_document_has_its_form()
    {
        using var visitor = await Visitor.EnterAsync(trials.Workspace.Workspace);
        var forms = new HashSet<string>(StringComparer.Ordinal);
        foreach (var path in new[] { "rich", "tractor" }.SelectMany(t => DoorTests.PagesOf(trials.Trials[t])))
        {
            using var answer = await visitor.AskAsync("GET", path);
            var html = WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken));
            foreach (Match form in Form().Matches(html)) forms.Add(Entry().Replace(form.Groups["path"].Value, "[]"));
        }
        Assert.True(forms.Count > 150, $"Only {forms.Count} forms were found.");
        var without = string.Join(' ', DocumentLayout.Sections.SelectMany(s => s.Fields.SelectMany(f => Without(f, s.IsList ? $"{s.Key}[].{f.Key}" : $"{s.Key}.{f.Key}", forms))).Except(_written).Except(_ofLogs));
        Assert.True(without.Length == 0, without);
    }

    // Of a list the way to add to it; below it entries need not be there to be written.
    private static IEnumerable<string> Without(LayoutField field, string path, HashSet<string> forms) =>
        forms.Contains(path) ? [] : field.Kind switch
        {
            LayoutKind.Group => field.Children.SelectMany(c => Without(c, $"{path}.{c.Key}", forms)),
            LayoutKind.Identity => forms.Contains(path[..path.LastIndexOf("[]", StringComparison.Ordinal)]) ? [] : [path],
            _ => [path],
        };

    [GeneratedRegex("""(?:data-(?:path|bands|own-name|rename)="|"section":")(?<path>[^"]+)""", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Form();

    [GeneratedRegex(@"\[[^\]]*\]", RegexOptions.CultureInvariant)]
    private static partial Regex Entry();
}
