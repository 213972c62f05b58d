using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>Microphones, recordings, calibrations and published figures fit together and suit the design.</summary>
internal static class DesignChecks
{
    public static void Check(Draft draft, DocumentProblems problems)
    {
        Design(draft, problems);
        Channels(draft, problems);
        RecordingChecks.Check(draft, problems);
        RecordingChecks.Recorders(draft, problems);
        CapturedInput.Check(draft, problems);
        LogChecks.Check(draft, problems);
        foreach (var calibration in draft.List("calibrations")) Calibration(calibration, problems);
        Conditions(draft, problems);
        foreach (var device in draft.List("devices")) Published(device, draft, problems);
        foreach (var cabin in draft.List("cabins")) CabinChecks.Check(cabin, problems);
        if (draft.Root.Map("exposure") is { } exposure) WeekChecks.Check(exposure, problems);
        foreach (var take in draft.Takes) Bands(take.Map, "reading_bands", problems);
    }

    /// <summary>The fraction of a map with bands: octaves unless it says thirds.</summary>
    public static BandFraction FractionOf(BoundMap map) => map.Text("fraction") == "third" ? BandFraction.ThirdOctave : BandFraction.Octave;

    private static void Design(Draft draft, DocumentProblems problems)
    {
        var trial = draft.Trial;
        if (draft is { Quantity: "level-difference", Design: "sequential" or "readings-only" })
            problems.Error("DOC-077", trial.PlaceOf("design"), trial.PathTo("design"), $"the quantity level-difference with the design {draft.Design}", "the design outside-channel",
                "A level difference needs a microphone outside and one at the ear at the same moment.");
        if (draft.Design == "readings-only")
        {
            foreach (var section in new[] { "channels", "recordings", "logs", "calibrations" }.Where(s => draft.List(s).Count > 0))
                problems.Error("DOC-073", draft.Root.PlaceOf(section), section, $"'{section}' in a trial of hand-noted readings", "no recordings with the design readings-only",
                    "Remove them, or choose the design sequential or outside-channel.");
        }
        else if (draft.Design is not null)
            foreach (var take in draft.Takes.Where(t => t.HasReading && !t.HasInterval))
                problems.Error("DOC-074", take.Map.Place, take.Map.Path, $"{take.Name} with a hand-noted reading in a trial of recordings", "an interval of a recording",
                    "Make a trial of its own of the readings, with the design readings-only; a reading beside the microphone belongs under 'calibrations' as side-by-side.");
    }

    private static void Channels(Draft draft, DocumentProblems problems)
    {
        var channels = draft.List("channels");
        var numbers = new HashSet<(string?, double)>();
        var ears = new Dictionary<string, BoundMap>(StringComparer.Ordinal);
        foreach (var channel in channels)
        {
            if (channel.Number("number") is { } number && !numbers.Add((channel.Text("recorder"), number)))
                problems.Error("DOC-070", channel.PlaceOf("number"), channel.PathTo("number"), FormattableString.Invariant($"channel {number} for the second time"), "each channel of the recordings once", "Check which microphone was on which channel.");
            if (channel.Text("where") == "outside" && channel.Text("ear") is not null)
                problems.Error("DOC-076", channel.PlaceOf("ear"), channel.PathTo("ear"), "an ear for the microphone outside", "'ear' with 'where: ear' only", "Remove 'ear', or correct 'where'.");
            else if (channel.Text("ear") is { } ear && !ears.TryAdd(ear, channel))
                problems.Error("DOC-076", channel.PlaceOf("ear"), channel.PathTo("ear"), $"the {ear} ear for the second time", "one microphone for each ear", "Correct one of the two.");
            if (channel.Map("safety")?.Number("number") is { } safety && channels.FirstOrDefault(c => c.Number("number") == safety && c.Text("recorder") == channel.Text("recorder")) is { } twin)
                problems.Error("DOC-119", channel.PlaceOf("safety"), channel.PathTo("safety"), FormattableString.Invariant($"the safety track on number {safety}, the number of the channel '{twin.Text("id")}'"), "a number that no channel has", "The safety track is no microphone of its own: leave its entry out, or correct the number.");
            if (channel.Map("own_noise") is { } noise && noise.Seconds("from") >= noise.Seconds("to"))
                problems.Error("DOC-050", noise.PlaceOf("to"), noise.PathTo("to"), $"a quiet span from {noise.Find("from")!.Text} to {noise.Find("to")!.Text}", "an end after the start", "Check the two times.");
        }
        if (!draft.IsComplete("channels") || draft.Design is null or "readings-only") return;
        var logs = draft.List("logs");
        if (!channels.Concat(logs).Any(c => c.Text("where") == "ear" || c.IsFaulty("where")))
            problems.Error("DOC-071", draft.Root.PlaceOf("channels"), "channels", "no microphone at the ear", "at least one entry of 'channels' or 'logs' with 'where: ear'", "Add '- { id: ear, where: ear, number: 1 }'.");
        var outside = channels.Where(c => c.Text("where") == "outside").ToList();
        if (draft.Design == "outside-channel" && outside.Count == 0 && !logs.Any(l => l.Text("where") == "outside") && !channels.Concat(logs).Any(c => c.IsFaulty("where")))
            problems.Error("DOC-072", draft.Root.PlaceOf("channels"), "channels", "no microphone outside", "an entry of 'channels' or 'logs' with 'where: outside' for the design outside-channel", "Add it, or choose the design sequential.");
        if (outside.Count > 1)
            problems.Error("DOC-075", outside[1].PlaceOf("where"), outside[1].PathTo("where"), "a second microphone outside", "one", "Leave out the one that was nearer to the moving cup.");
    }

