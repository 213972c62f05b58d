using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Results;

/// <summary>One condition carried to another cabin. Losses and levels are those of the whole noise, never measured there.</summary>
/// <param name="Condition">Identity of the condition.</param>
/// <param name="Name">Its name for readers.</param>
/// <param name="Predicted">True when even the band losses are published ones and not measured.</param>
/// <param name="LossA">A-weighted loss; null when it cannot be said.</param>
/// <param name="LossC">C-weighted loss; null when it cannot be said.</param>
/// <param name="EarLevelA">A-weighted level at the ear; null in relative mode or when it cannot be said.</param>
/// <param name="EarLevelC">C-weighted level at the ear.</param>
/// <param name="AtLeast">Whether the loss is a lower bound, because own noise was reached in bands that matter there.</param>
/// <param name="UnknownShare">Share of that noise's A-weighted energy that lies in bands without a trusted loss, 0…1.</param>
/// <param name="WhyNot">Why nothing is said; null when something is.</param>
/// <param name="Donnings">A-weighted loss there of every donning's own band losses, dB.</param>
/// <param name="Left">Share of the A-weighted energy left, by octave; empty when nothing is said.</param>
/// <param name="Remarks">What has to be read with it.</param>
public sealed record CarriedCondition(string Condition, string Name, bool Predicted, Effect? LossA, Effect? LossC, Effect? EarLevelA, Effect? EarLevelC, bool AtLeast, double UnknownShare,
    string? WhyNot, IReadOnlyList<double> Donnings, IReadOnlyDictionary<Band, double> Left, IReadOnlyList<string> Remarks);

/// <summary>What the band losses of a trial give in the noise of another cabin.</summary>
/// <param name="Cabin">The cabin as written.</param>
/// <param name="Basis">How its noise is known, in words.</param>
/// <param name="Spectrum">Its levels; null when they could not be measured.</param>
/// <param name="LevelA">Its A-weighted level, dB re 20 µPa; null in relative mode.</param>
/// <param name="LevelC">Its C-weighted level.</param>
/// <param name="Conditions">In the document's order.</param>
/// <param name="Sentence">The answer in plain words.</param>
/// <param name="Cautions">What was not measured, in plain words.</param>
public sealed record CabinResult(CabinEntry Cabin, string Basis, Spectrum? Spectrum, double? LevelA, double? LevelC, IReadOnlyList<CarriedCondition> Conditions, string Sentence,
    IReadOnlyList<string> Cautions);

/// <summary>Which bands carry what is left at the ear under one condition.</summary>
/// <param name="Condition">Identity of the condition, or 'open'.</param>
/// <param name="Name">Its name for readers.</param>
/// <param name="ByBand">Share of the A-weighted energy by band, as measured.</param>
/// <param name="ByOctave">The same gathered into octaves.</param>
/// <param name="Leading">The octave that carries most.</param>
/// <param name="MostDecibels">How much quieter, A-weighted, it would be without that octave, dB: what a better device can gain there at most.</param>
/// <param name="Sentence">In plain words.</param>
public sealed record EnergyShareResult(string Condition, string Name, IReadOnlyDictionary<Band, double> ByBand, IReadOnlyDictionary<Band, double> ByOctave, Band Leading, double MostDecibels, string Sentence);
