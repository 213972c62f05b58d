using Hushtrial.Hearing.EarTransfer;
using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Pairing;

/// <summary>Where the way from the ear back to the field is known from.</summary>
public enum FieldSource
{
    /// <summary>Not known: levels are as read at the microphone.</summary>
    None,

    /// <summary>A published column for the microphone's place.</summary>
    Published,

    /// <summary>The trial's own open ear minus its outside microphone.</summary>
    OwnOpenEar,
}

/// <summary>The transfer from the diffuse field to the ear microphone: what has to come off a level at the open ear to make it one of the field without the head.</summary>
/// <param name="Source">Where it is known from.</param>
/// <param name="Words">The same in words, or why it is not known; for figures and tables.</param>
/// <param name="Values">By band, dB, one-third octaves and octaves; empty when not known.</param>
/// <remarks>Limits of exposure and the A-weighting are meant for the field (ISO 11904-1:2002). A device worn does not change what is referred: the level at the ear under it
/// is the level of that field which would be as loud at the open ear.</remarks>
public sealed record FieldTransfer(FieldSource Source, string Words, IReadOnlyDictionary<Band, double> Values)
{
    // A few bands are no spectrum: what is missing could hold most of the energy.
    private const double LowestNeeded = 80, HighestNeeded = 4000;

    /// <summary>Not known, with the reason.</summary>
    public static FieldTransfer Unknown(string why) => new(FieldSource.None, why, new Dictionary<Band, double>());

    /// <summary>The transfer of a trial.</summary>
    /// <param name="document">The trial; it says where the ear microphone sat.</param>
    /// <param name="takes">Its takes, for the open ear and the microphone outside at the same time.</param>
    /// <param name="absolute">Whether the channels are calibrated.</param>
    public static FieldTransfer Of(TrialDocument document, IReadOnlyList<TakeLevels> takes, bool absolute)
    {
        if (document.MicrophoneAt is not { } place) return Unknown(PlaceInWords(document)
            ? "as read at the microphone: the trial document gives its place in words only, and ‘microphone_at’ is what the conversion needs"
            : "as read at the microphone: the trial document does not say where at the ear it sat");
        if (EarTransferFunction.Published(place, SoundField.Diffuse) is { } published)
            return new(FieldSource.Published, $"referred to the diffuse field by {published.Source}", Known(published));
        if (place == EarMicrophone.UnderCup) return Unknown("as read under the cup: away from the ear there is no way back to the field");
        var why = $"no published column was at hand for {PlaceWords(place)}";
        var open = takes.Where(t => t.Used && t.Entry.Condition == TrialDocument.OpenEar && t.Outside is not null).ToList();
        if (!absolute || open.Count == 0) return Unknown($"as read at {PlaceWords(place)}: {why}, and the trial has no open ear beside a calibrated microphone outside to take it from");
        var values = new Dictionary<Band, double>();
        foreach (var band in open[0].Ears[0].Bands.Keys.Where(b => open.All(t => t.Outside!.Bands.ContainsKey(b) && t.Ears.All(e => e.Bands.ContainsKey(b)))))
            values[band] = open.Average(t => t.Ears.Average(e => e.Bands[band]) - t.Outside!.Bands[band]);
        return new(FieldSource.OwnOpenEar, $"referred to the field at the outside microphone by the trial’s own open ear ({why})", values);
    }

    /// <summary>Whether an ear microphone's place is given in words, which nothing can be reckoned from.</summary>
    public static bool PlaceInWords(TrialDocument document) => document.MicrophoneAt is null
        && document.Channels.Any(c => !c.Outside && c.Details.Any(d => d.Key is "position" or "place" && !string.IsNullOrWhiteSpace(d.Value)));

    /// <summary>What a weighted level changes by when its bands are referred to the field, dB; null when the bands do not cover the sound.</summary>
    /// <param name="bands">Band levels at the ear, dB.</param>
    /// <param name="weighting">A or C.</param>
    public double? Shift(IReadOnlyDictionary<Band, double> bands, FrequencyWeighting weighting)
    {
        foreach (var fraction in new[] { BandFraction.ThirdOctave, BandFraction.Octave })
        {
            var known = bands.Where(b => b.Key.Fraction == fraction && Values.ContainsKey(b.Key)).ToList();
            if (known.Count == 0 || known.Min(b => b.Key.NominalHertz) > LowestNeeded || known.Max(b => b.Key.NominalHertz) < HighestNeeded) continue;
            double read = 0, field = 0;
            foreach (var (band, level) in known)
            {
                var weighted = level + Weightings.At(weighting, band.ExactMidband).Decibels;
                read += Math.Pow(10, weighted / 10);
                field += Math.Pow(10, (weighted - Values[band]) / 10);
            }
            return 10 * Math.Log10(field / read);
        }
        return null;
    }

    /// <summary>Standard uncertainty of the transfer in one band, dB (common practice, no source): how one ear differs from the mean of many, or how the outside microphone's
    /// place and response differ from the field.</summary>
    public double StandardUncertainty(Band band) => Source == FieldSource.Published ? band.ExactMidband.Hertz switch { < 1000 => 0.5, <= 4000 => 1.5, _ => 3 }
        : band.ExactMidband.Hertz switch { < 1000 => 0.7, <= 4000 => 1, _ => 2 };

    /// <summary>A place of the microphone, in words.</summary>
    public static string PlaceWords(EarMicrophone place) => place switch
    {
        EarMicrophone.Eardrum => "the eardrum",
        EarMicrophone.OpenCanalEntrance => "the entrance of the open ear canal",
        EarMicrophone.BlockedCanalEntrance => "the entrance of the blocked ear canal",
        EarMicrophone.Concha => "the concha",
        _ => "a place under the cup",
    };

    private static Dictionary<Band, double> Known(EarTransferFunction function)
    {
        var octaves = function.ToOctaves();
        return function.Bands.Select(b => (Band: b, Value: function[b]!.Value)).Concat(octaves.Bands.Select(b => (Band: b, Value: octaves[b]!.Value))).ToDictionary(v => v.Band, v => v.Value.Decibels);
    }
}
