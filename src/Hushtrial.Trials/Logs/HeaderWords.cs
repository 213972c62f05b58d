using System.Globalization;
using System.Text.RegularExpressions;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>What the words over a column say, as far as they say it.</summary>
/// <param name="Kind">What the column holds; null when the words do not tell.</param>
/// <param name="IsLevel">Whether the words are those of a level.</param>
/// <param name="Weighting">Frequency weighting, where stated.</param>
/// <param name="Time">Time weighting, where stated.</param>
/// <param name="Statistic">Statistic, where stated.</param>
/// <param name="Percent">Percentage of an exceeded level.</param>
/// <param name="Hertz">Midband frequency, where stated.</param>
/// <param name="Edge">Start or end of an interval, where stated.</param>
internal sealed record HeaderReading(ColumnKind? Kind, bool IsLevel, FrequencyWeighting? Weighting, ColumnTime Time, LevelStatistic? Statistic, int Percent, double? Hertz, IntervalStamp? Edge);

/// <summary>The general terms of the trade and of standards over columns, in English, German, French, Spanish and Italian.</summary>
/// <remarks>Symbols of IEC 61672-1 and ISO 1996-1 (LAeq, LAFmax, LCpeak, LAF90, LAE); everything else are plain words.</remarks>
internal static partial class HeaderWords
{
    private static readonly string[] _elapsed = ["elapsed", "running time", "run time", "laufzeit", "verstrichen", "abgelaufen", "écoulé", "ecoule", "transcurrido", "trascorso"];
    private static readonly string[] _interval = ["interval", "duration", "dauer", "messdauer", "durée", "duree", "duración", "duracion", "durata", "periode", "period"];
    private static readonly string[] _end = ["end", "ende", "stop", "fin", "fine", "bis"];
    private static readonly string[] _start = ["start", "begin", "beginn", "début", "debut", "inicio", "inizio", "von", "anfang"];
    private static readonly string[] _time = ["time", "zeit", "uhrzeit", "heure", "hora", "ora", "zeitpunkt", "zeitstempel", "timestamp", "clock", "uhr", "horodatage"];
    private static readonly string[] _date = ["date", "datum", "fecha", "data", "tag", "day", "jour"];
    private static readonly string[] _flag = ["overload", "over-range", "overrange", "flag", "flags", "übersteuerung", "übersteuert", "uebersteuerung", "surcharge", "sobrecarga", "sovraccarico", "ovl", "clip"];
    private static readonly string[] _equivalent = ["equivalent", "äquivalent", "äquivalenter", "aequivalent", "équivalent", "equivalente", "mittelungspegel", "dauerschallpegel", "average", "mittelwert", "moyen", "medio", "promedio"];
    private static readonly string[] _maximum = ["max", "maximum", "maximal", "maximalpegel", "maximalwert", "máximo", "maximo", "massimo", "mx"];
    private static readonly string[] _minimum = ["min", "minimum", "minimal", "minimalpegel", "minimalwert", "mínimo", "minimo", "mn"];
    private static readonly string[] _peak = ["peak", "spitzenpegel", "spitze", "spitzenwert", "crête", "crete", "pico", "picco", "pk"];
    private static readonly string[] _exposure = ["sel", "exposure", "einzelereignispegel", "exposición", "esposizione", "exposition"];
    private static readonly string[] _sample = ["momentanpegel", "instantaneous", "momentary", "instantané", "instantáneo", "istantaneo"];
    private static readonly string[] _fast = ["fast", "schnell", "rapide", "rápido", "rapida", "rapido", "rápida"];
    private static readonly string[] _slow = ["slow", "langsam", "lent", "lente", "lento", "lenta"];
    private static readonly string[] _impulse = ["impulse", "impuls", "impulsion", "impulso"];
    private static readonly string[] _level = ["level", "pegel", "schallpegel", "schalldruckpegel", "niveau", "nivel", "livello", "spl", "db", "dba", "dbc", "dbz"];
    private static readonly string[] _unweighted = ["lin", "linear", "unweighted", "flat", "unbewertet", "linéaire", "lineal", "lineare"];
    private static readonly HashSet<string> _units = new(StringComparer.OrdinalIgnoreCase)
        { "db", "[db]", "(db)", "db(a)", "db(c)", "db(z)", "dba", "dbc", "dbz", "[db(a)]", "[db(c)]", "[db(z)]", "db a", "db c", "s", "[s]", "(s)", "ms", "[ms]", "h:m:s", "hh:mm:ss", "[hh:mm:ss]", "hh:mm", "d.m.y", "dd.mm.yyyy", "dd/mm/yyyy", "mm/dd/yyyy", "yyyy-mm-dd", "-", "[-]", "" , "hz", "[hz]", "%" };

