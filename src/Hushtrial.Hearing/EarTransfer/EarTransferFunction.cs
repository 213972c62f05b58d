using Hushtrial.Hearing.Loudness;
using Hushtrial.Quantities;

namespace Hushtrial.Hearing.EarTransfer;

/// <summary>Levels at an ear microphone brought back to the field without the listener.</summary>
/// <param name="Levels">The field-related levels.</param>
/// <param name="Dropped">Bands left out because the transfer function has no value there.</param>
public sealed record FieldRelatedSpectrum(Spectrum Levels, IReadOnlyList<Band> Dropped);

/// <summary>The transfer function of the open ear: level at the microphone minus level of the undisturbed field, by band.</summary>
/// <remarks>Source: ISO 11904-1:2002, clause 4. Limits and A-weighting are meant for the field: raw in-canal levels count the ear's gain near 3 kHz as
/// noise, and a raw in-canal difference in dB(A) flatters every device.</remarks>
public sealed class EarTransferFunction
{
    private static readonly double[] _hertz = [200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000, 12500];
    private static readonly double[] _free = [0.6, 0.8, 1.1, 1.5, 2.0, 2.3, 3.1, 2.7, 2.9, 5.8, 12.4, 15.7, 14.9, 13.2, 8.9, 3.1, -1.4, -3.8, -0.1];
    private static readonly double[] _diffuse = [0.6, 0.8, 1.1, 1.5, 2.1, 2.8, 3.3, 4.1, 5.5, 7.7, 11.0, 15.3, 15.7, 12.9, 10.6, 9.4, 9.5, 6.8, 3.8];

    private readonly Dictionary<Band, LevelDifference> _values;

    private EarTransferFunction(IEnumerable<KeyValuePair<Band, LevelDifference>> values, string source) =>
        (_values, Source) = (new(values), source);

    /// <summary>Where the values come from, in words.</summary>
    public string Source { get; }

    /// <summary>The bands that have a value.</summary>
    public IReadOnlyCollection<Band> Bands => _values.Keys;

    /// <summary>The value of a band, or null.</summary>
    public LevelDifference? this[Band band] => _values.TryGetValue(band, out var value) ? value : null;

    /// <summary>The published one-third-octave function, or null where no published column is at hand (every place but the eardrum).</summary>
    /// <remarks>ISO 11904-1:2002, 200 Hz to 12.5 kHz, as carried by a university audiology laboratory. Below 200 Hz no value was found: the function
    /// is taken to fall to 0 dB at 100 Hz and below, where the head is small against the wave (own assumption; the table's own value at 200 Hz is 0.6 dB).</remarks>
    public static EarTransferFunction? Published(EarMicrophone microphone, SoundField field)
    {
        if (microphone != EarMicrophone.Eardrum) return null;
        var column = field == SoundField.Free ? _free : _diffuse;
        return new(Band.ThirdOctaves.Where(b => b.NominalHertz <= _hertz[^1]).Select(b => KeyValuePair.Create(b, LevelDifference.FromDecibels(b.NominalHertz switch
        {
            <= 100 => 0,
            < 200 => column[0] * Math.Log2(b.NominalHertz / 100),
            var f => column[Array.IndexOf(_hertz, f)],
        }))), $"ISO 11904-1:2002, open ear at the eardrum, {(field == SoundField.Free ? "frontal free field" : "diffuse field")}");
    }

    /// <summary>Why there is no published function for a place, and what to do; null when there is one.</summary>
    public static string? WhyNotPublished(EarMicrophone microphone) => microphone switch
    {
        EarMicrophone.Eardrum => null,
        EarMicrophone.UnderCup => "A microphone under the cup but away from the ear has no open-ear transfer function; only levels at the ear can be referred to the field.",
        _ => "ISO 11904-1 has columns for the canal entrance, but they were not at hand. Measure the open ear and the field in the same noise and use their "
            + "difference, or report bands only.",
    };

    /// <summary>A function measured in the same noise: open-ear level minus field level, in the bands both have.</summary>
    /// <exception cref="ArgumentException">The spectra have no band in common.</exception>
    public static EarTransferFunction Measured(Spectrum openEar, Spectrum field)
    {
        var values = openEar.Entries.Where(e => field[e.Key] is not null).Select(e => KeyValuePair.Create(e.Key, e.Value - field[e.Key]!.Value)).ToArray();
        return values.Length > 0 ? new(values, "measured: open ear minus field in the same noise")
            : throw new ArgumentException("The open-ear and the field spectrum have no band in common.", nameof(field));
    }

    /// <summary>A function from values of one's own.</summary>
    /// <exception cref="ArgumentException">No band, octaves mixed with one-third octaves, or no source.</exception>
    public static EarTransferFunction Of(IReadOnlyDictionary<Band, LevelDifference> values, string source)
    {
        if (values.Count == 0 || values.Keys.Select(b => b.Fraction).Distinct().Count() > 1)
            throw new ArgumentException("A transfer function has bands, all octaves or all one-third octaves.", nameof(values));
        return string.IsNullOrWhiteSpace(source) ? throw new ArgumentException("Say where the transfer function comes from.", nameof(source)) : new(values, source);
    }

    /// <summary>The octave function: energy means of the three one-third octaves, right for equal levels in them; an octave with a missing third is left out.</summary>
    public EarTransferFunction ToOctaves() => _values.Keys.First().Fraction == BandFraction.Octave ? this
        : new(Band.Octaves.Where(o => o.Thirds.All(_values.ContainsKey)).Select(o => KeyValuePair.Create(o,
            LevelDifference.FromDecibels(10 * Math.Log10(o.Thirds.Average(t => Math.Pow(10, _values[t].Decibels / 10)))))), Source + ", octave means");

    /// <summary>Levels at the ear microphone brought back to the field.</summary>
    /// <exception cref="ArgumentException">The spectrum has the other kind of bands, or none that the function knows.</exception>
    public FieldRelatedSpectrum FieldRelated(Spectrum atEar)
    {
        if (atEar.Fraction != _values.Keys.First().Fraction)
            throw new ArgumentException($"The transfer function is in bands of {_values.Keys.First().Fraction}, the levels in {atEar.Fraction}.", nameof(atEar));
        var known = atEar.Entries.Where(e => _values.ContainsKey(e.Key)).Select(e => KeyValuePair.Create(e.Key, e.Value - _values[e.Key])).ToArray();
        return known.Length > 0 ? new(Spectrum.Of(known), [.. atEar.Bands.Where(b => !_values.ContainsKey(b))])
            : throw new ArgumentException("The transfer function has none of the spectrum's bands.", nameof(atEar));
    }
}
