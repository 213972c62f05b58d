namespace Hushtrial.Trials.Logs;

/// <summary>Names of months in English, German, French, Spanish and Italian, whole or as their usual short forms.</summary>
internal static class MonthNames
{
    private static readonly string[][] _names =
    [
        ["january", "januar", "jänner", "janvier", "enero", "gennaio"],
        ["february", "februar", "février", "fevrier", "febrero", "febbraio"],
        ["march", "märz", "maerz", "mrz", "mars", "marzo"],
        ["april", "avril", "abril", "aprile"],
        ["may", "mai", "mayo", "maggio"],
        ["june", "juni", "juin", "junio", "giugno"],
        ["july", "juli", "juillet", "julio", "luglio"],
        ["august", "août", "aout", "agosto"],
        ["september", "septembre", "septiembre", "setiembre", "settembre"],
        ["october", "oktober", "octobre", "octubre", "ottobre"],
        ["november", "novembre", "noviembre"],
        ["december", "dezember", "décembre", "decembre", "diciembre", "dicembre"],
    ];

    /// <summary>1…12, or 0 for a word that is no month's name or fits two.</summary>
    internal static int Of(ReadOnlySpan<char> word)
    {
        if (word.Length < 3) return 0;
        var found = 0;
        for (var month = 0; month < 12; month++)
            foreach (var name in _names[month])
                if (name.AsSpan().StartsWith(word, StringComparison.OrdinalIgnoreCase))
                {
                    if (found > 0 && found != month + 1) return 0;
                    found = month + 1;
                }
        return found;
    }
}
