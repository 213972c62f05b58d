using System.Globalization;
using System.Text;

namespace Hushtrial.Trials.Document;

/// <summary>Identities for entries that a program adds.</summary>
internal static class FreshIdentity
{
    /// <summary>The stem as an identity that is not taken, capitals apart.</summary>
    public static string Of(string stem, IEnumerable<string> taken, string section)
    {
        var text = new StringBuilder();
        foreach (var ch in stem.Trim())
        {
            var good = char.IsLetterOrDigit(ch) || ch is '.' or '_' or '-' || (text.Length > 0 && CharUnicodeInfo.GetUnicodeCategory(ch) is UnicodeCategory.NonSpacingMark or UnicodeCategory.SpacingCombiningMark);
            if (good && (text.Length > 0 || char.IsLetterOrDigit(ch))) text.Append(ch);
            else if (text.Length > 0 && text[^1] != '-') text.Append('-');
        }
        var bare = text.ToString()[..Math.Min(text.Length, IdentityShape.MostCharacters)].TrimEnd('-');
        if (bare.Length == 0) bare = "entry";
        var used = taken.Append(section == "conditions" ? TrialDocument.OpenEar : "").ToHashSet(StringComparer.OrdinalIgnoreCase);
        var id = bare;
        for (var n = 2; used.Contains(id); n++)
        {
            var number = string.Create(CultureInfo.InvariantCulture, $"-{n}");
            id = bare[..Math.Min(bare.Length, IdentityShape.MostCharacters - number.Length)] + number;
        }
        return id;
    }
}
