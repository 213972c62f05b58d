using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>All clauses, as data.</summary>
/// <remarks>The union of what these ask for, by their contents and scopes; none is claimed to be followed: ISO 11904-1:2002 (clauses 5 to 11),
/// ISO 5129:2001, ISO 9612:2025, ISO 4869-6:2019, ANSI/ASA S12.42-2010 (7, 9.9), JCGM 100.</remarks>
public static class ClauseList
{
    /// <summary>Every clause in the order of the report.</summary>
    public static IReadOnlyList<Clause> All { get; } =
    [
        new("Identity", "Purpose", r => r.Document.Identity.Purpose),
        new("Identity", "Date", r => r.Document.Identity.Date),
        new("Identity", "Place", r => r.Document.Identity.Place),
        new("Identity", "Operator", r => r.Document.Identity.Operator),
        new("Identity", "Who paid", r => r.Document.Identity.Funding),
        new("Identity", "Loans and interests", r => r.Document.Identity.Interests),

        new("Method statement", "Quantity", r => $"{Words.Quantity(r.Document.Quantity)}: {Words.QuantityExplained(r.Document.Quantity)}"),
        new("Method statement", "Design", r => Words.Design(r.Document.Design)),
        new("Method statement", "Method family and departures", r => FreeFields.Answer(r, "Method statement", "Method family and departures") is { } own ? "Informed by: " + own : "Informed by ISO 11904-1 (microphone in a real ear); departures: field noise instead of a sound field of known kind, "
            + "levels not referred to the undisturbed field, number of wearers as stated here"),

        new("Devices", "General type", r => Devices(r, d => Words.Kind(d.Kind))),
        new("Devices", "Units of each", r => Each(r, "units", "unit", "sample", "count")),
        new("Devices", "Age", r => Each(r, "age", "year", "new", "bought")),
        new("Devices", "Condition of cushion and band", r => Each(r, "cushion", "band", "seal", "condition", "tip")),
        new("Devices", "Mass", r => Devices(r, d => d.MassGrams is { } g ? Words.Number(g, 0) + " g" : null)),
        new("Devices", "Clamp force", r => Devices(r, d => d.ClampNewton is { } n ? Words.Number(n) + " N" : null)),
        new("Devices", "How the clamp force was measured", r => Each(r, "clamp", "force")),
        new("Devices", "Modes", r => Devices(r, d => string.Join(" and ", r.Document.Conditions.Where(c => c.Device == d.Id).Select(c => c.Mode).Distinct(StringComparer.Ordinal)) is { Length: > 0 } m ? m : null)),
        new("Devices", "Firmware", r => Each(r, "firmware", "software", "version")),
        new("Devices", "Battery", r => Each(r, "battery", "batteries")),

        new("People", "Number", r => r.Document.Wearers.Count > 0 ? Words.Count(r.Document.Wearers.Count, "wearer") : null),
        new("People", "Sex", r => Wearers(r, "sex", "gender")),
        new("People", "Head size and ears", r => Wearers(r, "head", "ears")),
        new("People", "Spectacles and jewellery", r => Wearers(r, "spectacle", "glasses", "jewel", "hair", "beard")),
        new("People", "Ears looked into", r => Wearers(r, "ear canals", "otoscop", "canal", "wax")),
        new("People", "Training in fitting", r => Wearers(r, "training", "trained", "experience")),

        new("Fitting", "Who fitted", r => FreeFields.Answer(r, "Fitting", "Who fitted")),
        new("Fitting", "Noise while fitting", r => FreeFields.Answer(r, "Fitting", "Noise while fitting")),
        new("Fitting", "Repeats", r => Join([.. r.Conditions.Where(c => !c.Predicted).Select(c => $"{c.Name}: {Words.Count(c.Fits, "donning")}"), FreeFields.Answer(r, "Fitting", "Repeats")])),
        new("Fitting", "Order and how it was drawn", r => FreeFields.Answer(r, "Fitting", "Order and how it was drawn")),
        new("Fitting", "Rejects with reason", r => r.Takes.Count == 0 ? FreeFields.Answer(r, "Fitting", "Rejects with reason") : Join(
            [r.Takes.Any(t => !t.Used) ? "takes left out: " + string.Join("; ", r.Takes.Where(t => !t.Used).Select(t => $"{t.Entry.Id}, {t.Entry.LeftOut ?? "see findings"}")) : "no take left out",
                FreeFields.Answer(r, "Fitting", "Rejects with reason") is { } own ? "donnings rejected: " + own : null])),

        new("Ear microphone", "Type", r => Channels(r, outside: false, "microphone", "type", "model", "kind")),
        new("Ear microphone", "Size", r => Channels(r, outside: false, "size", "diameter")),
        new("Ear microphone", "Ear and position", r => Join([Ears(r), Channels(r, outside: false, "position", "place", "where")])),
        new("Ear microphone", "Response and how known", r => Channels(r, outside: false, "response", "frequency")),
        new("Ear microphone", "Cable path", r => Channels(r, outside: false, "cable")),
        new("Reference microphone", "Position", r => Channels(r, outside: true, "position", "place", "where")),
        new("Reference microphone", "Type", r => Channels(r, outside: true, "microphone", "type", "model", "kind")),

        new("Measuring chain", "Recorder", r => FreeFields.Answer(r, "Measuring chain", "Recorder")),
        new("Measuring chain", "Bit depth", r => FreeFields.Answer(r, "Measuring chain", "Bit depth")),
        new("Measuring chain", "Sampling rate", r => FreeFields.Answer(r, "Measuring chain", "Sampling rate")),
        new("Measuring chain", "Gain", r => FreeFields.Answer(r, "Measuring chain", "Gain")),
        new("Measuring chain", "Automatic functions off, and how proved", r => FreeFields.Answer(r, "Measuring chain", "Automatic functions off, and how proved")),
        new("Measuring chain", "Class of filters", r => FreeFields.Answer(r, "Measuring chain", "Class of filters")
            ?? r.Method.Settings.Where(s => s.Key.Contains("filter", StringComparison.OrdinalIgnoreCase)).Select(s => s.Value).FirstOrDefault()),
        new("Measuring chain", "Weighting", r => FreeFields.Answer(r, "Measuring chain", "Weighting") ?? "A and C for overall values; bands unweighted"),

        new("Calibration", "Level", r => Calibrations(r, c => r.Mode == TrialMode.Absolute ? Words.Decibels(c.LevelDecibels) : null)),
        new("Calibration", "Frequency", r => Calibrations(r, c => c.FrequencyHertz is { } f ? Words.Number(f, 0) + " Hz" : null)),
        new("Calibration", "Before and after", r => Calibrations(r, c => c.When)),
        new("Calibration", "Static pressure", r => Calibrations(r, c => c.PressureKilopascal is { } p ? Words.Number(p) + " kPa" : null)),
        new("Calibration", "Temperature", r => FreeFields.Each([("Cabin", r.Document.Noise), ("Chain", r.Document.Chain)], "temperature")),
        new("Calibration", "Drift (more than 0.5 dB: discard)", r => Join(r.Calibrations.Where(c => c.DriftDecibels is not null).Select(c => $"{c.Channel}: {Words.Number(c.DriftDecibels!.Value, 2)} dB"))),

        new("Noise", "Type of vehicle", r => FreeFields.Answer(r, "Noise", "Type of vehicle")),
        new("Noise", "Power", r => FreeFields.Answer(r, "Noise", "Power")),
        new("Noise", "Revolutions", r => FreeFields.Answer(r, "Noise", "Revolutions")),
        new("Noise", "Speed", r => FreeFields.Answer(r, "Noise", "Speed")),
        new("Noise", "Altitude", r => FreeFields.Answer(r, "Noise", "Altitude")),
        new("Noise", "Doors, windows, heater", r => FreeFields.Answer(r, "Noise", "Doors, windows, heater")),
        new("Noise", "Phase", r => FreeFields.Answer(r, "Noise", "Phase")),
        new("Noise", "Averaging time", r => FreeFields.Answer(r, "Noise", "Averaging time") ?? Lengths(r)),
        new("Noise", "Spectrum", r => r.OpenSpectrum.Count > 0 ? $"open ear, {Words.Count(r.OpenSpectrum.Count, "band")}, in the figures" : null),
        new("Noise", "Tones", r => FreeFields.Answer(r, "Noise", "Tones")),
        new("Noise", "C-weighted minus A-weighted level", r => r.OpenEarLevel is { A: { } a, C: { } c } && a.In(r.Document.Scope) is { } ea && c.In(r.Document.Scope) is { } ec
            ? Words.Decibels(ec.Value - ea.Value) : null),

        new("Communication", "Off or on", r => FreeFields.Answer(r, "Communication", "Off or on")),
        new("Communication", "Volume position", r => FreeFields.Answer(r, "Communication", "Volume position")),
        new("Communication", "Share of talking", r => FreeFields.Answer(r, "Communication", "Share of talking")),
        new("Communication", "Squelch", r => FreeFields.Answer(r, "Communication", "Squelch")),

        new("Results", "Each donning and the mean", r => r.Conditions.Any(c => c.FitsDetail.Count > 0) ? "in the table of donnings and the table of losses" : null),
        new("Results", "Bands", r => Bands(r)),
        new("Results", "A and C", r => r.Conditions.Any(c => c.Loss is { A: not null, C: not null }) ? "both, in the table of losses"
            : r.Conditions.Any(c => c.Loss.A is not null) ? "A only" : null),
        new("Results", "Both ears", r => r.Document.Channels.Count(c => !c.Outside) > 1 ? "more than one ear microphone; a reading is the mean of the ears" : Ears(r) is { } e ? e + " only" : null),
        new("Results", "Graph on the same axes", r => r.Conditions.Any(c => c.Loss.Bands.Count > 0) ? "loss in each band, the same axes for every device" : null),

        .. new[] { "Calibration", "Microphone response", "Position", "Change of the noise", "Donning", "Finite time", "Conversion to the field" }
            .Select(s => new Clause("Uncertainty", s, r => Budget(r, s))),
        new("Uncertainty", "Coverage", _ => "95\u00A0% intervals of the posterior distribution"),
        new("Uncertainty", "Not included", _ => "other wearers than those named, other units of the devices, other noises, wear over the day"),

        new("Exposure", "Rule set used", r => Exposure(r, "Rule set used")),
        new("Exposure", "Duration", r => Exposure(r, "Duration")),
        new("Exposure", "Time with the device off", r => Exposure(r, "Time with the device off")),
        new("Exposure", "Action or limit value", r => Exposure(r, "Action or limit value") ?? Judged(r)),

        new("Limits", "Not a certification", _ => "stated under Cautions"),
        new("Limits", "Not a rating", _ => "stated under Cautions"),
        new("Limits", "Not for impulsive noise", _ => "stated under Cautions"),
        new("Limits", "Valid for these heads and this noise", _ => "stated under Cautions"),

        new("Data", "Files", r => r.Inputs.Count > 0 ? Words.Count(r.Inputs.Count, "file") : null),
        new("Data", "Hashes", r => r.Inputs.Count > 0 ? "SHA-256 of each file" : null),
        new("Data", "Software version", r => "Hushtrial " + r.Version),
        new("Data", "Settings", r => r.Method.Settings.Count > 0 ? "in the table of settings" : null),
        new("Data", "All exclusions", r => r.Takes.Count == 0 ? null : $"{Words.Count(r.Takes.Count(t => !t.Used), "take")} left out of {r.Takes.Count.ToString(CultureInfo.InvariantCulture)}"),
    ];

