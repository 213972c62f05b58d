using Hushtrial.Quantities;
using Hushtrial.Signals.Calibration;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store;
using Hushtrial.Store.Library;
using Hushtrial.Trials;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Planning;
using Hushtrial.Trials.Screening;
using Hushtrial.Web.Recordings;

namespace Hushtrial.Web.Work;

/// <summary>What the checks on the ground have shown of one microphone.</summary>
/// <param name="Channel">The channel.</param>
/// <param name="Calibration">Its calibration; <see cref="Calibration.None"/> where there is none yet.</param>
/// <param name="Ceiling">What it can hold beside the cabin; null without a calibration or a cabin.</param>
/// <param name="OwnNoise">Its own noise; null where it was not recorded.</param>
/// <param name="Floor">What the own noise lets be measured; empty without calibration, own noise or cabin.</param>
/// <param name="Before">The two tones before the flight; null where they were not recorded.</param>
/// <param name="After">The two tones after it.</param>
public sealed record GroundChannel(ChannelEntry Channel, Calibration Calibration, Ceiling? Ceiling, ChannelLevels? OwnNoise, IReadOnlyList<FloorBand> Floor, TwoTones? Before, TwoTones? After);

/// <summary>The state of the checks before flight.</summary>
/// <param name="Cabin">The loudest cabin that the trial names with band levels; null without one.</param>
/// <param name="Channels">The microphones at the ear, and the one outside.</param>
public sealed record GroundState(CabinEntry? Cabin, IReadOnlyList<GroundChannel> Channels)
{
    /// <summary>First part of the name of a recording of the lower tone.</summary>
    public const string Lower = "tone-low";

    /// <summary>First part of the name of a recording of the higher tone.</summary>
    public const string Higher = "tone-high";

    /// <summary>Seconds at both ends of a recording of a tone that are not read.</summary>
    public const double LeftOut = 2;

    /// <summary>Reads the state of a trial.</summary>
    internal static GroundState Of(StoredTrial trial, CalibrationDesk calibrations, Shelf shelf)
    {
        var document = SoundPart.Of(trial.Draft);
        var made = calibrations.Of(trial);
        using var loan = shelf.Take(trial);
        var recordings = document.Recordings.Select(r => (r.Id, loan.Find(r.Id)?.Recording)).Where(r => r.Recording is not null).ToDictionary(r => r.Id, r => r.Recording!, StringComparer.Ordinal);
        var fullScale = document.Channels.ToDictionary(c => c.Id, c => made.FullScale(c.Id) ?? 0, StringComparer.Ordinal);
        var floors = NoiseFloors.Measure(new TrialInputs(document, recordings, [], [], ProductVersion.Text), fullScale);
        var cabin = document.Cabins.Where(c => c.Typed is not null).MaxBy(c => c.Typed!.Total(FrequencyWeighting.A));
        return new(cabin, [.. document.Channels.OrderBy(c => c.Outside).Select(c =>
        {
            var calibration = made.ByChannel.GetValueOrDefault(c.Id) ?? Calibration.None;
            var usable = calibration.IsUsable;
            var noise = floors.GetValueOrDefault(c.Id);
            var hertz = document.Calibrations.LastOrDefault(x => x.Channel == c.Id && x.FrequencyHertz is not null)?.FrequencyHertz ?? 1000;
            TwoTones? Tones(string when) => Newest($"{Lower}-{when}") is { } low && Newest($"{Higher}-{when}") is { } high && c.Number <= low.Channels && c.Number <= high.Channels
                ? BeforeFlight.TwoTonesOf(low, high, c.Number - 1, Frequency.FromHertz(hertz), LeftOut) : null;
            return new GroundChannel(c, calibration, usable && cabin?.Typed is { } loud ? BeforeFlight.CeilingOf(calibration.FullScale!.Value, loud) : null, noise,
                usable && noise is not null && cabin?.Typed is { } spectrum ? BeforeFlight.FloorOf(noise, spectrum) : [], Tones("before"), Tones("after"));
        })]);

        Recording? Newest(string name) => document.Recordings.LastOrDefault(r => r.Id.StartsWith(name, StringComparison.Ordinal)) is { } entry ? recordings.GetValueOrDefault(entry.Id) : null;
    }
}
