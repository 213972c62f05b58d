using System.Text.RegularExpressions;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Reporting.Wording;
using Hushtrial.Tests;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Planning;
using Hushtrial.Web.Assets;
using Hushtrial.Web.Parts;

namespace Hushtrial.Web.Tests.Language;

/// <summary>Every English text that the workspace asks a translation for, gathered from its sources and from the tables it shows.</summary>
internal static partial class AskedTexts
{
    /// <summary>The texts, each with the first place that asks for it.</summary>
    public static IReadOnlyDictionary<string, string> All { get; } = Gather();

    private static Dictionary<string, string> Gather()
    {
        var texts = new Dictionary<string, string>(StringComparer.Ordinal);
        var root = Path.Combine(Reference.Root, "src", "Hushtrial.Web");
        foreach (var file in Directory.EnumerateFiles(root, "*", SearchOption.AllDirectories).Where(f => f.EndsWith(".razor", StringComparison.Ordinal) || f.EndsWith(".cs", StringComparison.Ordinal)).Order(StringComparer.Ordinal))
        {
            var place = Path.GetRelativePath(root, file);
            if (place.Split(Path.DirectorySeparatorChar)[0] is "obj" or "bin") continue;
            var source = File.ReadAllText(file);
            foreach (Match asked in Asked().Matches(source)) Add(FirstArgument(source, asked.Index + asked.Length), place);
            Add(Marked().Matches(source).Select(m => Plain(m.Groups["text"].Value)), place);
            if (file.EndsWith(".razor", StringComparison.Ordinal)) Add(Attribute().Matches(source).Select(m => m.Groups["text"].Value), place);
        }
        Add(ModuleTexts.All, "the modules");
        Add(FieldNames.All, "the names of fields");
        foreach (var section in DocumentLayout.Sections)
        {
            Add([section.Title, section.Meaning], $"the section {section.Key}");
            Add(section.Fields.SelectMany(Of), $"the section {section.Key}");
        }
        Add(SafetyCard.Sections.SelectMany(s => s.Points.Prepend(s.Heading)), "the safety card");
        Add(OpenEarDose.Alternatives, "the open ear's dose");
        Add(RuleSets.All.Select(r => r.Name), "the rule sets");
        Add(RoleWords.Meanings, "the roles of columns");
        Add(["passive", "active"], "the modes of devices");
        Add(Enum.GetValues<MeasuredQuantity>().Select(Words.Quantity), "the measured quantities");
        return texts;

        void Add(IEnumerable<string> found, string place)
        {
            foreach (var text in found.Where(t => t.Length > 0)) texts.TryAdd(text, place);
        }
    }

    private static IEnumerable<string> Of(LayoutField field) =>
    [
        field.Meaning, FieldNames.Of(field), .. field.Choices.Select(c => c.Meaning),
        .. field.Kind == LayoutKind.Word ? field.Choices.Select(c => char.ToUpperInvariant(c.Word[0]) + c.Word[1..].Replace('-', ' ')) : [],
        .. field.Children.SelectMany(Of),
    ];

    // The string literals of an index's first argument: those of a choice or a switch too, those inside a call not.
    private static List<string> FirstArgument(string source, int at)
    {
        var found = new List<string>();
        for (var depth = 1; at < source.Length && depth > 0; at++)
        {
            var c = source[at];
            if (c == '"')
            {
                var end = at + 1;
                while (source[end] != '"') end += source[end] == '\\' ? 2 : 1;
                if (depth == 1) found.Add(Plain(source[(at + 1)..end]));
                at = end;
            }
            else if (c == '{')
            {
                // Inside a switch commas stand between its arms.
                var end = source.IndexOf('}', at);
                found.AddRange(Literal().Matches(source[at..end]).Select(m => Plain(m.Groups["text"].Value)));
                at = end;
            }
            else if (c is '(' or '[') depth++;
            else if (c is ')' or ']') depth--;
            else if (c == ',' && depth == 1) break;
        }
        return found;
    }

    private static string Plain(string literal) => literal.Replace("\\\"", "\"", StringComparison.Ordinal);

    [GeneratedRegex(@"(?<![\w.])(?:(?:View\.|v\.|view\.)?[tT]|(?:Page\.)?Tongue(?:\.Of\(context\))?)\[", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Asked();

    [GeneratedRegex("Tongue\\.Key\\(\"(?<text>(?:[^\"\\\\]|\\\\.)*)\"\\)", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Marked();

    [GeneratedRegex("\\b(?:Title|AddWords|MoreWords|MarkWords)=\"(?<text>[^\"@][^\"]*)\"", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Attribute();

    [GeneratedRegex("\"(?<text>(?:[^\"\\\\]|\\\\.)*)\"", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Literal();
}
