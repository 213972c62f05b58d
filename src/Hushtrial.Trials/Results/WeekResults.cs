using Hushtrial.Hearing.Exposure;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Results;

/// <summary>One kind of day in the week, at the worse ear.</summary>
/// <param name="Day">As written.</param>
/// <param name="Level">LEX,8h with its limits.</param>
/// <param name="Parts">Each segment's part.</param>
/// <param name="Rules">The day under each rule set.</param>
public sealed record WeekDayResult(WeekDay Day, Bounded<Level> Level, IReadOnlyList<SegmentResult> Parts, IReadOnlyList<RuleResult> Rules);

/// <summary>The week held against one level of a rule set that lets days be averaged over a week.</summary>
/// <param name="Rules">The rule set.</param>
/// <param name="Threshold">The level and what counts for it.</param>
/// <param name="Standing">Where the week stands.</param>
public sealed record WeekStanding(ExposureRules Rules, ExposureThreshold Threshold, Standing Standing);

/// <summary>What a week means, built from days and their segments. Never made in relative mode.</summary>
/// <param name="Scope">The scope of the levels.</param>
/// <param name="Days">Each kind of day; empty when something is not known.</param>
/// <param name="Level">LEX,40h: the days' energies over five nominal days; null when something is not known.</param>
/// <param name="Standings">Against the levels of rule sets that know a week.</param>
/// <param name="WhyNot">What is not known; null when all is.</param>
/// <param name="Sentence">In plain words.</param>
/// <param name="Cautions">What has to be read with it.</param>
public sealed record TrialWeek(EstimateScope Scope, IReadOnlyList<WeekDayResult> Days, Bounded<Level>? Level, IReadOnlyList<WeekStanding> Standings, string? WhyNot, string Sentence, IReadOnlyList<string> Cautions);

/// <summary>C-weighted peaks at the ear under one condition.</summary>
/// <param name="Condition">Identity of the condition, or 'open'.</param>
/// <param name="Name">Its name for readers.</param>
/// <param name="Highest">The highest of its takes, dB(C) re 20 µPa.</param>
/// <param name="Takes">The peak of every used take.</param>
/// <param name="AtLeast">Whether the unweighted peak of a take came within 1 dB of full scale: the peaks may have been higher.</param>
/// <param name="Rules">Against the peak levels of each rule set that has any.</param>
public sealed record ConditionPeaks(string Condition, string Name, double Highest, IReadOnlyList<double> Takes, bool AtLeast, IReadOnlyList<(ExposureRules Rules, IReadOnlyList<PeakResult> Levels)> Rules);

/// <summary>Peaks of a trial. Never made in relative mode.</summary>
/// <param name="Conditions">The open ear first.</param>
/// <param name="Capacity">Highest peak that the recorder can hold, dB re 20 µPa, unweighted: full scale. No C-weighted peak is to be set against it.</param>
/// <param name="Sentence">In plain words.</param>
/// <param name="Cautions">What has to be read with it.</param>
public sealed record TrialPeaks(IReadOnlyList<ConditionPeaks> Conditions, double Capacity, string Sentence, IReadOnlyList<string> Cautions);

/// <summary>A measured condition beside one that published data alone predict: measured minus predicted, never a comparison of two measurements.</summary>
/// <param name="Measured">Identity of the measured condition.</param>
/// <param name="MeasuredName">Its name for readers.</param>
/// <param name="Predicted">Identity of the predicted one.</param>
/// <param name="PredictedName">Its name for readers.</param>
/// <param name="Difference">A-weighted loss, measured minus predicted, with the 95 % interval of the difference of the two distributions.</param>
/// <param name="ProbabilityMore">Probability that the measured one takes more off this wearer's level.</param>
/// <param name="Sentence">In plain words.</param>
public sealed record PredictedPair(string Measured, string MeasuredName, string Predicted, string PredictedName, Estimate Difference, double ProbabilityMore, string Sentence);