    private static void Calibration(BoundMap calibration, DocumentProblems problems)
    {
        var (needs, refuses) = calibration.Text("kind") switch
        {
            "tone" => (new[] { "recording", "from", "to", "hertz" }, new[] { "weighting" }),
            "side-by-side" => (["recording", "from", "to", "weighting"], ["hertz", "calibrator"]),
            "sensitivity" => ([], ["recording", "from", "to", "hertz", "weighting", "calibrator"]),
            _ => (Array.Empty<string>(), Array.Empty<string>()),
        };
        var missing = needs.Where(k => !calibration.Has(k)).ToList();
        if (missing.Count > 0)
            problems.Error("DOC-078", calibration.Place, calibration.Path, $"a calibration by {calibration.Text("kind")} without {DocumentProblems.OneOf([.. missing.Select(m => $"'{m}'")])}", DocumentProblems.OneOf(needs).Replace(" or ", " and ", StringComparison.Ordinal), "Add what is missing.");
        foreach (var key in refuses.Where(calibration.Has))
            problems.Error("DOC-078", calibration.PlaceOf(key), calibration.PathTo(key), $"'{key}' with a calibration by {calibration.Text("kind")}", $"no '{key}' there", "Remove it, or correct 'kind'.");
        if (calibration.Seconds("from") >= calibration.Seconds("to"))
            problems.Error("DOC-050", calibration.PlaceOf("to"), calibration.PathTo("to"), $"a span from {calibration.Find("from")!.Text} to {calibration.Find("to")!.Text}", "an end after the start", "Check the two times.");
    }

    private static void Conditions(Draft draft, DocumentProblems problems)
    {
        var seen = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (var condition in draft.List("conditions"))
        {
            if (condition.Text("device") is not { } device || condition.Text("id") is not { } id || condition.IsFaulty("mode") || condition.IsFaulty("with")) continue;
            var what = $"{device}, {condition.Text("mode") ?? "passive"}{string.Concat(condition.List<string>("with").Order(StringComparer.Ordinal).Select(w => $", with {w}"))}";
            if (!seen.TryAdd(what, id) && seen[what] != id)
                problems.Error("DOC-047", condition.Place, condition.Path, $"the condition '{id}' ({what}), which is the same as '{seen[what]}'", "each device, mode and worn-with once", "Use one name for both, or say what differs.");
        }
    }

    private static void Published(BoundMap device, Draft draft, DocumentProblems problems)
    {
        if (device.Map("published") is not { } published) return;
        Bands(published, "bands", problems);
        foreach (var claim in published.List<BoundMap>("claims"))
            if (draft.Find("conditions", claim.Text("condition"))?.Text("device") is { } other && other != device.Text("id"))
                problems.Error("DOC-045", claim.PlaceOf("condition"), claim.PathTo("condition"), $"a claim about '{device.Text("id")}' tested on a condition of '{other}'", $"a condition of '{device.Text("id")}'", "Correct the condition.");
    }

    internal static void Bands(BoundMap map, string key, DocumentProblems problems)
    {
        var fraction = FractionOf(map);
        if (map.IsFaulty("fraction")) return;
        foreach (var band in map.List<BandValue>(key))
            if (Band.FromNominal(fraction, band.Hertz) is null)
                problems.Error("DOC-034", band.Place, map.PathTo(key), FormattableString.Invariant($"{band.Hertz} Hz, which is no {(fraction == BandFraction.Octave ? "octave" : "one-third-octave")} band"),
                    fraction == BandFraction.Octave ? "16, 31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16000 or 31500" : "a midband frequency such as 20, 25, 31.5, 40, 50, 63, 80, 100 …",
                    fraction == BandFraction.Octave && Band.FromNominal(BandFraction.ThirdOctave, band.Hertz) is not null ? "Write 'fraction: third' beside the bands, if they are one-third octaves." : "Write the nominal midband frequency in Hz.");
    }
}
