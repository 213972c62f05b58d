using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Results;

/// <summary>Whether levels are absolute.</summary>
public enum TrialMode
{
    /// <summary>Calibrated: levels re 20 µPa.</summary>
    Absolute,

    /// <summary>Not calibrated: only differences may be stated; no level, no hours, no dose.</summary>
    Relative,
}

/// <summary>One line of an uncertainty budget.</summary>
/// <param name="Source">The source, in words.</param>
/// <param name="StandardUncertainty">Its contribution to the result, dB.</param>
public sealed record BudgetLine(string Source, double StandardUncertainty);

/// <summary>An estimate with its 95 % interval, all in dB.</summary>
/// <param name="Value">Posterior mean.</param>
/// <param name="Low">Lower 95 % limit.</param>
/// <param name="High">Upper 95 % limit.</param>
/// <param name="StandardUncertainty">Posterior standard deviation, with what does not average out added.</param>
/// <param name="DegreesOfFreedom">Null where the method has none (the primary one).</param>
/// <param name="Budget">By source.</param>
public sealed record Estimate(double Value, double Low, double High, double StandardUncertainty, double? DegreesOfFreedom, IReadOnlyList<BudgetLine> Budget);

/// <summary>An effect in both scopes, or the reason why the data cannot say.</summary>
/// <param name="AsWorn">Over the donnings really made; null when it cannot be said.</param>
/// <param name="General">Over donnings and flights; null when it cannot be said.</param>
/// <param name="Reason">Why not, when both are null; or a remark on the evidence ('based on an assumed donning scatter …').</param>
public sealed record Effect(Estimate? AsWorn, Estimate? General, string? Reason)
{
    /// <summary>The estimate in one scope.</summary>
    public Estimate? In(EstimateScope scope) => scope == EstimateScope.AsWorn ? AsWorn : General;
}

/// <summary>An effect in one band.</summary>
/// <param name="Band">The band.</param>
/// <param name="Effect">The effect.</param>
/// <param name="Valid">False when the band cannot be trusted: it is drawn grey.</param>
/// <param name="Reason">Why not valid, or what was corrected.</param>
/// <param name="LowerBoundOnly">True when the own noise was reached: the loss is at least this.</param>
public sealed record BandEffect(Band Band, Effect Effect, bool Valid, string? Reason, bool LowerBoundOnly = false);

/// <summary>The same quantity A-weighted, C-weighted and by band.</summary>
public sealed record SpectrumEffect(Effect? A, Effect? C, IReadOnlyList<BandEffect> Bands);

/// <summary>One donning's own loss: the dots of the figures.</summary>
/// <param name="Fit">Identity of the donning.</param>
/// <param name="Run">The run it was made in.</param>
/// <param name="Wearer">The wearer; null when there is only one.</param>
/// <param name="Takes">Number of takes in it.</param>
/// <param name="LossA">A-weighted loss, dB.</param>
/// <param name="LossC">C-weighted loss, dB.</param>
/// <param name="Bands">Loss per band, dB; bands without a value are absent.</param>
public sealed record FitLoss(string Fit, string Run, string? Wearer, int Takes, double? LossA, double? LossC, IReadOnlyDictionary<Band, double> Bands);

/// <summary>All that was found of one condition.</summary>
/// <param name="Condition">The condition.</param>
/// <param name="Device">Its device.</param>
/// <param name="Name">Name for readers: 'Birch, active', 'Birch, active, with spectacles'.</param>
/// <param name="Fits">Number of donnings.</param>
/// <param name="Takes">Number of takes used.</param>
/// <param name="Loss">Insertion loss (or the trial's quantity).</param>
/// <param name="EarLevel">Level at the ear under the condition in the trial's mean noise; null in relative mode.</param>
/// <param name="ReferenceSpectrumLossA">A-weighted reduction for the trial's mean open-ear spectrum, dB (method 1.1 ii); null when a band is missing.</param>
/// <param name="FitsDetail">Each donning.</param>
/// <param name="Predicted">True when it was not measured but follows from published data.</param>
public sealed record ConditionResult(Condition Condition, Device Device, string Name, int Fits, int Takes, SpectrumEffect Loss,
    SpectrumEffect? EarLevel, Estimate? ReferenceSpectrumLossA, IReadOnlyList<FitLoss> FitsDetail, bool Predicted)
{
    /// <summary>True for a condition that a trial of the active part needs as the other side: it has levels and no active part of its own.</summary>
    public bool IsReference { get; init; }

    /// <summary>The level at the ear referred to the field without the head; null where it cannot be. It never stands in a column with <see cref="EarLevel"/>.</summary>
    public SpectrumEffect? FieldLevel { get; init; }

    /// <summary>The trial's quantity in weighted levels referred to the field; null where they cannot be, and for a level difference, which is as read by definition.
    /// Band by band the transfer cancels.</summary>
    public SpectrumEffect? FieldLoss { get; init; }
}

