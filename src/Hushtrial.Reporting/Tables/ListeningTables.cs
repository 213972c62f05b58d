using System.Globalization;
using Hushtrial.Hearing.Audibility;
using Hushtrial.Hearing.Speech;
using Hushtrial.Reporting.Wording;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Tables;

/// <summary>What is heard under each device, in numbers; comfort beside, never in decibels.</summary>
public static class ListeningTables
{
    private static readonly string[] _comfort = ["comfort", "clamp_measured", "cushions", "battery", "price", "alarms"];

    /// <summary>Speech by condition; null when nothing was calculated.</summary>
    public static ReportTable? Speech(TrialResults results)
    {
        if (results.Listening?.Speech is not { Procedure: { } procedure } speech) return null;
        Cell Rule(ConditionSpeech row, ListeningRule rule) => row.ByRule.Where(r => r.Key == rule).Select(r => new Cell(Words.Number(r.Value, 2))).FirstOrDefault() ?? Cell.Nothing;
        return new ReportTable("table-speech", "Speech under each device",
            [new("Condition"), new("Index", "0 to 1, 95\u00A0%", true), new("In words", "ISO 9921"), new("Speech", "dB(A) at the ear", true), new("Noise", "dB(A) at the ear", true),
                new("Volume as set", "index", true), new("Same distance", "index", true), new("Following", "index", true)],
            [.. speech.Conditions.Where(c => c.Index is not null).Select(c => new Row([c.Name, new((c.AtLeast ? "≥\u00A0" : "") + Words.Number(c.Index!.Value, 2), $"{Words.Number(c.Index.Low, 2)} to {Words.Number(c.Index.High, 2)}"), c.Rating.ToString()!, Cell.Of(c.SpeechLevelA), Cell.Of(c.NoiseLevelA),
                    Rule(c, ListeningRule.FixedVolume), Rule(c, ListeningRule.FixedRatio), Rule(c, ListeningRule.FollowsNoise)]))],
            [
                $"Informed by {ListeningWords.Procedure(procedure)}, importance of average speech, normal hearing; {ListeningWords.Speech(speech)}{Band(speech.Heard)}, standard uncertainty of the level {Words.Decibels(speech.Heard.Uncertainty)}."
                    + (speech.Heard.Source is { } s ? $" Level: {s}." : ""),
                "The interval carries that of the noise at the ear, all its bands together, and that of the speech level. Speech and noise are taken at the ear microphone and not converted to the field: what the ear adds is in both.",
                .. speech.Heard.Way == SoundWay.Headset ? new[] { "‘Open ear’ stands for the same speech level at the uncovered ear. A wearer of a quieter device may turn the radio down again. The last columns show the index with the volume left as set, set to the same distance over the noise, and following the noise by 0.42\u00A0dB for each dB.", $"Following: {HeadsetVolume.Source}; that the noise left under a device acts like a quieter room is our reading." } : ["Speech through the air loses what the noise loses."],
                .. Unsaid(speech.Conditions.Select(c => (c.Name, c.WhyNot))),
                .. speech.Conditions.Any(c => c.AtLeast) ? new[] { "≥: the microphone’s own noise was reached in some bands, so the noise is at most and the index at least this." } : [],
            ]).WithoutEmptyColumns();
    }