    /// <summary>Reads the words over one column.</summary>
    internal static HeaderReading Read(string header)
    {
        var text = header.Replace('_', ' ');
        double? hertz = null;
        if (Hertz().Match(text) is { Success: true } f && Frequency(f.Groups["n"].Value, f.Groups["k"].Success) is { } found)
        {
            hertz = found;
            text = text.Remove(f.Index, f.Length);
        }
        else if (Bare(header) is { } bare) (hertz, text) = (bare, "");
        else if (BareAtEnd().Match(text) is { Success: true } e && IsFrequency(e.Groups["n"].Value)) (hertz, text) = (Bare(e.Groups["n"].Value), text[..e.Index]);
        var words = Word().Matches(text.ToLowerInvariant()).Select(m => m.Value).ToHashSet(StringComparer.Ordinal);
        var (weighting, time, statistic, percent, isLevel) = Symbol(text);
        bool Has(string[] known) => known.Any(k => k.Contains(' ', StringComparison.Ordinal) ? text.Contains(k, StringComparison.OrdinalIgnoreCase) : words.Contains(k));
        statistic ??= Has(_peak) ? LevelStatistic.Peak : Has(_maximum) ? LevelStatistic.Maximum : Has(_minimum) ? LevelStatistic.Minimum : Has(_exposure) ? LevelStatistic.Exposure
            : Has(_equivalent) ? LevelStatistic.Equivalent : Has(_sample) ? LevelStatistic.Sample : null;
        if (time == ColumnTime.None) time = Has(_fast) ? ColumnTime.Fast : Has(_slow) ? ColumnTime.Slow : Has(_impulse) ? ColumnTime.Impulse : ColumnTime.None;
        if (statistic is null && time is ColumnTime.Fast or ColumnTime.Slow) statistic = LevelStatistic.Sample;
        weighting ??= Weighted().Match(text) is { Success: true } w ? Of(w.Groups["w"].Value) : Has(_unweighted) ? FrequencyWeighting.Z : null;
        isLevel = isLevel || hertz is not null || Has(_level) || (statistic is not null && weighting is not null) || Has(_equivalent) || Has(_sample);
        IntervalStamp? edge = Has(_end) ? IntervalStamp.End : Has(_start) ? IntervalStamp.Start : null;
        ColumnKind? kind = isLevel ? ColumnKind.Level : Has(_flag) ? ColumnKind.Flag : Has(_elapsed) ? ColumnKind.Elapsed : Has(_interval) ? ColumnKind.Interval
            : Has(_time) && Has(_date) ? ColumnKind.Stamp : Has(_time) ? ColumnKind.Clock : Has(_date) ? ColumnKind.Date : edge is not null ? ColumnKind.Clock : null;
        return new(kind, isLevel, weighting, time, statistic, percent, hertz, edge);
    }

    /// <summary>Whether a row holds units alone.</summary>
    internal static bool AreUnits(List<string> fields) => fields.Exists(f => f.Length > 0) && fields.TrueForAll(_units.Contains);

    /// <summary>Whether a text alone is a nominal midband frequency: 31.5, 125, 1k, 12,5 kHz.</summary>
    internal static bool IsFrequency(string text) => Bare(text) is not null;

    /// <summary>A setting in the lines in front of the table: 'Frequency weighting: A', 'Zeitbewertung;Fast'.</summary>
    internal static (FrequencyWeighting? Weighting, ColumnTime Time) Settings(IReadOnlyList<string> preamble)
    {
        FrequencyWeighting? weighting = null;
        var time = ColumnTime.None;
        foreach (var line in preamble)
        {
            if (!WeightingWord().IsMatch(line)) continue;
            var lower = line.ToLowerInvariant();
            var words = Word().Matches(lower).Select(m => m.Value).ToHashSet(StringComparer.Ordinal);
            if (words.Overlaps(_fast)) time = ColumnTime.Fast;
            else if (words.Overlaps(_slow)) time = ColumnTime.Slow;
            else if (SettingLetter().Match(line) is { Success: true } m) weighting ??= Of(m.Groups["w"].Value);
        }
        return (weighting, time);
    }

