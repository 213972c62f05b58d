using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>The noise of another cabin, to which measured losses are carried: typed levels, or a span of one of the trial's recordings.</summary>
/// <param name="Id">Identity.</param>
/// <param name="Name">Name for readers.</param>
/// <param name="Source">Where the levels come from, as written; null when not stated.</param>
/// <param name="Levels">Unweighted band levels, dB re 20 µPa, rising, all octaves or all one-third octaves; empty for a recording.</param>
/// <param name="LevelA">A-weighted level as stated beside the bands, dB; null when not stated. It only checks the bands.</param>
/// <param name="LevelC">C-weighted level as stated; null when not stated.</param>
/// <param name="Uncertainty">Standard uncertainty of these levels, dB, the same for all bands; null when not stated.</param>
/// <param name="Recording">Recording (identity) that holds the noise; null for typed levels.</param>
/// <param name="Channel">Channel (identity) of it; null for the outside microphone or, without one, the first at the ear.</param>
/// <param name="From">Start of the span, s; null for the start of the recording.</param>
/// <param name="To">End of the span, s; null for its end.</param>
public sealed record CabinEntry(string Id, string Name, string? Source, IReadOnlyList<KeyValuePair<Band, double>> Levels, double? LevelA, double? LevelC, double? Uncertainty,
    string? Recording, string? Channel, double? From, double? To)
{
    /// <summary>The typed levels as a spectrum; null for a recording.</summary>
    public Spectrum? Typed => Levels.Count == 0 ? null : Spectrum.Of(Levels.Select(l => KeyValuePair.Create(l.Key, Level.FromDecibels(l.Value))));
}