    /// <summary>Every warning sound by condition.</summary>
    public static IEnumerable<ReportTable> Warnings(TrialResults results)
    {
        foreach (var warning in results.Listening?.Warnings ?? [])
        {
            if (warning.Conditions.Count == 0) continue;
            var recorded = warning.Conditions.Any(c => c.RecordedUnder);
            yield return new ReportTable($"table-warning-{warning.Warning.Id}", $"{warning.Warning.Name}, {(warning.Warning.Way == SoundWay.Air ? "through the air" : "through the headset")}",
                [new("Condition"), new("It is"), new("Over the masked threshold", "dB, 95\u00A0%", true), new("Best band"), new("Over the noise in it", "dB", true), new("Over all the noise", "dB(A)", true),
                    new("The sound under it"), new("By ear on the ground"), new("Who listened", Wide: true)],
                [.. warning.Conditions.Where(c => c.Judgement is not null || c.HeardOnGround is not null).Select(c => Row(c, recorded))],
                [
                    $"Rule: {AudibilityRule.Iso7731FromMemory.Source}, not checked against the document: one octave 10\u00A0dB or one one-third octave 13\u00A0dB over the masked threshold, or 15\u00A0dB(A) over the noise; the masked threshold falls by 7.5\u00A0dB per octave towards higher bands. "
                        + "Besides, a danger signal is asked to have at least 65\u00A0dB(A) where it is to be heard, from memory too; the verdicts leave that out. "
                        + "‘Clearly heard’ is said only when the lower 95\u00A0% limit meets it.",
                    (warning.LevelA is { } level ? $"The sound: {Words.Number(level)} dB(A)" : "The sound: no absolute level, set against the noise of the same microphone") + (warning.Warning.Place is { } place ? $", {place}" : "") + $"; standard uncertainty {Words.Decibels(warning.Warning.Uncertainty)}.",
                    .. Unsaid(warning.Conditions.Select(c => (c.Name, c.WhyNot))),
                    .. recorded ? ["Recorded under it: on the ground, in one donning; another donning may let more or less of it through, and the interval holds that."] : Array.Empty<string>(),
                    .. warning.Conditions.Any(c => c.HeardOnGround is not null) ? ["By ear on the ground: it is quiet there, so it never makes a verdict better; what was not heard clearly there is never called clearly heard."] : Array.Empty<string>(),
                    "Confirm by ear before flight.",
                ]).WithoutEmptyColumns();
        }
    }

    private static Row Row(ConditionWarning c, bool recorded) => new([c.Name, c.Verdict is { } verdict ? ListeningWords.Verdict(verdict) : Cell.Nothing, Of(c.Excess), c.Judgement is { } j ? j.BestBand.Band.ToString() : Cell.Nothing,
        c.Judgement is { } n ? Words.Number((n.BestBand.Signal - n.BestBand.Noise).Decibels) : Cell.Nothing, c.Judgement is { } a ? Words.Number(a.SignalOverNoiseA.Decibels) : Cell.Nothing,
        recorded && c.Judgement is not null ? c.RecordedUnder ? "recorded under it" : c.Condition == TrialDocument.OpenEar ? "as recorded" : "its loss taken off" : Cell.Nothing,
        c.HeardOnGround switch { GroundHearing.Clearly => "heard clearly", GroundHearing.Faintly => "heard faintly", GroundHearing.Not => "not heard", _ => Cell.Nothing }, Text(c.HeardBy)]);

    /// <summary>Noise only and as heard; null when neither takes nor a stated level tell.</summary>
    public static ReportTable? Comms(TrialResults results) => results.Listening?.Comms is not { } comms ? null : new ReportTable("table-comms", "Noise only, and as heard with radio and intercom",
        [new("Condition"), new("From"), new("Talk", "% of the time", true), new("Adds", "dB", true), new("Of the energy", "%", true), new("Noise only", "dB(A), 95\u00A0%", true), new("As heard", "dB(A), 95\u00A0%", true),
            new("Time, noise only", "allowed", true), new("Time, as heard", "allowed", true)],
        [.. comms.Conditions.Select(c => new Row([c.Name, c.Reckoned ? "reckoned" : Words.Count(c.Takes, "take"), Words.Number(100 * c.TalkShare, 0), Words.Number(c.Added), Words.Number(100 * c.EnergyShare, 0),
            Of(c.NoiseOnly), Of(c.AsHeard), Hours(c.AllowedNoiseOnly), Hours(c.AllowedAsHeard)]))],
        [
            "In takes with radio on, half seconds more than 3\u00A0dB over the level that four fifths of them exceed count as talk (common practice, no source); the rest is the noise of the same moment.",
            .. comms.Conditions.Any(c => c.Reckoned) ? new[] { "Reckoned: from the stated speech level and share of talk time, the volume left as set; not measured." } : [],
            "The share of the sound energy is that of the dose under a rule with a 3\u00A0dB exchange. Times allowed: informed by " + comms.Rules + ", no finding under it; local rules come first.",
            .. comms.Conditions.Where(c => c.Remark is not null).Select(c => $"{c.Name}: {c.Remark}"),
        ]).WithoutEmptyColumns();

