using Hushtrial.Quantities;
using Hushtrial.Signals.Calibration;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store;
using Hushtrial.Store.Library;
using Hushtrial.Trials;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Planning;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;
using Hushtrial.Web.Capturing;
using Hushtrial.Web.Recordings;

namespace Hushtrial.Web.Work;

/// <summary>A noise that microphones are held against: a cabin that the trial names, or its own open ear.</summary>
/// <param name="Name">The cabin's name, or the identity of the take.</param>
/// <param name="Own">Whether it was read at this trial's own open ear.</param>
/// <param name="Levels">Band levels, unweighted.</param>
/// <param name="Peak">Highest peak read at the open ear, dB(C); null for a cabin that is named, and where none was read.</param>
public sealed record GroundNoise(string Name, bool Own, Spectrum Levels, double? Peak);

/// <summary>A microphone beside one noise.</summary>
/// <param name="Noise">The noise.</param>
/// <param name="Ceiling">What the microphone can hold beside it.</param>
/// <param name="Floor">What its own noise lets be measured; empty where that was not recorded.</param>
public sealed record GroundAgainst(GroundNoise Noise, Ceiling Ceiling, IReadOnlyList<FloorBand> Floor);

/// <summary>What the checks on the ground have shown of one microphone.</summary>
/// <param name="Channel">The channel.</param>
/// <param name="Calibration">Its calibration; <see cref="Calibration.None"/> where there is none yet.</param>
/// <param name="OwnNoise">Its own noise; null where it was not recorded.</param>
/// <param name="Against">What it can hold and hear of each noise; empty without a calibration.</param>
/// <param name="Before">The two tones before the flight; null where they were not recorded.</param>
/// <param name="After">The two tones after it.</param>
public sealed record GroundChannel(ChannelEntry Channel, Calibration Calibration, ChannelLevels? OwnNoise, IReadOnlyList<GroundAgainst> Against, TwoTones? Before, TwoTones? After);

/// <summary>The state of the checks before flight.</summary>
/// <param name="Noises">The loudest cabin that the trial names with band levels, and the loudest of its own open-ear takes, as far as there are.</param>
/// <param name="OpenEar">What the bare ear may have at the level of its own takes, or at the stated one, before any of it is used.</param>
/// <param name="Channels">The microphones at the ear, and the one outside.</param>
public sealed record GroundState(IReadOnlyList<GroundNoise> Noises, OpenEarSoFar OpenEar, IReadOnlyList<GroundChannel> Channels)
{
    /// <summary>First part of the name of a recording of the lower tone.</summary>
    public const string Lower = "tone-low";

    /// <summary>First part of the name of a recording of the higher tone.</summary>
    public const string Higher = "tone-high";

    /// <summary>Seconds at both ends of a recording of a tone that are not read.</summary>
    public const double LeftOut = 2;

    /// <summary>Reads the state of a trial.</summary>
    /// <param name="trial">The trial.</param>
    /// <param name="results">Results of this very revision; null while there are none.</param>
    /// <param name="calibrations">Calibrations as made.</param>
    /// <param name="shelf">The recordings.</param>
    internal static GroundState Of(StoredTrial trial, TrialResults? results, CalibrationDesk calibrations, Shelf shelf)
    {
        var document = SoundPart.Of(trial.Draft);
        var made = calibrations.Of(trial);
        using var loan = shelf.Take(trial);
        var recordings = document.Recordings.Select(r => (r.Id, loan.Find(r.Id)?.Recording)).Where(r => r.Recording is not null).ToDictionary(r => r.Id, r => r.Recording!, StringComparer.Ordinal);
        var fullScale = document.Channels.ToDictionary(c => c.Id, c => made.FullScale(c.Id) ?? 0, StringComparer.Ordinal);
        var floors = NoiseFloors.Measure(new TrialInputs(document, recordings, [], [], ProductVersion.Text), fullScale);
        var own = OwnOpenEar.Of(results);
        var noises = new[] { document.Cabins.Where(c => c.Typed is not null).MaxBy(c => c.Typed!.Total(FrequencyWeighting.A)) is { } loudest ? new GroundNoise(loudest.Name, false, loudest.Typed!, null) : null, own }.OfType<GroundNoise>().ToList();
        return new(noises, OpenEarRules.Of(trial.Draft.Read().Document ?? document, null, own?.Levels.Total(FrequencyWeighting.A).Decibels, TimeSpan.Zero), [.. document.Channels.OrderBy(c => c.Outside).Select(c =>
        {
            var calibration = made.ByChannel.GetValueOrDefault(c.Id) ?? Calibration.None;
            var noise = floors.GetValueOrDefault(c.Id);
            var hertz = document.Calibrations.LastOrDefault(x => x.Channel == c.Id && x.FrequencyHertz is not null)?.FrequencyHertz ?? 1000;
            TwoTones? Tones(string when) => Newest($"{Lower}-{when}") is { } low && Newest($"{Higher}-{when}") is { } high && c.Number <= low.Channels && c.Number <= high.Channels
                ? BeforeFlight.TwoTonesOf(low, high, c.Number - 1, Frequency.FromHertz(hertz), LeftOut) : null;
            return new GroundChannel(c, calibration, noise, calibration is { IsUsable: true, FullScale: { } full } ? [.. noises.Select(n => Held(n, full, noise))] : [], Tones("before"), Tones("after"));
        })]);

        Recording? Newest(string name) => document.Recordings.LastOrDefault(r => r.Id.StartsWith(name, StringComparison.Ordinal)) is { } entry ? recordings.GetValueOrDefault(entry.Id) : null;
    }

    private static GroundAgainst Held(GroundNoise noise, Level fullScale, ChannelLevels? own) =>
        new(noise, noise.Peak is { } peak ? BeforeFlight.CeilingOf(fullScale, peak) : BeforeFlight.CeilingOf(fullScale, noise.Levels), own is null ? [] : BeforeFlight.FloorOf(own, noise.Levels));
}