/// <summary>Outcome of comparing two conditions.</summary>
public enum VerdictKind
{
    /// <summary>The 95 % simultaneous interval excludes 0.</summary>
    Different,

    /// <summary>Different, yet the 90 % simultaneous interval lies inside the margin.</summary>
    DifferentWithinMargin,

    /// <summary>The 90 % simultaneous interval lies inside the margin.</summary>
    Equivalent,

    /// <summary>The data cannot tell.</summary>
    Unresolved,
}

/// <summary>Two conditions compared in one scope: first minus second, so positive means that the first reduces more.</summary>
/// <param name="Difference">Pointwise estimate.</param>
/// <param name="SimultaneousLow95">Simultaneous 95 % limits, dB.</param>
/// <param name="SimultaneousHigh95">Simultaneous 95 % limits, dB.</param>
/// <param name="SimultaneousLow90">Simultaneous 90 % limits, dB.</param>
/// <param name="SimultaneousHigh90">Simultaneous 90 % limits, dB.</param>
/// <param name="Verdict">The outcome.</param>
/// <param name="ProbabilityPositive">Posterior probability that the difference is above 0.</param>
/// <param name="ProbabilityWithinMargin">Posterior probability that it lies inside the margin.</param>
/// <param name="DependsOnPrior">True when halving or doubling the assumed donning scatter changes the verdict.</param>
/// <param name="Sentence">The verdict in one plain sentence with its interval.</param>
public sealed record PairVerdict(Estimate Difference, double SimultaneousLow95, double SimultaneousHigh95, double SimultaneousLow90,
    double SimultaneousHigh90, VerdictKind Verdict, double ProbabilityPositive, double ProbabilityWithinMargin, bool DependsOnPrior, string Sentence);

/// <summary>Two conditions compared in both scopes, A-weighted.</summary>
/// <param name="First">Identity of the first condition.</param>
/// <param name="Second">Identity of the second.</param>
/// <param name="AsWorn">In the donnings made; null when it cannot be said.</param>
/// <param name="General">Over donnings and flights; null when it cannot be said.</param>
/// <param name="MoreFitsNeeded">Further donnings of each that would settle it at the margin with 80 % power; null when settled or not computable.</param>
public sealed record PairResult(string First, string Second, PairVerdict? AsWorn, PairVerdict? General, int? MoreFitsNeeded)
{
    /// <summary>The comparison in one scope.</summary>
    public PairVerdict? In(EstimateScope scope) => scope == EstimateScope.AsWorn ? AsWorn : General;

    /// <summary>The difference in every band that was read.</summary>
    public IReadOnlyList<BandDifference> Bands { get; init; } = [];

    /// <summary>In which bands they can be told apart, in one plain sentence over all bands at once; null without a trusted band.</summary>
    public string? BandSentence { get; init; }

    /// <summary>What alone the two differ in; null when it is more than one thing.</summary>
    public OnlyDifference? Only { get; init; }

    /// <summary>What that one thing does, in words; null when there is none or it cannot be said.</summary>
    public string? OnlySentence { get; init; }
}

