using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>Finds clauses in the free fields of the document by words in their names.</summary>
internal static class FreeFields
{
    /// <summary>The words that mark a field as the answer to a clause, by group and clause.</summary>
    internal static readonly IReadOnlyDictionary<string, string[]> Words = new Dictionary<string, string[]>(StringComparer.Ordinal)
    {
        ["Fitting/Who fitted"] = ["fitted", "who", "by whom"],
        ["Fitting/Noise while fitting"] = ["fitting noise", "noise"],
        ["Fitting/Order and how it was drawn"] = ["order", "drawn", "random", "balanced"],
        ["Measuring chain/Recorder"] = ["recorder", "device", "instrument", "meter"],
        ["Measuring chain/Bit depth"] = ["bit"],
        ["Measuring chain/Sampling rate"] = ["rate", "sampl"],
        ["Measuring chain/Gain"] = ["gain"],
        ["Measuring chain/Automatic functions off, and how proved"] = ["automatic", "agc", "limiter", "low-cut", "low cut"],
        ["Measuring chain/Class of filters"] = ["filter", "class"],
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
        ["Exposure/Duration"] = ["hour", "duration", "time a day"],
        ["Exposure/Time with the device off"] = ["off"],
        ["Exposure/Action or limit value"] = ["limit", "action"],
    };

    /// <summary>The fields of a group that answer a clause, joined; null for none.</summary>
    public static string? Answer(TrialResults results, string group, string clause)
    {
        var found = Fields(results, group).Where(f => ClauseOf(group, f.Key) == clause).Select(f => f.Value).ToList();
        return found.Count == 0 ? null : string.Join("; ", found);
    }

    /// <summary>Fields of a group that no clause asks for.</summary>
    public static IEnumerable<KeyValuePair<string, string>> Unasked(TrialResults results, string group) => Fields(results, group).Where(f => ClauseOf(group, f.Key) is null);

    /// <summary>Details of several things whose name holds one of the words: 'Alder: new; Birch: two years'.</summary>
    public static string? Each(IEnumerable<(string Name, IReadOnlyList<KeyValuePair<string, string>> Details)> things, params string[] words)
    {
        var found = things.SelectMany(t => t.Details.Where(d => Matches(d.Key, words)).Select(d => $"{t.Name}: {d.Value}")).ToList();
        return found.Count == 0 ? null : string.Join("; ", found);
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
        "Fitting" => results.Document.Fitting,
        "Measuring chain" => results.Document.Chain,
        "Noise" => results.Document.Noise,
        "Communication" => results.Document.Comms,
        "Exposure" when results.Mode == TrialMode.Absolute => results.Document.Exposure,
        _ => [],
    };
}