    /// <summary>The uncovered ear; null when not asked.</summary>
    public static ReportTable? OneEarOff(TrialResults results) => results.Listening?.OneEarOff is not { } answer ? null : new("table-one-ear", $"One ear uncovered for {answer.Percent.ToString("0.#", CultureInfo.InvariantCulture)}\u00A0% of the time",
        [new("Condition"), new("That ear, over the whole time", "dB(A), 95\u00A0%", true)], [.. answer.Conditions.Select(c => new Row([c.Name, Of(c.Level)]))],
        ["Energy mean of the open ear for that share and of the covered ear for the rest; the two intervals are taken to move together."]);

    /// <summary>Mass, clamp force and what was written of comfort; null when nothing was.</summary>
    public static ReportTable? Comfort(TrialResults results)
    {
        var devices = results.Document.Devices.Select(d => (Device: d, Notes: _comfort.Select(k => d.Details.FirstOrDefault(x => x.Key == k).Value).ToList(), Fits: FitComfort(results.Document, d))).ToList();
        if (devices.All(d => d.Device.MassGrams is null && d.Device.ClampNewton is null && d.Notes[0] is null && d.Fits is null)) return null;
        return new ReportTable("table-comfort", "Comfort and what goes with it, as written down",
            [new("Device"), new("Mass", "g", true), new("Clamp force", "N", true), new("Comfort", Wide: true), new("Fit by fit", Wide: true), new("How the clamp was measured", Wide: true), new("Cushions", Wide: true), new("Battery", Wide: true), new("Price"), new("Alarms checked", Wide: true)],
            [.. devices.Select(d => new Row([d.Device.Name, d.Device.MassGrams is { } m ? Words.Number(m, 0) : Cell.Nothing, Cell.Of(d.Device.ClampNewton), Text(d.Notes[0]), Text(d.Fits), Text(d.Notes[1]), Text(d.Notes[2]), Text(d.Notes[3]), Text(d.Notes[4]), Text(d.Notes[5])]))],
            ["Shown beside the decibels and never merged into them: no score is made of it."]).WithoutEmptyColumns();
    }

    private static IEnumerable<string> Unsaid(IEnumerable<(string Name, string? WhyNot)> rows) =>
        rows.Where(r => r.WhyNot is not null).GroupBy(r => r.WhyNot).Select(g => $"Not said of {string.Join(", ", g.Select(r => Words.Isolated(r.Name)))}: {g.Key}.");

    private static string? FitComfort(TrialDocument document, Device device)
    {
        var conditions = document.Conditions.Where(c => c.Device == device.Id).Select(c => c.Id).ToHashSet(StringComparer.Ordinal);
        var told = document.Takes.Where(t => conditions.Contains(t.Condition) && t.Fit is not null).Select(t => t.Fit!).Distinct(StringComparer.Ordinal)
            .Select(f => (Fit: f, Said: document.Fits.FirstOrDefault(x => x.Id == f)?.Details.FirstOrDefault(x => x.Key == "comfort").Value)).Where(f => f.Said is not null).Select(f => $"{f.Fit}: {f.Said}").ToList();
        return told.Count == 0 ? null : string.Join("; ", told);
    }

    private static string Band(SpeechHeard heard) => heard is { LowHertz: { } low, HighHertz: { } high } ? $", pass band {Words.Number(low, 0)} to {Words.Number(high, 0)} Hz" : "";

    private static Cell Text(string? text) => text is null ? Cell.Nothing : new(text);

    private static Cell Of(Interval? interval) => interval is { } i ? new(Words.Number(i.Value), Words.Range(i.Low, i.High)) : Cell.Nothing;

    private static Cell Hours(double? hours) => hours is not { } h ? Cell.Nothing : h >= 24 ? "more than 24\u00A0h" : h >= 1 ? $"{Words.Number(h)}\u00A0h" : $"{Words.Number(60 * h, 0)}\u00A0min";
}
