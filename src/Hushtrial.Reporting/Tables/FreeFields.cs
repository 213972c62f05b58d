using System.Globalization;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>Finds clauses in the free fields of the document by words in their names.</summary>
internal static class FreeFields
{
    /// <summary>The words that mark a field as the answer to a clause, by group and clause.</summary>
    internal static readonly IReadOnlyDictionary<string, string[]> Words = new Dictionary<string, string[]>(StringComparer.Ordinal)
    {
        ["Method statement/Method family and departures"] = ["family", "departure"],
        ["Fitting/Who fitted"] = ["fitted", "who", "by whom"],
        ["Fitting/Noise while fitting"] = ["fitting noise", "noise"],
        ["Fitting/Order and how it was drawn"] = ["order", "drawn", "random", "balanced"],
        ["Fitting/Repeats"] = ["replicate", "repeat"],
        ["Fitting/Rejects with reason"] = ["reject"],
        ["Measuring chain/Recorder"] = ["recorder", "device", "instrument", "meter"],
        ["Measuring chain/Bit depth"] = ["bit", "bits"],
        ["Measuring chain/Sampling rate"] = ["rate", "sampl"],
        ["Measuring chain/Gain"] = ["gain"],
        ["Measuring chain/Automatic functions off, and how proved"] = ["automatic", "agc", "limiter", "low cut", "proof"],
        ["Measuring chain/Class of filters"] = ["filter", "class"],
        ["Measuring chain/Weighting"] = ["weighting"],
        ["Noise/Type of vehicle"] = ["vehicle", "aircraft", "type", "machine", "tractor", "boat"],
        ["Noise/Power"] = ["power", "torque", "throttle"],
        ["Noise/Revolutions"] = ["rpm", "revolution", "rotor"],
        ["Noise/Speed"] = ["speed"],
        ["Noise/Altitude"] = ["altitude", "height"],
        ["Noise/Doors, windows, heater"] = ["door", "window", "heater", "ventilat"],
        ["Noise/Phase"] = ["phase", "state", "task"],
        ["Noise/Averaging time"] = ["averag", "duration"],
        ["Noise/Tones"] = ["tone"],
        ["Communication/Off or on"] = ["state", "radio", "intercom", "on", "off"],
        ["Communication/Volume position"] = ["volume"],
        ["Communication/Share of talking"] = ["talk", "share", "speech"],
        ["Communication/Squelch"] = ["squelch"],
        ["Exposure/Rule set used"] = ["rule", "criterion", "law"],
        ["Exposure/Duration"] = ["hour", "day", "duration", "time a day"],
        ["Exposure/Time with the device off"] = ["off"],
        ["Exposure/Action or limit value"] = ["limit", "action"],
    };

    /// <summary>Units at the end of field names, as the trial document writes them.</summary>
    private static readonly (string Ending, string Unit)[] _units =
        [("_ft", "ft"), ("_c", "°C"), ("_kpa", "kPa"), ("_hz", "Hz"), ("_s", "s"), ("_percent", "%"), ("_db", "dB"), ("_g", "g"), ("_n", "N"), ("off_minutes", "min"), ("hours_per_day", "h a day"), ("days_per_week", "days a week")];

    /// <summary>The fields of a group that answer a clause, joined; null for none.</summary>
    public static string? Answer(TrialResults results, string group, string clause)
    {
        var found = Fields(results, group).Where(f => ClauseOf(group, f.Key) == clause).Select(Value).ToList();
        return found.Count == 0 ? null : string.Join("; ", found);
    }

    /// <summary>Fields of a group that no clause asks for.</summary>
    public static IEnumerable<KeyValuePair<string, string>> Unasked(TrialResults results, string group) => Fields(results, group).Where(f => ClauseOf(group, f.Key) is null)
        .Select(f => KeyValuePair.Create(Name(f.Key), Value(f)));

    /// <summary>Details of several things whose name holds one of the words: 'Alder: new; Birch: two years'.</summary>
    public static string? Each(IEnumerable<(string Name, IReadOnlyList<KeyValuePair<string, string>> Details)> things, params string[] words)
    {
        var found = things.SelectMany(t => t.Details.Where(d => Matches(d.Key, words)).Select(d => $"{t.Name}: {Value(d)}")).ToList();
        return found.Count == 0 ? null : string.Join("; ", found);
    }

    /// <summary>The name of a field for readers: 'hours_per_day' is 'Hours per day', 'altitude_ft' is 'Altitude'.</summary>
    public static string Name(string key)
    {
        var ending = _units.Where(u => u.Ending[0] == '_' && key.EndsWith(u.Ending, StringComparison.Ordinal)).Select(u => u.Ending).FirstOrDefault() ?? "";
        var plain = key[..^ending.Length].Replace('_', ' ');
        return plain.Length == 0 ? key : char.ToUpperInvariant(plain[0]) + plain[1..];
    }

    /// <summary>The value of a field, with the unit that its name carries.</summary>
    private static string Value(KeyValuePair<string, string> field)
    {
        var unit = _units.Where(u => field.Key.EndsWith(u.Ending, StringComparison.Ordinal)).Select(u => u.Unit).FirstOrDefault();
        return unit is null || !double.TryParse(field.Value, NumberStyles.Float, CultureInfo.InvariantCulture, out _) ? field.Value : $"{field.Value}\u00A0{unit}";
    }

    private static string? ClauseOf(string group, string key) => Words.Where(w => w.Key.StartsWith(group + "/", StringComparison.Ordinal) && Matches(key, w.Value))
        .Select(w => w.Key[(group.Length + 1)..]).FirstOrDefault();

    private static bool Matches(string key, IEnumerable<string> words)
    {
        var plain = " " + key.ToLowerInvariant().Replace('_', ' ').Replace('-', ' ');
        return words.Any(w => plain.Contains(" " + w.Replace('-', ' '), StringComparison.Ordinal));
    }

    private static IReadOnlyList<KeyValuePair<string, string>> Fields(TrialResults results, string group) => group switch
    {
        "Method statement" => results.Document.Method,
        "Fitting" => results.Document.Fitting,
        "Measuring chain" => results.Document.Chain,
        "Noise" => results.Document.Noise,
        "Communication" => results.Document.Comms,
        "Exposure" when results.Mode == TrialMode.Absolute => results.Document.Exposure,
        _ => [],
    };
}