    private static readonly Dictionary<string, string[]> _sources = new(StringComparer.Ordinal)
    {
        ["Calibration"] = ["calibrat"],
        ["Microphone response"] = ["response"],
        ["Position"] = ["position", "placed", "put back", "episode"],
        ["Change of the noise"] = ["wander", "ambient", "change", "drift", "trend"],
        ["Donning"] = ["donning", "fit", "seal"],
        ["Finite time"] = ["sampling", "inside", "finite"],
        ["Conversion to the field"] = ["field", "conversion", "transfer"],
    };

    private static string? Join(IEnumerable<string?> parts) => string.Join("; ", parts.Where(p => !string.IsNullOrWhiteSpace(p))) is { Length: > 0 } joined ? joined : null;

    private static string? Devices(TrialResults r, Func<Device, string?> find) => Join(r.Document.Devices.Select(d => find(d) is { } text ? $"{d.Name}: {text}" : null));

    private static string? Each(TrialResults r, params string[] words) => FreeFields.Each(r.Document.Devices.Select(d => (d.Name, d.Details)), words);

    private static string? Wearers(TrialResults r, params string[] words) => FreeFields.Each(r.Document.Wearers.Select(w => (w.Name ?? w.Id, w.Details)), words);

    private static string? Channels(TrialResults r, bool outside, params string[] words) => FreeFields.Each(r.Document.Channels.Where(c => c.Outside == outside).Select(c => (c.Id, c.Details)), words);

