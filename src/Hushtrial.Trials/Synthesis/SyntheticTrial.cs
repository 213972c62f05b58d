using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Synthesis;

/// <summary>A trial made from a stated truth: its document, its recordings and the truth beside them.</summary>
/// <param name="Document">The trial document.</param>
/// <param name="Recordings">The recordings; empty for noted readings.</param>
/// <param name="Truth">What was put in.</param>
public sealed record SyntheticTrial(TrialDocument Document, IReadOnlyList<SyntheticRecording> Recordings, TrialTruth Truth);

/// <summary>A recording that can be rendered, always to the same samples.</summary>
/// <param name="File">File name relative to the trial's folder.</param>
/// <param name="SampleRate">Hz.</param>
/// <param name="Frames">Number of samples; one channel.</param>
/// <param name="Render">Gives all samples in order to a receiver of blocks.</param>
public sealed record SyntheticRecording(string File, int SampleRate, long Frames, Action<BlockReceiver> Render);

/// <summary>Receives a block of samples, full scale = ±1.</summary>
public delegate void BlockReceiver(ReadOnlySpan<double> samples);

/// <summary>The truth of a made trial.</summary>
/// <param name="Scenario">Name of the scenario.</param>
/// <param name="Seed">The seed that gives the same trial again.</param>
/// <param name="OpenLevelA">A-weighted level of the cabin at the open ear, dB.</param>
/// <param name="OpenLevelC">C-weighted level, dB.</param>
/// <param name="Conditions">By identity.</param>
public sealed record TrialTruth(string Scenario, ulong Seed, double OpenLevelA, double? OpenLevelC, IReadOnlyDictionary<string, ConditionTruth> Conditions)
{
    /// <summary>What should be heard; null when the trial does not ask.</summary>
    public ListeningTruth? Listening { get; init; }

    /// <summary>What the same devices, put on the same ways, really lose in other cabins, by identity of the cabin.</summary>
    public IReadOnlyDictionary<string, CabinTruth> Cabins { get; init; } = new Dictionary<string, CabinTruth>(StringComparer.Ordinal);
}

/// <summary>The truth in another cabin.</summary>
/// <param name="LevelA">A-weighted level outside, dB.</param>
/// <param name="Conditions">By identity.</param>
public sealed record CabinTruth(double LevelA, IReadOnlyDictionary<string, ConditionTruth> Conditions);

/// <summary>What should be heard in a made trial.</summary>
/// <param name="SpeechLevelA">A-weighted level of the radio at the ear, dB.</param>
/// <param name="SpeechIndex">Speech intelligibility index by condition, 'open' among them, over the true noise in general.</param>
/// <param name="WarningExcess">Excess of the warning over the masked threshold in its best band by condition, dB.</param>
/// <param name="Hiss">Band levels of the hiss that was put in, dB.</param>
/// <param name="TalkShare">Share of the time with radio in the take that has it on, 0…1.</param>
/// <param name="RadioAdds">What the radio adds to the A-weighted level there, dB.</param>
public sealed record ListeningTruth(double SpeechLevelA, IReadOnlyDictionary<string, double> SpeechIndex, IReadOnlyDictionary<string, double> WarningExcess, IReadOnlyDictionary<Band, double> Hiss,
    double TalkShare, double RadioAdds);

/// <summary>The truth of one condition, in dB.</summary>
/// <param name="GeneralA">A-weighted loss, mean over all donnings that could be made.</param>
/// <param name="GeneralC">C-weighted loss, likewise.</param>
/// <param name="GeneralBands">Loss per one-third octave, likewise.</param>
/// <param name="AsWornA">A-weighted loss, mean over the donnings that were made.</param>
/// <param name="AsWornC">C-weighted loss, likewise.</param>
/// <param name="AsWornBands">Loss per one-third octave, likewise.</param>
public sealed record ConditionTruth(double GeneralA, double? GeneralC, IReadOnlyDictionary<Band, double> GeneralBands,
    double AsWornA, double? AsWornC, IReadOnlyDictionary<Band, double> AsWornBands);
