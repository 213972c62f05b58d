using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;

namespace Hushtrial.Trials.Screening;

/// <summary>The noise of another cabin as known: typed, or measured from a span of a recording.</summary>
/// <param name="Spectrum">Unweighted levels, dB re 20 µPa, or re full scale; null when they could not be measured.</param>
/// <param name="Absolute">Whether they are sound pressure levels.</param>
/// <param name="Uncertainty">Standard uncertainty of the levels, dB, the same for all bands; null when not stated.</param>
/// <param name="Basis">How they are known, in words; why not, where there is no spectrum.</param>
public sealed record CabinSpectrum(Spectrum? Spectrum, bool Absolute, double? Uncertainty, string Basis);

/// <summary>The noises of the other cabins that a trial's document names.</summary>
public static class CabinSpectra
{
    /// <summary>By identity of the cabin.</summary>
    /// <param name="inputs">The document and its opened recordings.</param>
    /// <param name="calibrations">The channels' calibrations.</param>
    public static IReadOnlyDictionary<string, CabinSpectrum> Of(TrialInputs inputs, ChannelCalibrations calibrations) =>
        inputs.Document.Cabins.ToDictionary(c => c.Id, c => c.Typed is { } typed
            ? new CabinSpectrum(typed, true, c.Uncertainty, c.Source is { } source ? $"typed levels: {source}" : "typed levels; their source is not stated")
            : Recorded(c, inputs, calibrations), StringComparer.Ordinal);

    private static CabinSpectrum Recorded(Document.CabinEntry cabin, TrialInputs inputs, ChannelCalibrations calibrations)
    {
        var channel = cabin.Channel is { } named ? inputs.Document.Channels.First(c => c.Id == named)
            : inputs.Document.Recordings.FirstOrDefault(r => r.Id == cabin.Recording) is { } entry ? inputs.Document.ChannelsOf(entry).MaxBy(c => c.Outside) : null;
        if (channel is not null && inputs.Kept.TryGetValue(cabin.Recording!, out var kept))
            return kept.Span(channel.Number, cabin.From ?? 0, cabin.To ?? kept.Seconds) is { } there ? Recorded(cabin, channel, calibrations, at => there.With(at)) : new(null, false, null, $"the sound of '{cabin.Recording}' was discarded, and no levels of this span were kept");
        if (channel is null || !inputs.Recordings.TryGetValue(cabin.Recording!, out var recording) || recording.Samples is not { } samples || channel.Number > samples.Channels)
            return new(null, false, null, $"the recording '{cabin.Recording}' could not be read");
        var first = (long)Math.Round((cabin.From ?? 0) * samples.SampleRate);
        var last = (long)Math.Round((cabin.To ?? recording.Duration.TotalSeconds) * samples.SampleRate);
        if (last > samples.Frames || last - first < samples.SampleRate) return new(null, false, null, $"the span lies outside '{cabin.Recording}', or is shorter than a second");
        var span = LevelAnalysis.Measure(samples, channel.Number - 1, first, last - first, new LevelSettings { Octaves = false });
        return Recorded(cabin, channel, calibrations, at => TakeMeasurement.Levels(channel.Id, span, at));
    }

    private static CabinSpectrum Recorded(Document.CabinEntry cabin, Document.ChannelEntry channel, ChannelCalibrations calibrations, Func<double, ChannelLevels> read)
    {
        var calibration = calibrations.ByChannel[channel.Id];
        var levels = read(calibration.IsUsable ? calibration.FullScale!.Value.Decibels : 0);
        return levels.Bands.Count == 0 ? new(null, false, null, $"'{cabin.Recording}' holds no sound there")
            : new(Spectrum.Of(levels.Bands.Select(b => KeyValuePair.Create(b.Key, Level.FromDecibels(b.Value)))), calibration.IsUsable,
                cabin.Uncertainty ?? (calibration.IsUsable ? calibration.StandardUncertainty.Decibels : null), $"recorded: {cabin.Recording}, channel {channel.Id}{(channel.Outside ? ", outside" : ", at the open ear")}");
    }
}