    private static string? Ears(TrialResults r) => Join(r.Document.Channels.Where(c => !c.Outside && c.Ear is not null).Select(c => c.Ear + " ear").Distinct(StringComparer.Ordinal));

    private static string? Calibrations(TrialResults r, Func<CalibrationEntry, string?> find) => Join(r.Document.Calibrations.Select(c => find(c) is { } text ? $"{c.Channel}: {text}" : null).Distinct(StringComparer.Ordinal));

    private static string? Lengths(TrialResults r)
    {
        var seconds = r.Takes.Where(t => t is { Used: true, Seconds: not null }).Select(t => t.Seconds!.Value).ToList();
        return seconds.Count == 0 ? null : seconds.Max() - seconds.Min() < 0.05 ? $"{Words.Number(seconds[0])} s a take" : $"{Words.Number(seconds.Min())} to {Words.Number(seconds.Max())} s a take";
    }

    private static string? Bands(TrialResults r)
    {
        var bands = r.Conditions.SelectMany(c => c.Loss.Bands).Where(b => b.Valid).Select(b => b.Band).Distinct().Order().ToList();
        return bands.Count == 0 ? null : $"{bands[0]} to {bands[^1]}" + (bands.Any(b => b.Fraction == BandFraction.ThirdOctave) ? ", one-third octaves" : ", octaves") + " where trusted";
    }