/// <summary>A take as analysed.</summary>
/// <param name="Entry">The take as written.</param>
/// <param name="Used">Whether it entered the estimate.</param>
/// <param name="Clock">Mid time, s since the start of the run; null when there is no clock.</param>
/// <param name="Seconds">Length; null for a hand-noted reading.</param>
/// <param name="LevelA">A-weighted level at the ear, dB re 20 µPa, or re full scale in relative mode.</param>
/// <param name="LevelC">C-weighted level.</param>
/// <param name="Bands">Unweighted band levels.</param>
/// <param name="Findings">What was found in it.</param>
public sealed record TakeResult(TakeEntry Entry, bool Used, double? Clock, double? Seconds, double? LevelA, double? LevelC,
    IReadOnlyDictionary<Band, double> Bands, IReadOnlyList<Problem> Findings)
{
    /// <summary>Why it was not used although the document does not leave it out; null when it was not refused.</summary>
    public string? Refused { get; init; }

    /// <summary>The take without its speech and bursts; null when there are none. The levels above are as heard.</summary>
    public NoiseOnly? NoiseOnly { get; init; }
}

/// <summary>A take with speech and bursts set aside. Nothing is deleted: the estimate uses what was heard, the answer with noise only stands beside it.</summary>
/// <param name="Spans">What was set aside, seconds of the recording.</param>
/// <param name="LevelA">A-weighted level of the rest at the ear, dB.</param>
/// <param name="LevelC">C-weighted level of the rest.</param>
/// <param name="Bands">Unweighted band levels of the rest.</param>
public sealed record NoiseOnly(IReadOnlyList<(double From, double To)> Spans, double? LevelA, double? LevelC, IReadOnlyDictionary<Band, double> Bands);

/// <summary>Level history of one recording of a run, for the figure.</summary>
/// <param name="Run">The run.</param>
/// <param name="Recording">The recording's identity.</param>
/// <param name="StepSeconds">Time between values, s.</param>
/// <param name="StartClock">Clock of the first value's interval, s.</param>
/// <param name="LevelA">A-weighted level of each interval, dB re 20 µPa, or re full scale in relative mode; null for digital silence.</param>
public sealed record RunHistory(string Run, string Recording, double StepSeconds, double StartClock, IReadOnlyList<double?> LevelA);

/// <summary>A channel's calibration as used.</summary>
/// <param name="Channel">The channel's identity.</param>
/// <param name="Absolute">Whether levels are absolute.</param>
/// <param name="FullScaleDecibels">Level of a signal at 0 dB re full scale (mean square 1; a sine that just reaches full scale reads 3.01 dB less), dB re 20 µPa; null when not calibrated.</param>
/// <param name="StandardUncertainty">Of the level, dB; null when not calibrated.</param>
/// <param name="DriftDecibels">After minus before; null when not both were made.</param>
/// <param name="Words">How it was done, in words.</param>
public sealed record ChannelCalibration(string Channel, bool Absolute, double? FullScaleDecibels, double? StandardUncertainty, double? DriftDecibels, string Words);

/// <summary>An input file with its hash.</summary>
public sealed record InputFile(string File, long Bytes, string Sha256);

/// <summary>The method, in words and numbers, as printed.</summary>
/// <param name="Estimator">Name of the estimator.</param>
/// <param name="Priors">Each prior in words.</param>
/// <param name="Settings">Settings by name, in order.</param>
/// <param name="ComponentsGeneral">Posterior mean of each standard deviation, A-weighted, general scope, dB.</param>
public sealed record MethodStatement(string Estimator, IReadOnlyList<string> Priors, IReadOnlyList<KeyValuePair<string, string>> Settings,
    IReadOnlyList<KeyValuePair<string, double>> ComponentsGeneral);

/// <summary>All results of a trial: what report, JSON and page show. Nothing is computed after this.</summary>
public sealed record TrialResults
{
    /// <summary>The trial as written.</summary>
    public required TrialDocument Document { get; init; }

    /// <summary>Whether levels are absolute.</summary>
    public required TrialMode Mode { get; init; }

    /// <summary>Why levels are relative, in words; null in absolute mode.</summary>
    public string? RelativeReason { get; init; }

    /// <summary>Level of the open ear in the trial's mean noise; null in relative mode or without open-ear takes.</summary>
    public SpectrumEffect? OpenEarLevel { get; init; }

