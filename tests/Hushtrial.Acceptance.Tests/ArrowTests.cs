using System.Text.RegularExpressions;
using System.Xml.Linq;
using Hushtrial.Tests;

namespace Hushtrial.Acceptance.Tests;

/// <summary>The arrows of the house: which project may use which, and which folder inside a project may use which.</summary>
public sealed partial class ArrowTests
{
    private static readonly Dictionary<string, string[]> _projects = new(StringComparer.Ordinal)
    {
        ["Hushtrial.Quantities"] = [],
        ["Hushtrial.Statistics"] = [],
        ["Hushtrial.Signals"] = ["Hushtrial.Quantities"],
        ["Hushtrial.Hearing"] = ["Hushtrial.Quantities", "Hushtrial.Statistics"],
        ["Hushtrial.Trials"] = ["Hushtrial.Quantities", "Hushtrial.Statistics", "Hushtrial.Signals", "Hushtrial.Hearing"],
        ["Hushtrial.Reporting"] = ["Hushtrial.Trials"],
        ["Hushtrial.Store"] = ["Hushtrial.Trials"],
        ["Hushtrial.Web"] = ["Hushtrial.Reporting", "Hushtrial.Store"],
        ["Hushtrial.Cli"] = ["Hushtrial.Reporting", "Hushtrial.Store", "Hushtrial.Web"],
    };

    // A folder may use those before it, never those behind it.
    private static readonly Dictionary<string, string[]> _folders = new(StringComparer.Ordinal)
    {
        ["Hushtrial.Signals"] = ["Recordings", "Calibration", "Filters", "Levels", "Rendering"],
        ["Hushtrial.Trials"] = ["Document", "Logs", "Alignment", "Results", "Screening", "Pairing", "Effects", "Verdicts", "Claims", "Planning", "Finding", "Leading", "Listening", "Summary", "Synthesis", "Proof"],
    };

    [Fact]
    public void Every_project_references_only_what_it_may()
    {
        var found = Directory.GetDirectories(Path.Combine(Reference.Root, "src")).Select(d => Path.GetFileName(d)!).Order().ToList();
        Assert.Equal(_projects.Keys.Order(), found);
        foreach (var (project, allowed) in _projects)
        {
            var references = XDocument.Load(Path.Combine(Reference.Root, "src", project, project + ".csproj")).Descendants("ProjectReference")
                .Select(r => Path.GetFileNameWithoutExtension(r.Attribute("Include")!.Value)).ToList();
            Assert.True(references.All(allowed.Contains), $"{project} references {string.Join(", ", references.Except(allowed))}.");
        }
    }

    [Fact]
    public void Folders_use_only_those_before_them()
    {
        foreach (var (project, order) in _folders)
        {
            var root = Path.Combine(Reference.Root, "src", project);
            var folders = Directory.GetDirectories(root).Select(d => Path.GetFileName(d)!).Where(d => d is not "obj" and not "bin").ToList();
            Assert.True(folders.All(order.Contains), $"{project}: a folder outside the order: {string.Join(", ", folders.Except(order))}.");
            foreach (var file in Directory.GetFiles(root, "*.cs", SearchOption.AllDirectories))
            {
                var relative = Path.GetRelativePath(root, file).Split(Path.DirectorySeparatorChar);
                if (relative.Length < 2 || !order.Contains(relative[0])) continue;
                Assert.True(relative.Length == 2, $"{file} lies in a folder of a folder.");
                foreach (Match use in Using().Matches(File.ReadAllText(file)))
                {
                    var used = use.Groups["name"].Value;
                    if (!used.StartsWith(project + ".", StringComparison.Ordinal)) continue;
                    var folder = used[(project.Length + 1)..].Split('.')[0];
                    Assert.True(Array.IndexOf(order, folder) <= Array.IndexOf(order, relative[0]), $"{string.Join('/', relative)} uses {used}, which comes later.");
                }
            }
        }
    }

    [Fact]
    public void Statistics_knows_no_decibel()
    {
        foreach (var file in Directory.GetFiles(Path.Combine(Reference.Root, "src", "Hushtrial.Statistics"), "*.cs", SearchOption.AllDirectories).Where(f => !f.Contains("/obj/", StringComparison.Ordinal)))
            Assert.DoesNotMatch(@"\bdB\b|[Dd]ecibel", File.ReadAllText(file));
    }

    [GeneratedRegex(@"^\s*(?:global )?using (?:static )?(?<name>Hushtrial[\w.]*)\s*;", RegexOptions.Multiline | RegexOptions.ExplicitCapture)]
    private static partial Regex Using();
}
