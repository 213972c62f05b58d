using System.Globalization;
using System.Text;
using Hushtrial.Reporting.Wording;

namespace Hushtrial.Reporting.Figures;

/// <summary>Widths of text in the language of the work under way, so that legends and labels are laid out without a font at hand.</summary>
/// <remarks>Advance widths of DejaVu Sans, in thousandths of an em, code points 32 to 126, read from the font's own hmtx table.
/// It is one of the widest sans-serif faces in common use, so a label that fits by this table fits in the reader's font too.
/// Other characters: measured ones below, one em for East Asian and symbol characters, nothing for combining marks, 0.7 em otherwise.</remarks>
internal static class TextMetrics
{
    private static readonly int[] _regular =
    [
        318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636, 636, 636, 636, 636,
        636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863, 748, 787,
        603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352, 635,
        634, 278, 278, 579, 278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
    ];

    private static readonly int[] _bold =
    [
        348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 523, 838, 380, 415, 380, 365, 696, 696, 696, 696, 696, 696, 696, 696,
        696, 696, 400, 400, 838, 838, 838, 580, 1000, 774, 762, 734, 830, 683, 683, 821, 837, 372, 372, 775, 637, 995, 837, 850,
        733, 850, 770, 720, 682, 812, 774, 1103, 771, 724, 725, 457, 365, 457, 838, 500, 500, 675, 716, 593, 716, 678, 435, 716,
        712, 343, 343, 665, 343, 1042, 712, 687, 716, 716, 493, 595, 478, 712, 652, 924, 645, 652, 582, 712, 365, 712, 838,
    ];

    /// <summary>Width of one line of text, px.</summary>
    public static double Width(string text, double size, bool bold = false)
    {
        text = Phrasebook.Say(text);
        var table = bold ? _bold : _regular;
        double thousandths = 0;
        foreach (var rune in text.EnumerateRunes())
            thousandths += rune.Value is >= 32 and <= 126 ? table[rune.Value - 32] : Other(rune);
        return thousandths * size / 1000;
    }

    /// <summary>The text, cut with an ellipsis when it is wider than the room.</summary>
    public static string Fit(string text, double size, double room, bool bold = false)
    {
        text = Phrasebook.Say(text);
        if (Width(text, size, bold) <= room) return text;
        var parts = StringInfo.ParseCombiningCharacters(text);
        for (var n = parts.Length - 1; n > 0; n--)
        {
            var cut = text[..parts[n]].TrimEnd() + "…";
            if (Width(cut, size, bold) <= room) return cut;
        }
        return "…";
    }

    /// <summary>The text broken at spaces into lines of at most the room; the last line allowed is cut with an ellipsis.</summary>
    public static IReadOnlyList<string> Wrap(string text, double size, double room, int lines = int.MaxValue, bool bold = false)
    {
        var words = Phrasebook.Say(text).Split(' ', StringSplitOptions.RemoveEmptyEntries);
        var done = new List<string>();
        var line = new StringBuilder();
        for (var i = 0; i < words.Length; i++)
        {
            var longer = line.Length == 0 ? words[i] : line + " " + words[i];
            if (line.Length > 0 && Width(longer, size, bold) > room)
            {
                if (done.Count == lines - 1)
                {
                    done.Add(Fit(line + " " + string.Join(' ', words[i..]), size, room, bold));
                    return done;
                }
                done.Add(Fit(line.ToString(), size, room, bold));
                line.Clear().Append(words[i]);
            }
            else line.Clear().Append(longer);
        }
        if (line.Length > 0) done.Add(Fit(line.ToString(), size, room, bold));
        return done;
    }

    private static double Other(Rune rune) => rune.Value switch
    {
        0xA0 => 318,
        0xB7 => 380,
        0x2212 or 0xB1 or 0xD7 or 0x2264 or 0x2265 => 838,
        0x2013 => 500,
        >= 0x2E80 or 0x2014 or 0x2026 => 1000,
        _ => Rune.GetUnicodeCategory(rune) is UnicodeCategory.NonSpacingMark or UnicodeCategory.EnclosingMark or UnicodeCategory.Format ? 0 : 700,
    };
}
