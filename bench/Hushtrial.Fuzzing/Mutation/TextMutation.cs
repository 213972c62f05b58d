using System.Text;

namespace Hushtrial.Fuzzing.Mutation;

/// <summary>Changes of texts made of lines and words: of documents and of tables. Words of one line move to another, cells and marks change, encodings change.</summary>
/// <param name="words">Words that mean something to the reader.</param>
internal sealed class TextMutation(IReadOnlyList<string> words)
{
    private static readonly string[] _signs = [" ", "\t", ";", ",", ".", ":", "-", "−", "'", "\"", "#", "&a ", "*a", "!", "|", ">", "%", "@", "`", "[", "]", "{", "}", "?", "<<: ", "~", "null", "\\", "/", "\r", "\n", "\r\n", "\f", "\u0000", "\u0085", "\u00a0", "\u2028", "\ufeff", "é", "µ", "\ud83d\ude00", "—", "…"];

    private static readonly string[] _numbers = ["0", "-0", "1", "-1", "0.5", "12,5", "1.234,5", "1e3", "1e308", "1e-308", "1e999", "NaN", "inf", "-999", "0:12", "23:59:59.999999", "24:00", "1:60", "00:00:00", "99999999999999999999", "0x10", "1_000", "+5", "٣", "2026-02-29", "31.12.1999", "4/5/26", "12:00:00 AM", "2026-03-29 02:30:00", "9999-12-31", "0001-01-01", "< 30", "> 130", "OL", "--"];

    public byte[] Mutate(byte[] input, byte[] other, Dice dice)
    {
        if (dice.OneIn(12)) return Encoded(ByteMutation.Mutate(input, other, dice), dice, 6);
        var lines = Encoding.UTF8.GetString(input).Split('\n').ToList();
        for (var n = 1 << dice.Below(4); n > 0; n--) Step(lines, other, dice);
        return Encoded(Encoding.UTF8.GetBytes(string.Join('\n', lines)), dice, 40);
    }

    private static byte[] Encoded(byte[] utf8, Dice dice, int oneIn)
    {
        if (!dice.OneIn(oneIn)) return utf8;
        var text = Encoding.UTF8.GetString(utf8);
        return dice.Below(5) switch
        {
            0 => [0xEF, 0xBB, 0xBF, .. utf8],
            1 => [0xFF, 0xFE, .. Encoding.Unicode.GetBytes(text)],
            2 => [0xFE, 0xFF, .. Encoding.BigEndianUnicode.GetBytes(text)],
            3 => Encoding.Unicode.GetBytes(text),
            _ => Encoding.Latin1.GetBytes(text),
        };
    }

    private void Step(List<string> lines, byte[] other, Dice dice)
    {
        var at = dice.Below(lines.Count);
        var line = lines[at];
        switch (dice.Below(16))
        {
            case 0 when lines.Count > 1: lines.RemoveRange(at, Math.Min(1 + dice.Below(3), lines.Count - Math.Max(1, at))); break;
            case 1: lines.Insert(at, dice.Of(lines)); break;
            case 2: (lines[at], lines[dice.Below(lines.Count)]) = (dice.Of(lines), line); break;
            case 3: lines[at] = dice.OneIn(2) ? "  " + line : line.StartsWith(' ') ? line[1..] : line; break;
            case 4: lines[at] = line.Insert(dice.Below(line.Length + 1), dice.Of(_signs)); break;
            case 5 when line.Length > 0: lines[at] = line.Remove(dice.Below(line.Length), 1); break;
            case 6 or 7: lines[at] = Cell(line, _ => dice.Of(_numbers), dice); break;
            case 8 or 9: lines[at] = Cell(line, _ => dice.Of(words), dice); break;
            case 10: lines[at] = Cell(line, _ => Word(dice.Of(lines), dice), dice); break;
            case 11: lines[at] = Cell(line, w => Digit(w, dice), dice); break;
            case 12:
                var theirs = Encoding.UTF8.GetString(other).Split('\n');
                lines.Insert(at, dice.Of(theirs));
                break;
            case 13: lines[at] = line.Insert(dice.Below(line.Length + 1), dice.Of(words)); break;
            case 14 when dice.OneIn(6):
                // The mark between cells, or the decimal mark, everywhere.
                var (from, to) = (dice.Of(_marks), dice.Of(_marks));
                for (var i = 0; i < lines.Count; i++) lines[i] = lines[i].Replace(from, to, StringComparison.Ordinal);
                break;
            case 15 when dice.OneIn(6): lines[at] = string.Concat(Enumerable.Repeat(line.Length > 0 ? line : dice.Of(_signs), 2 + dice.Below(12))); break;
            default: break;
        }
    }

    private static readonly string[] _marks = [",", ";", "\t", ".", " ", ":", "-", "/"];

    private static readonly char[] _edges = [',', ';', '\t', ' ', ':', '[', ']', '{', '}'];

    /// <summary>Puts something in the place of one word or cell.</summary>
    private static string Cell(string line, Func<string, string> with, Dice dice)
    {
        if (line.Length == 0) return with("");
        var at = dice.Below(line.Length);
        var start = line.LastIndexOfAny(_edges, at) + 1;
        var end = line.IndexOfAny(_edges, at);
        if (end < 0) end = line.Length;
        if (start > end) start = end;
        return line[..start] + with(line[start..end]) + line[end..];
    }

    private static string Word(string line, Dice dice) => dice.Of(line.Split(_edges));

    private static string Digit(string word, Dice dice)
    {
        if (word.Length == 0) return "7";
        var at = dice.Below(word.Length);
        return word[..at] + (char)('0' + dice.Below(10)) + word[(at + 1)..];
    }
}
