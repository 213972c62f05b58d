using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>The rule sets the program knows. The user chooses; none is preselected by place.</summary>
public static class RuleSets
{
    private static readonly TimeSpan _day = TimeSpan.FromHours(8);

    /// <summary>Directive 2003/10/EC.</summary>
    public static ExposureRules EuropeanUnion { get; } = new()
    {
        Id = "eu", Name = "EU directive 2003/10/EC", ShortName = "EU", Source = "Directive 2003/10/EC, article 3",
        Criterion = Db(87), CriterionTime = _day, WeeklyAveraging = true,
        Thresholds = [new("lower action value", Db(80), false), new("upper action value", Db(85), false), new("limit value", Db(87), true)],
        Peaks = [new("lower action value", Db(135), false), new("upper action value", Db(137), false), new("limit value", Db(140), true)],
        Cautions = ["Action values are judged by the noise outside the protector, the limit value at the ear under it.",
            "The week's level may replace the day's where days differ markedly; it must not exceed 87 dB(A)."],
    };

    /// <summary>Control of Noise at Work Regulations 2005.</summary>
    public static ExposureRules UnitedKingdom { get; } = EuropeanUnion with
    {
        Id = "uk", Name = "UK Control of Noise at Work Regulations 2005", ShortName = "UK", Source = "Control of Noise at Work Regulations 2005, regulation 4",
        Cautions = [.. EuropeanUnion.Cautions, "For aircrew the Civil Aviation (Working Time) Regulations 2004 and the division of duties between the "
            + "aviation and the health-and-safety regulator apply; flight safety takes precedence."],
    };

    /// <summary>NIOSH recommended exposure limit.</summary>
    public static ExposureRules Niosh { get; } = new()
    {
        Id = "niosh", Name = "NIOSH recommended exposure limit", ShortName = "NIOSH", Source = "NIOSH publication 98-126",
        Criterion = Db(85), CriterionTime = _day, ExchangeRate = LevelDifference.FromDecibels(3),
        Thresholds = [new("recommended exposure limit", Db(85), true)],
        Ceiling = Db(140), DoubleProtectionFrom = Db(100),
        Cautions = ["A recommendation, not a law."],
    };

    /// <summary>OSHA: hearing conservation, levels from 80 dB(A) counted.</summary>
    public static ExposureRules OshaHearingConservation { get; } = new()
    {
        Id = "osha-hc", Name = "OSHA hearing conservation", ShortName = "OSHA HCA", Source = "29 CFR 1910.95 (c), (d) and appendix A; counting threshold and action level from memory",
        Criterion = Db(90), CriterionTime = _day, ExchangeRate = LevelDifference.FromDecibels(5), TwaFactor = 16.61, CountedFrom = Db(80),
        Thresholds = [new("action level", Db(85), false)],
        Peaks = [new("impulsive or impact noise", Db(140), false)],
        Cautions = ["5 dB exchange: at high levels it allows far more sound energy than the 3 dB rules.", "The action level is judged without the protector.",
            "In operating aircraft cabins in the USA this part applies to cabin crew (policy of 2013); the flight deck stays with the aviation authority."],
    };

    /// <summary>OSHA: permissible exposure, levels from 90 dB(A) counted.</summary>
    public static ExposureRules OshaPermissible { get; } = OshaHearingConservation with
    {
        Id = "osha-pel", Name = "OSHA permissible exposure", ShortName = "OSHA PEL", Source = "29 CFR 1910.95 (a), (b) and appendix A; counting threshold from memory",
        CountedFrom = Db(90), Thresholds = [new("permissible exposure", Db(90), false)],
        Cautions = ["5 dB exchange; levels below 90 dB(A) are not counted at all.", "Controls come before protectors."],
    };

    /// <summary>MSHA: permissible exposure in mines.</summary>
    public static ExposureRules MshaPermissible { get; } = new()
    {
        Id = "msha", Name = "MSHA permissible exposure", ShortName = "MSHA", Source = "30 CFR 62; all but the 105 dB(A) for two protectors from memory",
        Criterion = Db(90), CriterionTime = _day, ExchangeRate = LevelDifference.FromDecibels(5), TwaFactor = 16.61, CountedFrom = Db(90),
        Thresholds = [new("permissible exposure", Db(90), false), new("two protectors required", Db(105), false)],
        Ceiling = Db(115), DoubleProtectionFrom = Db(105),
        Cautions = ["The protector is not counted when judging compliance.", "5 dB exchange; levels below 90 dB(A) are not counted."],
    };

    /// <summary>IMO code on noise levels on board ships.</summary>
    public static ExposureRules Ships { get; } = new()
    {
        Id = "imo", Name = "IMO code on noise levels on board ships", ShortName = "IMO", Source = "Resolution MSC.337(91), chapter 5, as summarised",
        Criterion = Db(80), CriterionTime = TimeSpan.FromHours(24),
        Thresholds = [new("24 h exposure limit", Db(80), true)],
        Peaks = [new("unprotected peak", Db(135), false)],
        Cautions = ["The level is normalised to 24 h, not 8 h: rest time on board counts.", "Protectors are worn in spaces above 85 dB(A)."],
    };

    /// <summary>Canadian aviation occupational health and safety rule.</summary>
    public static ExposureRules CanadaAviation { get; } = new()
    {
        Id = "canada", Name = "Canadian aviation, 87 dB(A) for 8 h, 3 dB exchange", ShortName = "Canada", Source = "as used in a published exposure study of a search-and-rescue helicopter",
        Criterion = Db(87), CriterionTime = _day, ExchangeRate = LevelDifference.FromDecibels(3),
        Thresholds = [new("maximum exposure", Db(87), true)],
    };

    /// <summary>All rule sets.</summary>
    public static IReadOnlyList<ExposureRules> All { get; } =
        [EuropeanUnion, UnitedKingdom, Niosh, OshaHearingConservation, OshaPermissible, MshaPermissible, Ships, CanadaAviation];

    /// <summary>The rule set with this short name, or null.</summary>
    public static ExposureRules? Find(string id) => All.FirstOrDefault(r => string.Equals(r.Id, id, StringComparison.OrdinalIgnoreCase));

    private static Level Db(double value) => Level.FromDecibels(value);
}
