using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;
using static System.FormattableString;

namespace Hushtrial.Trials.Listening;

/// <summary>A device's own hiss from a quiet room with the electronics on and off, against the threshold of hearing.</summary>
/// <remarks>Threshold: ISO 389-7:2005 with Amd 1:2016, diffuse field, at the midband of each one-third octave (common practice for a noise band). Hiss is found where
/// on stands at least 3 dB over off, the gap that the rule of own noise asks for; elsewhere the room or the microphone hides it, and it is at most the level with the electronics on.</remarks>
internal static class QuietHiss
{
    private const double LeastGap = 3;

    /// <summary>The answer for one pair.</summary>
    /// <param name="quiet">The measured pair.</param>
    /// <param name="name">Name of the condition for readers.</param>
    /// <param name="ownNoise">The microphones' own noise by channel.</param>
    /// <param name="absolute">Whether levels are re 20 µPa.</param>
    public static HissAnswer Of(QuietLevels quiet, string name, IReadOnlyDictionary<string, ChannelLevels> ownNoise, bool absolute)
    {
        // Below 100 Hz a quiet room is never quiet, above 10 kHz thresholds scatter too much to judge by.
        var bands = quiet.On.Keys.Where(b => b.ExactMidband.Hertz is > 95 and < 10_500 && quiet.Off.ContainsKey(b)).Order()
            .Select(b => BandOf(b, quiet.On[b], quiet.Off[b], ownNoise, absolute)).ToList();
        var found = bands.Where(b => b.Hiss is not null).ToList();
        var verdict = Verdict(bands, absolute);
        double? levelA = absolute && found.Count > 0
            ? Level.EnergySum([.. found.Select(b => Level.FromDecibels(b.Hiss!.Value) + Weightings.At(FrequencyWeighting.A, b.Band.ExactMidband))]).Decibels : null;
        return new(quiet.Condition, name, absolute ? bands : [.. bands.Select(b => b with { On = null, Off = null, Hiss = null, Threshold = null })], verdict, levelA, Sentence(name, bands, verdict, levelA));
    }

    private static HissBand BandOf(Band band, double on, double off, IReadOnlyDictionary<string, ChannelLevels> ownNoise, bool absolute)
    {
        var gap = on - off;
        double? hiss = gap >= LeastGap ? 10 * Math.Log10(Math.Pow(10, on / 10) - Math.Pow(10, off / 10)) : null;
        var floor = ownNoise.Values.Select(n => n.Bands.TryGetValue(band, out var l) ? l : (double?)null).Max();
        var by = hiss is not null ? null : floor is { } f && off - f < LeastGap ? "the microphone’s own noise" : "the noise of the room";
        return new(band, on, off, hiss, absolute ? HearingThreshold.At(band.ExactMidband, SoundField.Diffuse).Decibels : null, gap, by);
    }

    private static HissVerdict Verdict(List<HissBand> bands, bool absolute)
    {
        if (!absolute) return HissVerdict.RelativeOnly;
        if (bands.Any(b => b.Hiss > b.Threshold)) return HissVerdict.Heard;
        return bands.Any(b => b.Hiss is null && b.On > b.Threshold) ? HissVerdict.Hidden : HissVerdict.NotHeard;
    }

    private static string Sentence(string name, List<HissBand> bands, HissVerdict verdict, double? levelA)
    {
        var hidden = bands.Where(b => b.Hiss is null && (verdict == HissVerdict.RelativeOnly || b.On > b.Threshold)).ToList();
        var behind = hidden.Count == 0 ? "" : Invariant($" In {hidden.Count} of {bands.Count} bands {string.Join(" or ", hidden.Select(b => b.HiddenBy!).Distinct(StringComparer.Ordinal))} hides what there may be.");
        switch (verdict)
        {
            case HissVerdict.Heard:
                var loudest = bands.Where(b => b.Hiss is not null).MaxBy(b => b.Hiss!.Value - b.Threshold!.Value)!;
                return Invariant($"{name}: its hiss is heard in a quiet room, {loudest.Hiss - loudest.Threshold:0} dB over the threshold of hearing at {loudest.Band}; about {levelA:0} dB(A) in the bands where it was found.") + behind;
            case HissVerdict.NotHeard:
                return $"{name}: no hiss over the threshold of hearing was found in a quiet room.";
            case HissVerdict.Hidden:
                return $"{name}: whether its hiss is heard in a quiet room cannot be said." + behind + " A quieter room or a quieter microphone would tell.";
            default:
                var most = bands.Count == 0 ? null : bands.MaxBy(b => b.Rise);
                return most is null || most.Rise < LeastGap ? $"{name}: switching the electronics on raised no band by 3 dB or more; without a calibration nothing is said of the threshold of hearing."
                    : Invariant($"{name}: switching the electronics on raises the band at {most.Band} by {most.Rise:0} dB in a quiet room; without a calibration it cannot be said whether that is heard.");
        }
    }
}