    /// <summary>Level of the open ear referred to the field; null where it cannot be.</summary>
    public SpectrumEffect? OpenFieldLevel { get; init; }

    /// <summary>How levels at the ear are referred to the field, or why not.</summary>
    public LevelReference Reference { get; init; } = LevelReference.AsRead;

    /// <summary>What the electronics add in the same donning, by condition; empty where off and on were never read in one donning. In a trial of the active part it stands in
    /// the conditions themselves.</summary>
    public IReadOnlyList<ActivePartResult> ActiveParts { get; init; } = [];

    /// <summary>In a trial of the level difference: the level at the outside microphone in the trial's mean noise; null in relative mode.</summary>
    public OutsideLevel? Outside { get; init; }

    /// <summary>In a trial of the level difference with open-ear takes: open ear minus outside microphone, what separates it from an insertion loss; else null.</summary>
    public SpectrumEffect? OpenTransfer { get; init; }

    /// <summary>The mean open-ear spectrum in the recording's own units (used for shape), by band, dB.</summary>
    public required IReadOnlyDictionary<Band, double> OpenSpectrum { get; init; }

    /// <summary>Conditions, in the document's order.</summary>
    public required IReadOnlyList<ConditionResult> Conditions { get; init; }

    /// <summary>Pairs of the declared family, A-weighted.</summary>
    public required IReadOnlyList<PairResult> Pairs { get; init; }

    /// <summary>Why no insertion loss of this trial may be published, in sentences; empty when nothing stands against it.</summary>
    public IReadOnlyList<string> NotToPublish { get; init; } = [];

    /// <summary>What would change the verdicts.</summary>
    public RobustnessResult Robustness { get; init; } = RobustnessResult.None;

    /// <summary>Published figures held against the measurement; empty when nothing is published.</summary>
    public IReadOnlyList<ClaimResult> Claims { get; init; } = [];

    /// <summary>What the levels mean for a day; null in relative mode.</summary>
    public TrialExposure? Exposure { get; init; }

    /// <summary>Loudness under every measured condition; empty in relative mode.</summary>
    public IReadOnlyList<ConditionLoudness> Loudness { get; init; } = [];

    /// <summary>Whether radio and warnings are heard; null when the document does not ask.</summary>
    public TrialListening? Listening { get; init; }

    /// <summary>What a week means; null in relative mode or when none is stated.</summary>
    public TrialWeek? Week { get; init; }

    /// <summary>C-weighted peaks; null in relative mode or where none were recorded.</summary>
    public TrialPeaks? Peaks { get; init; }

    /// <summary>Measured conditions beside those that published data predict.</summary>
    public IReadOnlyList<PredictedPair> PredictedPairs { get; init; } = [];

    /// <summary>The losses carried to other cabins, in the document's order; empty when none is named.</summary>
    public IReadOnlyList<CabinResult> Cabins { get; init; } = [];

    /// <summary>Which bands carry the level at the ear; empty without enough bands.</summary>
    public IReadOnlyList<EnergyShareResult> Shares { get; init; } = [];

    /// <summary>The A-weighted answers without any assumed scatter; null where the design does not allow them.</summary>
    public PriorFreeResult? PriorFree { get; init; }

    /// <summary>Every take.</summary>
    public required IReadOnlyList<TakeResult> Takes { get; init; }

    /// <summary>Level history of every run with recordings.</summary>
    public required IReadOnlyList<RunHistory> Histories { get; init; }

    /// <summary>Calibration per channel.</summary>
    public required IReadOnlyList<ChannelCalibration> Calibrations { get; init; }

    /// <summary>Input files with hashes, the document first.</summary>
    public required IReadOnlyList<InputFile> Inputs { get; init; }

    /// <summary>The method.</summary>
    public required MethodStatement Method { get; init; }

    /// <summary>All problems, the document's first.</summary>
    public required IReadOnlyList<Problem> Problems { get; init; }

    /// <summary>The answer in one plain sentence with its interval.</summary>
    public required string Headline { get; init; }

    /// <summary>Version of the program.</summary>
    public required string Version { get; init; }
}
