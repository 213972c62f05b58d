using System.Globalization;
using CsCheck;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;

namespace Hushtrial.Tests.Exposure;

public class ExposureRulesTests
{
    private static Level Db(double value) => Level.FromDecibels(value);

    /// <summary>29 CFR 1910.95, Appendix A, Table G-16A: 51 durations. The printed figures have two or three significant digits.</summary>
    [Fact]
    public void OSHA_reference_durations()
    {
        var rows = Reference.Read("exposure/osha-g16a.csv");
        Assert.Equal(51, rows.Count);
        foreach (var row in rows)
        {
            var hours = RuleSets.OshaHearingConservation.AllowedTime(Db(row.Number("level_dba")))!.Value.TotalHours;
            Assert.Equal(row.Number("computed_h"), hours, 0.00001); // computed to five decimals
            var printed = row["printed_h"];
            var decimals = printed.Contains('.', StringComparison.Ordinal) ? printed.Length - printed.IndexOf('.', StringComparison.Ordinal) - 1 : 0;
            Assert.Equal(row.Number("printed_h"), hours, 0.5 * Math.Pow(10, -decimals) + 1e-9); // half of the last printed digit
        }
    }

    /// <summary>29 CFR 1910.95, Table G-16 (from memory): the level belongs to the duration when rounded to a whole dB.</summary>
    [Fact]
    public void OSHA_permissible_durations()
    {
        var rows = Reference.Read("exposure/osha-g16.csv");
        Assert.Equal(9, rows.Count);
        foreach (var row in rows)
            Assert.Equal(row.Number("duration_h"), RuleSets.OshaPermissible.AllowedTime(Db(row.Number("formula_level_dba")))!.Value.TotalHours, row.Number("duration_h") * 0.0008); // the level has two decimals: 0.005 dB are 0.07 %
    }

    /// <summary>29 CFR 1910.95, Appendix A, I(2): TWA = 16.61 lg(D/100) + 90, at the doses of Table A-1, rounded to 0.1.</summary>
    [Fact]
    public void OSHA_dose_to_TWA()
    {
        var rows = Reference.Read("exposure/osha-dose-twa.csv");
        Assert.Equal(65, rows.Count);
        foreach (var row in rows)
            Assert.Equal(row.Number("twa_dba"), RuleSets.OshaHearingConservation.TimeWeightedAverage(row.Number("dose_percent"))!.Value.Decibels, 0.0501); // half of the last digit
    }

    /// <summary>NIOSH 98-126, Table 1-1: the table prints whole minutes down to 94 dBA and truncates seconds below; 99 dBA is 5 s off in print.</summary>
    [Fact]
    public void NIOSH_durations()
    {
        var rows = Reference.Read("exposure/niosh-durations.csv");
        Assert.Equal(51, rows.Count);
        foreach (var row in rows)
        {
            var seconds = RuleSets.Niosh.AllowedTime(Db(row.Number("level_dba")))!.Value.TotalSeconds;
            Assert.Equal(row.Number("computed_s"), seconds, 0.001); // computed to a millisecond
            if (row["printed_hms"][0] == '<') { Assert.True(seconds < 1); continue; }
            var parts = row["printed_hms"].Split(':').Select(p => int.Parse(p, CultureInfo.InvariantCulture)).ToArray();
            var printed = parts[0] * 3600 + parts[1] * 60 + parts[2];
            var off = row["note"].Length > 0 ? 6 : row.Number("level_dba") <= 94 ? 60 : 1.01;
            Assert.InRange(seconds - printed, -off, off);
        }
    }

    /// <summary>Equal-energy equivalents, agreeing with a table of the European Commission's scientific committee; printed to 0.01 dB.</summary>
    [Fact]
    public void Equal_energy_equivalents()
    {
        var rows = Reference.Read("exposure/equivalents.csv");
        Assert.Equal(15, rows.Count);
        foreach (var row in rows)
        {
            var hours = RuleSets.EuropeanUnion.AllowedTime(Db(row.Number("equivalent_dba")), Db(row.Number("l8h_dba")))!.Value.TotalHours;
            Assert.Equal(row.Number("hours"), hours, row.Number("hours") * 0.0012); // 0.005 dB are 0.12 %
        }
    }

