using Hushtrial.Trials.Document;

namespace Hushtrial.Web.Parts;

/// <summary>Short names of the document's fields for people: the key in words, or a better word where the key is terse. English: keys of the texts.</summary>
internal static class FieldNames
{
    private static readonly Dictionary<string, string> _better = new(StringComparer.Ordinal)
    {
        ["id"] = "Short name", ["margin_db"] = "Margin of equivalence", ["margin_set"] = "When the margin was set, by whom", ["donning_scatter_db"] = "Assumed scatter from fit to fit",
        ["scatter_per_kind"] = "A scatter of its own for each kind of device", ["reading_step_db"] = "Step of noted readings", ["meter_uncertainty_db"] = "Standard uncertainty of the meter", ["microphone_at"] = "Where the ear microphone sat",
        ["purpose"] = "The question", ["operator"] = "Who measures", ["funding"] = "Who pays", ["interests"] = "Loans, gifts, interests", ["quantity"] = "What is measured", ["design"] = "How the readings relate to the noise outside",
        ["scope"] = "The statement that leads", ["compare"] = "Pairs to compare", ["level_db"] = "Level", ["hertz"] = "Frequency", ["uncertainty_db"] = "Standard uncertainty", ["pressure_kpa"] = "Static pressure",
        ["mass_g"] = "Mass", ["clamp_n"] = "Clamp force", ["measurable"] = "A microphone fits inside", ["reading_a"] = "Reading, A-weighted", ["reading_c"] = "Reading, C-weighted", ["reading_bands"] = "Readings by band",
        ["with"] = "Worn with", ["where"] = "Where it is", ["number"] = "Channel number", ["lowest_valid_hz"] = "Lowest frequency to trust", ["own_noise"] = "Own noise", ["starts"] = "Clock time of its first sample",
        ["allow_truncated"] = "Use what is there of a cut recording", ["rate_hz"] = "Sampling rate", ["bits"] = "Bit depth", ["settle_s"] = "Time to settle", ["talk_share_percent"] = "Share of the time somebody talks",
        ["hours_per_day"] = "Hours a day", ["days_per_week"] = "Days a week", ["off_minutes"] = "Minutes with the device off", ["rules"] = "Rule sets", ["fit"] = "Fit (one putting-on)", ["other"] = "Your own words",
        ["snr"] = "SNR", ["nrr"] = "NRR", ["nrr_sf"] = "NRR(SF)", ["slc80"] = "SLC80", ["nrs_a"] = "NRS A", ["altitude_ft"] = "Altitude", ["temperature_c"] = "Temperature", ["clock_offset_s"] = "Offset of its clock", ["interval_s"] = "Length of an interval", ["most_lost_percent"] = "Most that may be missing", ["sha256"] = "Hash of the file", ["files"] = "Parts of a split recording, in order", ["channel_files"] = "Files of single channels", ["below_db"] = "Less gain by", ["clock_drift_ppm"] = "Drift of its clock",
        ["take_s"] = "Planned length of a take", ["take_half_width_db"] = "Half width that is long enough", ["open_level_a"] = "Level at the open ear", ["open_rules"] = "Rule set of the open ear's dose", ["open_share_percent"] = "Highest share of the open ear", ["captured"] = "What its device did not prove",
        ["h"] = "H", ["m"] = "M", ["l"] = "L", ["rpm"] = "Revolutions per minute",
        ["at"] = "Clock time", ["excluded"] = "Left out because", ["published"] = "What its maker publishes", ["bands"] = "By band", ["fraction"] = "Width of the bands", ["part"] = "Of which part",
        ["log"] = "Level log", ["clock_from"] = "From, by the clock", ["clock_to"] = "To, by the clock", ["decimal"] = "Decimal mark", ["delimiter"] = "Between the fields",
        ["date_order"] = "Order of its dates", ["stamp"] = "The time of a row is", ["run_zone"] = "Zone of the run's clock", ["clock_change"] = "A jump of one hour is",
        ["worn_min"] = "Worn for", ["end_of_day"] = "For the whole day", ["hot_spot_min"] = "Noticed after", ["glasses"] = "With spectacles", ["discomfort"] = "Discomfort, 0 to 10", ["hot_spot"] = "Hot spot",
        ["under"] = "Under devices, on the ground", ["heard"] = "Heard by ear", ["sound"] = "Recorded under it", ["background"] = "The quiet under it",
        ["half_of_day"] = "Half of the day of the first row",
    };

    /// <summary>The name of a field, in English.</summary>
    public static string Of(LayoutField field) => field is { Key: "safety", Kind: LayoutKind.Group } ? "Safety track with less gain" : Of(field.Key);

    /// <summary>The name of a key, in English.</summary>
    public static string Of(string key) => _better.TryGetValue(key, out var name) ? name : char.ToUpperInvariant(key[0]) + key[1..].Replace('_', ' ');

    /// <summary>All names that differ from their keys, for the test of the texts.</summary>
    public static IEnumerable<string> All => _better.Values;
}
