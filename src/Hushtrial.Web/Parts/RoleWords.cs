using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Web.Parts;

/// <summary>Roles of a log's columns, to choose from.</summary>
internal static class RoleWords
{
    private static readonly (string Role, string Meaning)[] _plain =
    [
        ("LAeq", "average level, A-weighted"), ("LCeq", "average level, C-weighted"), ("LZeq", "average level, unweighted"), ("LAE", "sound exposure level of the interval"), ("LAIeq", "average with impulse weighting"),
        ("LAFmax", "highest level, F"), ("LASmax", "highest level, S"), ("LAFmin", "lowest level, F"), ("LASmin", "lowest level, S"), ("LAF", "momentary level, F"), ("LAS", "momentary level, S"),
        ("LCpeak", "peak, C-weighted"), ("LZpeak", "peak, unweighted"), ("LAF10", "exceeded for 10 % of the time"), ("LAF50", "exceeded for 50 % of the time"), ("LAF90", "exceeded for 90 % of the time"),
        ("time", "date and time of day"), ("date", "date"), ("clock", "time of day"), ("end", "end of the interval"), ("elapsed", "time since the log began"), ("interval", "length of the interval"),
        ("flag", "mark of overload"), ("other", "not read"),
    ];

    private static readonly FrequencyWeighting[] _weightings = [FrequencyWeighting.Z, FrequencyWeighting.A, FrequencyWeighting.C];

    /// <summary>All meanings, in English: keys of the texts.</summary>
    public static IEnumerable<string> Meanings => _plain.Select(p => p.Meaning);

    /// <summary>The roles for one column: bands first where its header names one.</summary>
    /// <param name="proposed">What the file tells of it.</param>
    /// <param name="written">Its role in the entry; null when there is none.</param>
    public static IReadOnlyList<(string Role, string Meaning)> For(ColumnRole proposed, string? written)
    {
        var choices = new List<(string Role, string Meaning)>();
        if (proposed.Band is { } band)
            foreach (var fraction in new[] { band.Fraction, band.Fraction == BandFraction.Octave ? BandFraction.ThirdOctave : BandFraction.Octave })
                if (Band.FromNominal(fraction, band.NominalHertz) is { } same) choices.AddRange(_weightings.Select(w => (ColumnRole.Equivalent(w, same).ToString(), "")));
        choices.AddRange(_plain);
        foreach (var also in new[] { proposed.ToString(), written })
            if (also is { Length: > 0 } && choices.TrueForAll(c => c.Role != also)) choices.Insert(0, (also, ""));
        return choices;
    }

    /// <summary>The role of a band under another weighting.</summary>
    public static string Weighted(ColumnRole band, FrequencyWeighting weighting) => ColumnRole.Equivalent(weighting, band.Band).ToString();
}