    private static (FrequencyWeighting?, ColumnTime, LevelStatistic?, int, bool) Symbol(string text)
    {
        // The symbol stands in front, or among words: 'LAF, max', 'Nivel máximo LAFmax'.
        var m = LevelSymbol().Match(Noise().Replace(text, ""));
        foreach (var word in text.Split(' '))
            if (!m.Success && word.Length > 1) m = LevelSymbol().Match(Noise().Replace(word, ""));
        if (!m.Success) return (null, ColumnTime.None, null, 0, false);
        var weighting = m.Groups["w"].Success ? Of(m.Groups["w"].Value) : m.Groups["v"].Success ? Of(m.Groups["v"].Value) : (FrequencyWeighting?)null;
        var time = m.Groups["t"].Value.ToUpperInvariant() switch { "F" => ColumnTime.Fast, "S" => ColumnTime.Slow, "I" => ColumnTime.Impulse, _ => ColumnTime.None };
        var suffix = m.Groups["s"].Value.ToLowerInvariant();
        (LevelStatistic?, int) statistic = suffix switch
        {
            "eq" or "eqt" => (LevelStatistic.Equivalent, 0),
            "max" or "mx" => (LevelStatistic.Maximum, 0),
            "min" or "mn" => (LevelStatistic.Minimum, 0),
            "peak" or "pk" => (LevelStatistic.Peak, 0),
            "e" => (LevelStatistic.Exposure, 0),
            "" => (time is ColumnTime.Fast or ColumnTime.Slow ? LevelStatistic.Sample : null, 0),
            _ => (LevelStatistic.Exceeded, int.Parse(suffix, CultureInfo.InvariantCulture)),
        };
        return (weighting, time, statistic.Item1, statistic.Item2, true);
    }

    private static FrequencyWeighting Of(string letter) => letter.ToUpperInvariant() switch { "A" => FrequencyWeighting.A, "C" => FrequencyWeighting.C, _ => FrequencyWeighting.Z };

    private static double? Bare(string text) => BareFrequency().Match(text.Trim()) is { Success: true } m ? Frequency(m.Groups["n"].Value, m.Groups["k"].Success) : null;

    /// <summary>A nominal midband frequency with either decimal mark, thousands marks tried last.</summary>
    private static double? Frequency(string digits, bool kilo)
    {
        foreach (var (mark, thousands) in new[] { (DecimalMark.Point, (char?)null), (DecimalMark.Comma, null), (DecimalMark.Comma, '.'), (DecimalMark.Point, ',') })
            if (CellReading.Number(digits, mark, thousands, out var value) && Nominal(kilo ? value * 1000 : value) is { } hertz) return hertz;
        return null;
    }

    private static double? Nominal(double hertz) => Band.FromNominal(BandFraction.ThirdOctave, hertz)?.NominalHertz;

    [GeneratedRegex(@"(?<![\w.,])(?<n>\d+(?:[.,]\d+)*)\s*(?<k>k)?\s*Hz\b", RegexOptions.IgnoreCase)]
    private static partial Regex Hertz();

    [GeneratedRegex(@"^(?<n>\d+(?:[.,]\d+)*)\s*(?<k>k)?$", RegexOptions.IgnoreCase)]
    private static partial Regex BareFrequency();

    [GeneratedRegex(@"[\s@](?<n>\d+(?:[.,]\d+)*k?)\s*$", RegexOptions.IgnoreCase)]
    private static partial Regex BareAtEnd();

    [GeneratedRegex(@"[\p{L}-]+")]
    private static partial Regex Word();

    [GeneratedRegex(@"\bdB\b|[\s_,.()\[\]/':;-]", RegexOptions.IgnoreCase)]
    private static partial Regex Noise();

    [GeneratedRegex(@"^Lp?(?<w>[ACZ])?(?<t>[FSI])?(?:(?<s>eqt?|max|min|mx|mn|peak|pk|e|[1-9][0-9]?)(?:T|dt|\d+(?:ms|s|sec|min))?)?(?<v>[ACZ])?(?:dB[ACZ]?)?(?![\p{L}\d])", RegexOptions.IgnoreCase)]
    private static partial Regex LevelSymbol();

    [GeneratedRegex(@"dB\s*[(\[]?\s*(?<w>[ACZ])\b|\(\s*(?<w>[ACZ])\s*\)|\b(?<w>[ACZ])-(?:weighted|bewertet\w*)|\b(?:pond[ée]ration|ponderaci[óo]n|ponderazione|weighting|bewertung)\s+(?<w>[ACZ])\b", RegexOptions.IgnoreCase)]
    private static partial Regex Weighted();

    [GeneratedRegex(@"weighting|bewertung|pond[ée]r|ponderaci|ponderazi|response", RegexOptions.IgnoreCase)]
    private static partial Regex WeightingWord();

    [GeneratedRegex(@"[:;,=\t ]\s*(?<w>[ACZ])\s*(?:[;,\t""]|$)")]
    private static partial Regex SettingLetter();
}
