using System.Globalization;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>What a sound document still leaves open: too few open-ear takes, one fit of each device, things listed and not used.
/// Warnings and notes only; excluded takes do not count as evidence.</summary>
internal static class EvidenceChecks
{
    public static void Check(TrialDocument document, Draft draft, DocumentProblems problems)
    {
        var takes = document.Takes.Zip(draft.Takes, (entry, written) => new DatedTake(document, entry, written.Map)).Where(t => t.Entry.LeftOut is null).ToList();
        Stated(document, draft, problems);
        if (takes.Count == 0)
            problems.Warning("DOC-080", draft.Root.PlaceOf("takes"), "takes", "no take that is used", "at least one take of every condition", "Add the takes when they are made; there is nothing to analyse before.");
        else
        {
            BracketChecks.Check(document, draft, takes, problems);
            Fits(document, draft, takes, problems);
            Returns(takes, problems);
        }
        Unused(document, draft, problems);
    }

    private static void Stated(TrialDocument document, Draft draft, DocumentProblems problems)
    {
        if (document.MarginSet is null)
            problems.Note("DOC-081", draft.Trial.Place, "trial", "no statement of when the margin was set", "'margin_set', before results were seen", "A margin chosen afterwards proves nothing; write down when it was set and by whom.");
        if (StatedGain.Of(document) == GainStatement.On && draft.Root.Map("chain") is { } chain)
            problems.Warning("DOC-122", chain.PlaceOf("automatic_functions"), chain.PathTo("automatic_functions"), "automatic gain that was on, as stated", "a gain that stays as it was set",
                "A gain control of ratio c divides every loss by c. Neither losses nor hours can be trusted unless two calibrator levels 20 dB apart, or the takes themselves, prove that the gain stayed the same. Switch it off and record again.");
        foreach (var calibration in draft.List("calibrations").Where(c => c.Text("calibrator") == "piston" && !c.Has("pressure_kpa")))
            problems.Warning("DOC-090", calibration.PlaceOf("calibrator"), calibration.PathTo("calibrator"), "a piston-type calibrator without static pressure", "'pressure_kpa'",
                "A piston gives less the thinner the air is: 1.6 dB less at 5000 ft than at sea level. Differences stand, levels and hours do not.");
        foreach (var device in document.Devices)
        {
            var map = draft.Find("devices", device.Id)!;
            var conditions = document.Conditions.Where(c => c.Device == device.Id).ToList();
            if (!device.Measurable && (device.Published is null || device.Published.Bands.Count == 0))
                problems.Warning("DOC-091", map.Place, map.Path, $"the device '{device.Id}', which is not measurable and has no published bands", "'published' with 'bands'", "Without them nothing can be said about it.");
            if (conditions.Count > 0 && device.Published?.Claims.Any(c => c.Part == "active") == true && conditions.TrueForAll(c => c.Mode == "passive"))
                problems.Note("DOC-092", map.Place, map.Path, $"a claim about the active part of '{device.Id}', which has only passive conditions", "a condition with 'mode: active'", "The claim cannot be tested in this trial.");
        }
    }

    private static void Fits(TrialDocument document, Draft draft, List<DatedTake> takes, DocumentProblems problems)
    {
        var fits = takes.Where(t => !t.Entry.IsOpen).GroupBy(t => t.Entry.Condition).ToDictionary(g => g.Key, g => g.Select(t => t.Entry.Fit).Distinct().Count(), StringComparer.Ordinal);
        var once = document.Conditions.Where(c => fits.GetValueOrDefault(c.Id) == 1).Select(c => c.Id).ToList();
        if (once.Count > 0 && once.Count == fits.Count)
            problems.Note("DOC-085", draft.Root.PlaceOf("conditions"), "conditions", "one fit of every condition", "several fits, which differ by a few dB",
                string.Create(CultureInfo.InvariantCulture, $"The general statement is based on an assumed donning scatter of {document.DonningScatterMedian} dB and stays wide; put the devices on again to narrow it."));
        else if (once.Count > 0)
            problems.Note("DOC-085", draft.Root.PlaceOf("conditions"), "conditions", $"one fit of {string.Join(", ", once)}", "several fits, which differ by a few dB", "Its interval borrows the donning scatter from the other conditions; put it on again to narrow it.");
        if (document.Quantity == MeasuredQuantity.ActivePart
            && !takes.Where(t => t.Entry.Fit is not null).GroupBy(t => t.Entry.Fit).Any(f => Modes(f).Contains("passive") && Modes(f).Count > 1))
        {
            problems.Warning("DOC-088", draft.Trial.PlaceOf("quantity"), draft.Trial.PathTo("quantity"), "the quantity active-part without a fit that was taken passive and active", "both modes in the same fit", "Take both without touching the device, off-on-on-off, and name the same fit.");
            return;
        }
        Partners(document, takes, problems);

        HashSet<string> Modes(IEnumerable<DatedTake> fit) => [.. fit.Select(t => document.Conditions.First(c => c.Id == t.Entry.Condition).Mode)];
    }

