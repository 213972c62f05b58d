using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>What has to be heard is stated once, with a level, and with spans that have an end after their start.</summary>
internal static class ListeningChecks
{
    public static void Check(Draft draft, DocumentProblems problems)
    {
        foreach (var take in draft.Takes.Where(t => t.IsOpen && t.Map.Flag("comms_on") == true))
            problems.Error("LIS-004", take.Map.PlaceOf("comms_on"), take.Map.PathTo("comms_on"), $"{take.Name} of the open ear with radio or intercom on", "'comms_on' under a device only",
                "Name the condition that was worn, or leave 'comms_on' out.");
        if (draft.Root.Map(ListeningShape.Key) is not { } listening) return;
        if (listening.Map("speech") is { } speech) Speech(speech, problems);
        var seen = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        foreach (var warning in listening.List<BoundMap>("warnings"))
        {
            if (warning.Text("id") is { } id && !seen.Add(id))
                problems.Error("DOC-040", warning.PlaceOf("id"), warning.PathTo("id"), $"the name '{id}' for the second time in 'warnings'", "a name of its own for each", "Rename one of the two.");
            Warning(warning, draft, problems);
        }
        foreach (var pair in listening.List<BoundMap>("quiet"))
            foreach (var span in new[] { pair.Map("on"), pair.Map("off") }.OfType<BoundMap>()) Order(span, "from", "to", problems);
    }

    private static void Speech(BoundMap speech, DocumentProblems problems)
    {
        Bands(speech, problems);
        if (!speech.Has("level_db") && !speech.Has("bands") && !(speech.Text("way") == "air" && speech.Has("effort")) && !speech.IsFaulty("way"))
            problems.Error("LIS-001", speech.Place, speech.Path, "speech without a level", "'level_db', or 'bands'; through the air also 'effort' alone",
                "Measure the radio at the ear under the device while somebody talks, or state the level and its uncertainty.");
        if (speech.Text("rule") is "fixed-ratio" or "follows-noise" && !speech.Has("set_under"))
            problems.Error("LIS-002", speech.PlaceOf("rule"), speech.PathTo("rule"), $"the rule {speech.Text("rule")} without a place to start from", "'set_under'", "Name the condition under which the level was set and stated.");
        if (speech.Number("low_hz") >= speech.Number("high_hz"))
            problems.Error("LIS-003", speech.PlaceOf("high_hz"), speech.PathTo("high_hz"), "a pass band whose upper end is not above its lower one", "'low_hz' below 'high_hz'", "Check the two frequencies.");
    }

    private static void Warning(BoundMap warning, Draft draft, DocumentProblems problems)
    {
        Bands(warning, problems);
        var span = new[] { "recording", "from", "to" };
        var recorded = span.Any(warning.Has);
        if (recorded == warning.Has("bands"))
            problems.Error("LIS-005", warning.Place, warning.Path, recorded ? "a warning sound with a recording and with bands" : "a warning sound without a level", "a span of a recording, or 'bands'", "Say which of the two it is.");
        else if (recorded && span.Where(k => !warning.Has(k)).ToList() is { Count: > 0 } missing)
            problems.Error("DOC-053", warning.Place, warning.Path, $"a warning sound without {DocumentProblems.OneOf([.. missing.Select(m => $"'{m}'")])}", "recording, from and to together", "Add what is missing.");
        if (recorded && draft.Design == "readings-only")
            problems.Error("DOC-073", warning.Place, warning.Path, "a recorded warning sound in a trial of hand-noted readings", "'bands'", "Without a calibrated microphone in the trial only stated band levels can be compared.");
        if (warning.Has("background_from") != warning.Has("background_to"))
            problems.Error("DOC-053", warning.Place, warning.Path, "a background span with one end", "'background_from' and 'background_to' together", "Add the other end.");
        Order(warning, "from", "to", problems);
        Order(warning, "background_from", "background_to", problems);
        Under(warning, draft, problems);
    }

    private static void Under(BoundMap warning, Draft draft, DocumentProblems problems)
    {
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var under in warning.List<BoundMap>("under"))
        {
            if (!under.Has("sound") && !under.Has("heard") && !under.IsFaulty("sound") && !under.IsFaulty("heard"))
                problems.Error("LIS-006", under.Place, under.Path, "a warning sound under a device that was neither recorded nor listened to", "'sound', or 'heard'", "Name the span, say what was heard, or remove the entry.");
            if (under.Has("background") && !under.Has("sound") && !under.IsFaulty("sound"))
                problems.Error("LIS-007", under.PlaceOf("background"), under.PathTo("background"), "a background without its sound", "'sound' beside 'background'", "Name the span with the sound, or remove the background.");
            if (under.Text("condition") is { } condition && !seen.Add(condition))
                problems.Error("LIS-008", under.PlaceOf("condition"), under.PathTo("condition"), $"the condition '{condition}' for the second time under one warning sound", "each condition once", "Keep the one that holds: the fainter one is the safer.");
            if (under.Has("sound") && draft.Design == "readings-only")
                problems.Error("DOC-073", under.Place, under.Path, "a recorded warning sound in a trial of hand-noted readings", "'heard'", "Without a calibrated microphone in the trial only what was heard by ear can be kept.");
            foreach (var span in new[] { under.Map("sound"), under.Map("background") }.OfType<BoundMap>()) Order(span, "from", "to", problems);
        }
    }

    private static void Order(BoundMap map, string from, string to, DocumentProblems problems)
    {
        if (map.Seconds(from) >= map.Seconds(to))
            problems.Error("DOC-050", map.PlaceOf(to), map.PathTo(to), $"a span from {map.Find(from)!.Text} to {map.Find(to)!.Text}", "an end after the start", "Check the two times.");
    }

    private static void Bands(BoundMap map, DocumentProblems problems)
    {
        var fraction = DesignChecks.FractionOf(map);
        foreach (var band in map.List<BandValue>("bands").Where(b => !map.IsFaulty("fraction") && Band.FromNominal(fraction, b.Hertz) is null))
            problems.Error("DOC-034", band.Place, map.PathTo("bands"), FormattableString.Invariant($"{band.Hertz} Hz, which is no {(fraction == BandFraction.Octave ? "octave" : "one-third-octave")} band"),
                "a nominal midband frequency", "Write the nominal midband frequency in Hz, and 'fraction: third' beside one-third octaves.");
    }
}
