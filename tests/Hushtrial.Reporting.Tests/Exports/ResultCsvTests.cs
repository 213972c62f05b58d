using System.Globalization;
using System.Text;
using CsCheck;
using Hushtrial.Reporting.Exports;
using Hushtrial.Tests.Samples;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Exports;

public sealed class ResultCsvTests
{
    private static readonly string[] _pieces = ["a", ",", "\"", "\r\n", "\n", " ", "é", "=", "+", "-", "@", "\t", "\r"];

    [Fact]
    public void Any_text_comes_back_from_a_field() => Gen.OneOf(Gen.String, Gen.Int[0, 12].Select(i => _pieces[i]).Array[0, 6].Select(p => string.Concat(p))).Array[1, 6].Sample(fields =>
    {
        var csv = new Csv([.. fields.Select((_, i) => $"c{i}")]);
        csv.Row([.. fields]);
        return Read(csv.ToString())[1].SequenceEqual(fields.Select(f => f.Length > 0 && "=+-@\t\r".Contains(f[0], StringComparison.Ordinal) ? "'" + f : f));
    });

    // OWASP, "CSV Injection" (from memory): these six characters begin a formula in a spreadsheet, an apostrophe makes it text.
    [Theory]
    [InlineData("=HYPERLINK(\"http://elsewhere.example\";\"Alder\")")]
    [InlineData("+1+1")]
    [InlineData("-2+3")]
    [InlineData("@SUM(A1)")]
    [InlineData("\t=1+1")]
    [InlineData("\r=1+1")]
    public void A_name_that_a_spreadsheet_would_run_stays_a_text_and_numbers_stay_numbers(string name)
    {
        var results = Helicopter.Results();
        var first = results.Conditions[0];
        var rows = Read(ResultCsv.Conditions(results with { Conditions = [first with { Name = name }, .. results.Conditions.Skip(1)] }));
        Assert.Contains(rows, r => r[rows[0].IndexOf("name")] == "'" + name);
        Assert.DoesNotContain(rows, r => r.Exists(c => c == name));
        var csv = new Csv("number", "below");
        csv.Row(-3.5, -2);
        Assert.Equal("number,below\r\n-3.5,-2\r\n", csv.ToString());
    }

    [Theory, MemberData(nameof(All.Names), MemberType = typeof(All))]
    public void Every_file_is_rectangular_and_ends_with_a_line_break(string name)
    {
        var files = ResultExports.Files(All.Of(name));
        string[] levels = All.Of(name).Mode == TrialMode.Absolute ? ["levels.csv"] : [];
        Assert.Equal(["bands.csv", "cabins.csv", "conditions.csv", "energy-shares.csv", "fits.csv", "history.csv", .. levels, "pairs.csv", "takes.csv"], files.Where(f => f.MediaType == "text/csv" && !f.Name.StartsWith("listening-", StringComparison.Ordinal)).Select(f => f.Name).Order(StringComparer.Ordinal));
        foreach (var file in files.Where(f => f.MediaType == "text/csv"))
        {
            var text = Encoding.UTF8.GetString(file.Content.Span);
            Assert.EndsWith("\r\n", text, StringComparison.Ordinal);
            var records = Read(text);
            Assert.All(records, r => Assert.Equal(records[0].Count, r.Count));
        }
    }

    [Fact]
    public void Conditions_come_back_as_they_were()
    {
        var results = Helicopter.Results();
        var records = Read(ResultCsv.Conditions(results));
        var header = records[0];
        var row = records.Single(r => r[header.IndexOf("condition")] == "birch-on" && r[header.IndexOf("weighting")] == "A" && r[header.IndexOf("scope")] == "general");
        // Written to 1e-6: half of that is the most it may differ.
        Assert.Equal(results.Conditions[2].Loss.A!.General!.High, double.Parse(row[header.IndexOf("insertion_loss_high95_db")], CultureInfo.InvariantCulture), 5e-7);
        // 4 measured conditions × (A, C) × 2 scopes, and the published one with A alone.
        Assert.Equal(1 + (4 * 2 * 2) + 2, records.Count);
    }

    [Fact]
    public void Histories_keep_every_value()
    {
        var results = Helicopter.Results();
        Assert.Equal(1 + results.Histories.Sum(h => h.LevelA.Count), Read(ResultCsv.History(results)).Count);
    }

    [Fact]
    public void Relative_mode_names_its_reference_and_holds_no_level()
    {
        var results = Helicopter.Results() with { Mode = TrialMode.Relative };
        Assert.DoesNotContain("20_upa", ResultCsv.Bands(results) + ResultCsv.Conditions(results) + ResultCsv.Takes(results) + ResultCsv.History(results), StringComparison.Ordinal);
        var takes = Read(ResultCsv.Takes(results));
        var column = takes[0].IndexOf("level_a_db_re_highest");
        Assert.All(takes.Skip(1), t => Assert.True(double.Parse(t[column], CultureInfo.InvariantCulture) <= 0));
    }

    /// <summary>A reader by the grammar of RFC 4180, section 2, written apart from the writer.</summary>
    private static List<List<string>> Read(string text)
    {
        var records = new List<List<string>>();
        var record = new List<string>();
        var field = new StringBuilder();
        var quoted = false;
        for (var i = 0; i < text.Length; i++)
        {
            var c = text[i];
            if (quoted && c == '"' && i + 1 < text.Length && text[i + 1] == '"') { field.Append('"'); i++; }
            else if (c == '"') quoted = !quoted;
            else if (!quoted && c == ',') { record.Add(field.ToString()); field.Clear(); }
            else if (!quoted && c == '\r' && i + 1 < text.Length && text[i + 1] == '\n')
            {
                record.Add(field.ToString());
                field.Clear();
                records.Add(record);
                record = [];
                i++;
            }
            else field.Append(c);
        }
        return records;
    }
}