    /// <summary>The active part is off minus on of one fit: what lacks its other side is left out.</summary>
    private static void Partners(TrialDocument document, List<DatedTake> takes, DocumentProblems problems)
    {
        if (document.Quantity != MeasuredQuantity.ActivePart) return;
        var partners = ActivePartners.Of(document);
        var reference = partners.Values.ToHashSet(StringComparer.Ordinal);
        foreach (var fit in takes.Where(t => t.Entry.Fit is not null).GroupBy(t => (t.Entry.Run, t.Entry.Wearer, t.Entry.Fit)))
        {
            var there = fit.Select(t => t.Entry.Condition).ToHashSet(StringComparer.Ordinal);
            foreach (var alone in there.Where(c => partners.TryGetValue(c, out var off) ? !there.Contains(off) : !reference.Contains(c) || !partners.Any(p => p.Value == c && there.Contains(p.Key))))
            {
                var take = fit.First(t => t.Entry.Condition == alone);
                var other = partners.TryGetValue(alone, out var off) ? $"a take of '{off}'" : partners.FirstOrDefault(p => p.Value == alone).Key is { } on ? $"a take of '{on}'" : "a condition of the same device, worn alike, in the other mode, with a take";
                problems.Warning("DOC-094", take.Map.Place, take.Map.Path, $"the condition '{alone}' alone in the fit '{fit.Key.Fit}'", $"{other} in the same fit",
                    "Without its other side this fit says nothing about the active part and is left out. Take off and on without touching the device, off-on-on-off.");
            }
        }
    }

    /// <summary>A device that was taken off and put on again is in another fit: the same fit cannot go on after another.</summary>
    private static void Returns(List<DatedTake> takes, DocumentProblems problems)
    {
        foreach (var sequence in takes.Where(t => t.Time is not null).GroupBy(t => t.Line))
        {
            var ended = new Dictionary<string, string>(StringComparer.Ordinal);
            DatedTake? previous = null;
            foreach (var take in sequence.OrderBy(t => t.Time))
            {
                if (previous?.Entry.Fit is { } left && left != take.Entry.Fit) ended[left] = take.Entry.Id;
                if (take.Entry.Fit is { } fit && fit != previous?.Entry.Fit && ended.TryGetValue(fit, out var between))
                    problems.Warning("DOC-086", take.Map.PlaceOf("fit"), take.Map.PathTo("fit"), $"the fit '{fit}' again in take '{take.Entry.Id}', after take '{between}' of another", "a new fit each time a device is put on",
                        "If the device came off in between, this is another fit: give it a name of its own. Counting two fits as one hides their scatter.");
                previous = take;
            }
        }
    }

    private static void Unused(TrialDocument document, Draft draft, DocumentProblems problems)
    {
        foreach (var condition in document.Conditions.Where(c => draft.IsMeasurable(draft.Find("conditions", c.Id)) && document.Takes.Count > 0 && !document.Takes.Any(t => t.Condition == c.Id && t.LeftOut is null)))
            Warn("conditions", condition.Id, $"the condition '{condition.Id}' without a take that is used", "a take of it", "Nothing will be said about it.");
        foreach (var device in document.Devices.Where(d => !document.Conditions.Any(c => c.Device == d.Id)))
            Warn("devices", device.Id, $"the device '{device.Id}' without a condition", "a condition with this device", "Nothing will be said about it.");
        foreach (var fit in document.Fits.Where(f => !document.Takes.Any(t => t.Fit == f.Id)))
            Warn("fits", fit.Id, $"the fit '{fit.Id}', which no take names", "fits that takes name", DocumentProblems.DidYouMean(fit.Id, document.Takes.Select(t => t.Fit).OfType<string>().Distinct().Except(document.Fits.Select(f => f.Id)), "Correct its name, or remove it."));
        foreach (var recording in document.Recordings.Where(r => !document.Takes.Any(t => t.Recording == r.Id) && !document.Calibrations.Any(c => c.Recording == r.Id) && !document.Channels.Any(c => c.NoiseRecording == r.Id) && document.Listening?.Recordings.Contains(r.Id, StringComparer.Ordinal) != true && !document.Cabins.Any(c => c.Recording == r.Id)
            && !(r is { Recorder: not null, Run: not null } && document.ChannelsOf(r).Any(c => c.Outside))))
        {
            var map = draft.Find("recordings", recording.Id)!;
            problems.Note("DOC-087", map.Place, map.Path, $"the recording '{recording.Id}', which nothing names", "recordings that takes or calibrations name", "It will not be read.");
        }

        foreach (var log in document.Logs.Where(l => !l.Outside && !document.Takes.Any(t => t.Log == l.Id)))
        {
            var map = draft.Find("logs", log.Id)!;
            problems.Note("DOC-087", map.Place, map.Path, $"the log '{log.Id}', which no take names", "logs that takes name", "It will not be read.");
        }

        void Warn(string section, string id, string found, string expected, string remedy)
        {
            var map = draft.Find(section, id)!;
            problems.Warning("DOC-087", map.Place, map.Path, found, expected, remedy);
        }
    }
}

/// <summary>A take with its time: on the clock of its run, or within its recording when there is no clock.</summary>
internal sealed record DatedTake(TrialDocument Document, TakeEntry Entry, BoundMap Map)
{
    private RecordingEntry? Recording => Document.Recordings.FirstOrDefault(r => r.Id == Entry.Recording);

    /// <summary>Start, s; null when it has none.</summary>
    public double? Time => Entry.Log is not null ? Entry.LogFrom : Entry.Recording is null ? Entry.Clock : Own(Entry.From);

    /// <summary>End, s.</summary>
    public double? End => Entry.Log is not null ? Entry.LogTo : Entry.Recording is null ? Entry.Clock : Own(Entry.To);

    /// <summary>Times of one line can be compared: one wearer, one run, one clock (a recording without clock is a line of its own).</summary>
    public (string Run, string? Wearer, string? Recording) Line => (Entry.Run, Entry.Wearer, Entry.Recording is not null && Recording?.StartClock is null ? Entry.Recording : null);

    private double? Own(double? second) => second is { } own ? Recording?.Clock.At(own) : null;
}
