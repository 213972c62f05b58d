using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

/// <summary>Whatever happens to a document on its way, reading ends in a document or in at least one error, never in an exception.</summary>
public sealed class DocumentMutationTests
{
    private const int CasesPerDocument = 800;
    private const string Letters = "abz019 :-,.#'\"[]{}&*!|>%@`\t\n\r~\\/_<?=\u00a0é\0\ufeff\ud83d";

    public static TheoryData<string> Good => [.. Corpus.Names("good")];

    [Theory, MemberData(nameof(Good))]
    public void Damaged_text_is_read_or_refused(string name)
    {
        var random = new Random(20_260_514);
        var good = Corpus.Text(name);
        var (read, refused) = (0, 0);
        for (var i = 0; i < CasesPerDocument; i++)
        {
            var text = good;
            for (var n = random.Next(1, 4); n > 0; n--) text = Damage(text, random);
            if (Ends(() => TrialDocumentReader.Read(text, name), text)) read++;
            else refused++;
        }
        // Both ends must be reached, or the test damages too little or too much to tell anything.
        Assert.True(read > 20 && refused > 100, $"{read} read, {refused} refused");
    }

    [Theory, MemberData(nameof(Good))]
    public void Damaged_bytes_are_read_or_refused(string name)
    {
        var random = new Random(7);
        var good = Encoding.UTF8.GetBytes(Corpus.Text(name));
        for (var i = 0; i < CasesPerDocument / 4; i++)
        {
            var bytes = good.AsSpan(0, random.Next(4) == 0 ? random.Next(good.Length) : good.Length).ToArray();
            for (var n = random.Next(1, 5); n > 0 && bytes.Length > 0; n--) bytes[random.Next(bytes.Length)] = (byte)random.Next(256);
            Ends(() => { using var stream = new MemoryStream(bytes); return TrialDocumentReader.Read(stream, name); }, Convert.ToHexString(bytes));
        }
    }

    [Theory]
    [InlineData("[")]
    [InlineData("{a: ")]
    [InlineData("- ")]
    [InlineData("? ")]
    [InlineData("a: &a [*a, ")]
    public void Deep_nesting_is_refused_quickly(string step)
    {
        var (document, problems) = TrialDocumentReader.Read(string.Concat(Enumerable.Repeat(step, 100_000)), "trial.yaml");
        Assert.Null(document);
        Assert.Contains(problems, p => p.Severity == Severity.Error);
    }

    private static bool Ends(Func<(TrialDocument? Document, IReadOnlyList<Problem> Problems)> read, string input)
    {
        try
        {
            var (document, problems) = read();
            Assert.Equal(problems.Any(p => p.Severity == Severity.Error), document is null);
            if (document is not null) TrialDocumentWriter.Write(document);
            return document is not null;
        }
        catch (Exception e) when (e is not Xunit.Sdk.XunitException)
        {
            throw new InvalidOperationException($"Reading threw on:\n{input}", e);
        }
    }

    private static string Damage(string text, Random random)
    {
        var lines = text.Split('\n').ToList();
        var line = random.Next(lines.Count);
        switch (random.Next(8))
        {
            case 0: lines.RemoveAt(line); break;
            case 1: lines.Insert(line, lines[random.Next(lines.Count)]); break;
            case 2: lines[line] = lines[random.Next(lines.Count)]; break;
            case 3: lines[line] = "  " + lines[line]; break;
            case 4 when text.Length > 0: return text.Remove(random.Next(text.Length), 1);
            case 5 when text.Length > 0: return text.Insert(random.Next(text.Length), Letters[random.Next(Letters.Length)].ToString());
            case 6 when text.Length > 0:
                var at = random.Next(text.Length);
                return string.Concat(text.AsSpan(0, at), Letters[random.Next(Letters.Length)].ToString(), text.AsSpan(at + 1));
            default:
                var words = lines[line].Split(' ');
                words[random.Next(words.Length)] = text.Split([' ', '\n'])[random.Next(text.Split([' ', '\n']).Length)];
                lines[line] = string.Join(' ', words);
                break;
        }
        return string.Join('\n', lines);
    }
}