    // Without calibration nothing about exposure may be said, whatever the document wishes for.
    private static string? Exposure(TrialResults r, string clause) => r.Mode == TrialMode.Relative ? "cannot be said: not calibrated" : FreeFields.Answer(r, "Exposure", clause);

    // The levels that the day was held against, where the document names none of its own.
    private static string? Judged(TrialResults r) => r.Exposure is not { Conditions: [var first, ..] } ? null : Join(first.Rules.SelectMany(x => x.Thresholds.Select(t => (t.Threshold.Level, t.Threshold.ProtectorCounted, x.Rules.ShortName)))
        .GroupBy(t => (t.Level, t.ProtectorCounted)).OrderByDescending(g => g.Key.ProtectorCounted).ThenBy(g => g.Key.Level)
        .Select(g => $"{Words.Number(g.Key.Level.Decibels, 0)} dB(A) {(g.Key.ProtectorCounted ? "at the ear" : "outside the device")} ({string.Join(", ", g.Select(t => t.ShortName).Distinct(StringComparer.Ordinal))})"));

    private static string? Budget(TrialResults r, string clause)
    {
        var lines = r.Conditions.Select(c => c.Loss.A?.In(r.Document.Scope)).OfType<Estimate>().SelectMany(e => e.Budget)
            .Where(b => _sources[clause].Any(w => b.Source.Contains(w, StringComparison.OrdinalIgnoreCase))).ToList();
        if (lines.Count == 0) return clause == "Calibration" ? "cancels in the loss; enters levels at the ear" : null;
        double low = lines.Min(l => l.StandardUncertainty), high = lines.Max(l => l.StandardUncertainty);
        return $"{Words.Number(low, 2)} to {Words.Number(high, 2)} dB in the A-weighted loss";
    }
}
