using Hushtrial.Reporting.Tables;
using Hushtrial.Tests.Samples;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Tables;

public sealed class ClauseTests
{
    [Fact]
    public void Every_group_of_clauses_is_whole() => Assert.Equal(
        [("Identity", 6), ("Method statement", 3), ("Devices", 10), ("People", 6), ("Fitting", 5), ("Ear microphone", 5), ("Reference microphone", 2), ("Measuring chain", 7), ("Calibration", 6),
            ("Noise", 11), ("Communication", 4), ("Results", 5), ("Uncertainty", 9), ("Exposure", 4), ("Limits", 4), ("Data", 5)],
        ClauseList.All.GroupBy(c => c.Group).Select(g => (g.Key, g.Count())));

    [Fact]
    public void Every_clause_of_free_fields_is_a_clause_of_the_list() =>
        Assert.All(FreeFields.Words.Keys, k => Assert.Contains(ClauseList.All, c => $"{c.Group}/{c.Name}" == k));

    [Theory]
    [InlineData("Rotor rpm", "Revolutions")]
    [InlineData("Doors", "Doors, windows, heater")]
    public void Free_fields_answer_the_clause_they_are_about(string field, string clause)
    {
        var rows = ClauseChecklist.Table(Helicopter.Results()).Rows;
        var stated = Helicopter.Results().Document.Noise.Single(n => n.Key == field).Value;
        Assert.Equal(stated, rows.Single(r => r.Cells[0].Main == clause).Cells[1].Main);
    }

    [Theory]
    [InlineData("altitude_ft", "3000", "Altitude", "3000\u00A0ft")]
    [InlineData("rpm", "394", "Revolutions", "394")]
    [InlineData("temperature_c", "21", "Temperature", "21\u00A0°C")]
    [InlineData("speed", "120 kt", "Speed", "120 kt")]
    public void Fields_of_the_document_are_printed_with_the_unit_in_their_name(string key, string value, string clause, string printed)
    {
        var results = Helicopter.Results();
        var table = ClauseChecklist.Table(results with { Document = results.Document with { Noise = [new(key, value)] } });
        Assert.Contains(table.Rows, r => r.Cells.Count == 2 && r.Cells[0].Main == clause && r.Cells[1].Main == printed);
    }

    [Fact]
    public void A_field_that_no_clause_asks_for_is_still_printed()
    {
        var results = Helicopter.Results();
        var table = ClauseChecklist.Table(results with { Document = results.Document with { Noise = [new("Mood of the crew", "cheerful")] } });
        Assert.Contains(table.Rows, r => r.Cells.Count == 2 && r.Cells[0].Main == "Mood of the crew" && r.Cells[1].Main == "cheerful");
    }

    [Fact]
    public void Levels_that_were_judged_are_named_where_the_document_states_none()
    {
        var results = Meaning.Results();
        string Said(TrialResults r) => ClauseChecklist.Table(r).Rows.Single(x => x.Cells.Count == 2 && x.Cells[0].Main == "Action or limit value").Cells[1].Main;
        // Directive 2003/10/EC: action values 80 and 85, limit value 87 dB(A); NIOSH 98-126: 85 dB(A).
        Assert.Equal("85 dB(A) at the ear (NIOSH); 87 dB(A) at the ear (EU); 80 dB(A) outside the device (EU); 85 dB(A) outside the device (EU)", Said(results with { Document = results.Document with { Exposure = [] } }));
        Assert.Equal("the site’s own 82", Said(results with { Document = results.Document with { Exposure = [new("limit", "the site’s own 82")] } }));
    }

    [Fact]
    public void Without_calibration_wishes_about_exposure_are_not_printed()
    {
        var tractor = Tractor.Results();
        var table = ClauseChecklist.Table(tractor with { Document = tractor.Document with { Exposure = [new("hours a day", "6"), new("rule set", "85 for 8"), new("other", "87")] } });
        Assert.DoesNotContain(table.Rows.SelectMany(r => r.Cells), c => c.Main is "6" or "85 for 8" or "87");
    }
}