    /// <summary>Criteria of directive 2003/10/EC, the UK regulations, OSHA, NIOSH, MSHA and ISO: every row finds its place in the data.</summary>
    [Fact]
    public void Every_criterion_of_the_table_is_in_the_rule_sets()
    {
        var rows = Reference.Read("exposure/criteria.csv");
        Assert.Equal(22, rows.Count);
        foreach (var row in rows)
        {
            var (eu, uk, hc, pel) = (RuleSets.EuropeanUnion, RuleSets.UnitedKingdom, RuleSets.OshaHearingConservation, RuleSets.OshaPermissible);
            double ours = (row["regime"], row["item"]) switch
            {
                ("EU", "lower_action_LEX8h") => Threshold(eu, "lower action value", false),
                ("EU", "upper_action_LEX8h") => Threshold(eu, "upper action value", false),
                ("EU", "limit_LEX8h") => Threshold(eu, "limit value", true),
                ("EU", "lower_action_peak") => Peak(eu, "lower action value"),
                ("EU", "upper_action_peak") => Peak(eu, "upper action value"),
                ("EU", "limit_peak") => Peak(eu, "limit value"),
                ("EU", "weekly_averaging") => eu.WeeklyAveraging ? 1 : 0,
                ("UK", "lower_action_LEPd") => Threshold(uk, "lower action value", false),
                ("UK", "upper_action_LEPd") => Threshold(uk, "upper action value", false),
                ("UK", "limit_LEPd") => Threshold(uk, "limit value", true),
                ("US-OSHA", "criterion_level") => hc.Criterion.Decibels,
                ("US-OSHA", "exchange_rate") => hc.ExchangeRate!.Value.Decibels,
                ("US-OSHA", "action_level") => Threshold(hc, "action level", false),
                ("US-OSHA", "threshold_hearing_conservation") => hc.CountedFrom!.Value.Decibels,
                ("US-OSHA", "threshold_PEL") => pel.CountedFrom!.Value.Decibels,
                ("US-NIOSH", "criterion_level") => RuleSets.Niosh.Criterion.Decibels,
                ("US-NIOSH", "exchange_rate") => RuleSets.Niosh.ExchangeRate!.Value.Decibels,
                ("US-NIOSH", "ceiling") => RuleSets.Niosh.Ceiling!.Value.Decibels,
                ("US-NIOSH", "dual_protection_from") => RuleSets.Niosh.DoubleProtectionFrom!.Value.Decibels,
                ("US-MSHA", "dual_protection_from") => RuleSets.MshaPermissible.DoubleProtectionFrom!.Value.Decibels,
                ("ISO", "LEX8h") => DayOf(84, 4).NormalisedLevel(TimeSpan.FromHours(8)).Best.Decibels,
                ("ISO", "weekly_LEX40h") => WeekExposure.Level40Hours([Db(85), Db(85), Db(85), Db(85), Db(85)]).Decibels,
                var other => throw new InvalidOperationException($"No place for {other}."),
            };
            var expected = (row["regime"], row["item"]) switch
            {
                ("EU", "weekly_averaging") => 1,
                ("ISO", "LEX8h") => 84 + 10 * Math.Log10(4.0 / 8),
                ("ISO", "weekly_LEX40h") => 85,
                _ when row["unit"] == "Pa" => Math.Round(20 * Math.Log10(row.Number("value") / 20e-6)), // the directive itself gives the whole dB
                _ => row.Number("value"),
            };
            Assert.Equal(expected, ours, 1e-9);
        }
    }

    private static double Threshold(ExposureRules rules, string name, bool protectorCounted)
    {
        var threshold = Assert.Single(rules.Thresholds, t => t.Name == name);
        Assert.Equal(protectorCounted, threshold.ProtectorCounted);
        return threshold.Level.Decibels;
    }

    private static double Peak(ExposureRules rules, string name) => Assert.Single(rules.Peaks, p => p.Name == name).Level.Decibels;

    private static DayExposure DayOf(double level, double hours) => DayExposure.Of([new()
    {
        Name = "a", Duration = TimeSpan.FromHours(hours), AtEar = EarLevel.Of(Db(level), LevelDifference.Zero, CalibrationStatement.Of("test")),
    }]);

    /// <summary>Published figures and identities of the bookkeeping; the tolerance is half of the last digit given.</summary>
    [Fact]
    public void Bookkeeping_facts()
    {
        var rows = Reference.Read("exposure/offtime-and-facts.csv");
        Assert.Equal(11, rows.Count);
        foreach (var row in rows)
        {
            var x = row["inputs"].Split(';').Select(p => double.Parse(p, CultureInfo.InvariantCulture)).ToArray();
            var (ours, tolerance) = row["item"] switch
            {
                "protection with off-time" => (OffTime.EffectiveReduction(LevelDifference.FromDecibels(x[0]), x[1] / x[2]).Decibels, 0.05),
                "sound exposure" => (4e-10 * Db(x[0]).MeanSquareRatio * x[1], 0.005),
                "LEX8h" => (DayOf(x[0], x[1]).NormalisedLevel(TimeSpan.FromHours(8)).Best.Decibels, 0.05),
                "allowed hours 85/3" => (RuleSets.Niosh.AllowedTime(Db(x[0]))!.Value.TotalHours, 1e-9),
                "allowed hours 90/5" => (RuleSets.OshaHearingConservation.AllowedTime(Db(x[0]))!.Value.TotalHours, 1e-9),
                "allowed seconds Canada aviation 87/3" => (RuleSets.CanadaAviation.AllowedTime(Db(x[0]))!.Value.TotalSeconds, 0.5),
                var other => throw new InvalidOperationException(other),
            };
            Assert.Equal(row.Number("value"), ours, tolerance);
        }
    }

    [Fact]
    public void A_level_below_what_counts_has_no_time_and_no_dose()
    {
        Assert.Null(RuleSets.OshaPermissible.AllowedTime(Db(89.9)));
        Assert.Equal(0, RuleSets.OshaPermissible.DosePercent(Db(89.9), TimeSpan.FromHours(8)));
        Assert.Null(RuleSets.OshaPermissible.TimeWeightedAverage(0));
        Assert.Equal(TimeSpan.Zero, RuleSets.Niosh.AllowedTime(Db(141)));
    }

    [Fact]
    public void The_allowed_time_is_the_time_of_a_dose_of_100_percent() =>
        Gen.Select(Gen.Double[91, 114], Gen.Int[0, RuleSets.All.Count - 1]).Sample((level, i) =>
        {
            var rules = RuleSets.All[i];
            // A TimeSpan has ticks of 100 ns; the shortest times here are of the order of a second.
            return Math.Abs(rules.DosePercent(Db(level), rules.AllowedTime(Db(level))!.Value) - 100) < 1e-3;
        });

    [Fact]
    public void Rule_sets_have_names_of_their_own_and_a_source()
    {
        Assert.Equal(RuleSets.All.Count, RuleSets.All.Select(r => r.Id).Distinct().Count());
        Assert.All(RuleSets.All, r => Assert.Same(r, RuleSets.Find(r.Id)));
        Assert.All(RuleSets.All, r => Assert.NotEmpty(r.Source));
    }
}
