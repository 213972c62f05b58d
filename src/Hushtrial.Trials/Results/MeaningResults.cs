using Hushtrial.Hearing.Claims;
using Hushtrial.Hearing.Exposure;
using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Results;

/// <summary>What kind of published figure was held against the measurement.</summary>
public enum PublishedFigureKind
{
    /// <summary>'At least so much.'</summary>
    AtLeast,

    /// <summary>'Up to so much.'</summary>
    UpTo,

    /// <summary>'So much on average.'</summary>
    Mean,

    /// <summary>Octave means with standard deviations.</summary>
    Octaves,

    /// <summary>A labelled single number.</summary>
    Rating,
}

/// <summary>One published figure held against one measured condition.</summary>
/// <param name="Condition">Identity of the condition.</param>
/// <param name="Name">Its name for readers.</param>
/// <param name="Device">The device.</param>
/// <param name="Kind">What kind of figure it is.</param>
/// <param name="Words">The figure as published, or in words of our own where only a number is.</param>
/// <param name="Claimed">The number it is tested against, dB; null for octave data, which predict a distribution.</param>
/// <param name="Band">The band it was tested in; null for A-weighted.</param>
/// <param name="ActivePart">True when it speaks of what the electronics add.</param>
/// <param name="Measured">What was measured of it, both scopes; null when it could not be measured.</param>
/// <param name="Predicted">What the published data predict in this noise; null where they predict nothing but the number itself.</param>
/// <param name="Verdict">Supported, contradicted or unresolved; judged in the general scope.</param>
/// <param name="Probability">Probability that the figure, less the allowance, is reached; null when nothing was measured.</param>
/// <param name="Sentence">The outcome in plain words.</param>
public sealed record ClaimResult(string Condition, string Name, Device Device, PublishedFigureKind Kind, string Words, double? Claimed, Band? Band, bool ActivePart,
    Effect? Measured, Estimate? Predicted, ClaimVerdict Verdict, double? Probability, string Sentence)
{
    /// <summary>Allowance for differences of method, dB; 0 where none is made.</summary>
    public double Allowance { get; init; }

    /// <summary>For octave data: where the measurement lies; null for others.</summary>
    public PublishedStanding? Standing { get; init; }

    /// <summary>For 'up to': the band where the value is reached with confidence; null otherwise.</summary>
    public Band? ReachedAt { get; init; }

    /// <summary>For a figure at one frequency: which measured value spoke for it; null for others.</summary>
    public PointSource? Point { get; init; }

    /// <summary>The frequency at which that value holds, Hz.</summary>
    public double? AtHertz { get; init; }

    /// <summary>What a figure at one frequency can mean for the whole noise; empty for others.</summary>
    public IReadOnlyList<ClaimRange> Translation { get; init; } = [];

    /// <summary>Further plain sentences that belong to it.</summary>
    public IReadOnlyList<string> Remarks { get; init; } = [];

    /// <summary>Why such a figure and a field measurement disagree.</summary>
    public IReadOnlyList<Disagreement> Comparability { get; init; } = [];
}

/// <summary>What the level under one condition means under one rule set.</summary>
/// <param name="Rules">The rule set.</param>
/// <param name="AllowedTime">Time until the dose is 100 %: of the same pattern of wearing when the day is known, else worn throughout. <c>Low</c> belongs to the lower
/// level and is the longest; <c>Upper</c> to the one-sided upper level. Null when the level does not count.</param>
/// <param name="DosePercent">Dose of the day at the ear; null when the hours of the day are not known.</param>
/// <param name="TimeWeightedAverage">TWA at the ear; null without a dose.</param>
/// <param name="Thresholds">The day held against each level of the rule set; empty when the hours are not known.</param>
public sealed record RuleExposure(ExposureRules Rules, Bounded<TimeSpan>? AllowedTime, Bounded<double>? DosePercent, Level? TimeWeightedAverage,
    IReadOnlyList<ThresholdResult> Thresholds);

/// <summary>What the level under one condition means for a day.</summary>
/// <param name="Condition">Identity of the condition, or 'open'.</param>
/// <param name="Name">Its name for readers.</param>
/// <param name="Predicted">True when the loss was published and not measured.</param>
/// <param name="Worn">Level at the ear while worn.</param>
/// <param name="Day">LEX,8h with the off-time; null when the hours are not known.</param>
/// <param name="OffShare">Share of the day's sound energy that falls on the off-time, 0…1; null without off-time.</param>
/// <param name="Protection">Too loud, right or too quiet while worn.</param>
/// <param name="Rules">Under each rule set.</param>
/// <param name="Sentence">In plain words.</param>
public sealed record ConditionExposure(string Condition, string Name, bool Predicted, Bounded<Level> Worn, Bounded<Level>? Day, double? OffShare, ProtectionBand Protection,
    IReadOnlyList<RuleExposure> Rules, string Sentence);

/// <summary>What the levels mean for hearing, informed by rule sets. Never made in relative mode.</summary>
/// <param name="Scope">The scope of the levels.</param>
/// <param name="HoursPerDay">Hours in this noise on a day; null when not stated.</param>
/// <param name="OffMinutes">Minutes of these with the device off; null when not stated.</param>
/// <param name="RulesStated">False when no rule set was named and one is shown for orientation.</param>
/// <param name="Conditions">The open ear first, then the conditions in the document's order.</param>
/// <param name="Sentence">The answer in plain words.</param>
/// <param name="Cautions">What has to be read with it.</param>
public sealed record TrialExposure(EstimateScope Scope, double? HoursPerDay, double? OffMinutes, bool RulesStated, IReadOnlyList<ConditionExposure> Conditions, string Sentence,
    IReadOnlyList<string> Cautions)
{
    /// <summary>What the levels refer to.</summary>
    public LevelReference Reference { get; init; } = LevelReference.AsRead;
}

/// <summary>How loud it is under a condition beside the open ear.</summary>
/// <param name="Condition">Identity of the condition.</param>
/// <param name="Name">Its name for readers.</param>
/// <param name="Comparison">The comparison; null when it cannot be calculated.</param>
/// <param name="WhyNot">Why not; null when it can.</param>
public sealed record ConditionLoudness(string Condition, string Name, LoudnessComparison? Comparison, string? WhyNot);
