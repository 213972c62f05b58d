using System.Globalization;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>The noise of another cabin is typed or recorded, and its bands agree with the levels stated beside them.</summary>
internal static class CabinChecks
{
    // Bands to a tenth give a total to a tenth; 1 dB is a missing or mistyped band, or a weighting counted twice.
    private const double MostDisagreement = 1;

    public static void Check(BoundMap cabin, DocumentProblems problems)
    {
        DesignChecks.Bands(cabin, "bands", problems);
        if (!cabin.Has("bands") == !cabin.Has("recording"))
            problems.Error("DOC-095", cabin.Place, cabin.Path, cabin.Has("bands") ? "a cabin with both 'bands' and 'recording'" : "a cabin without its noise", "either 'bands' or 'recording'",
                "Type the band levels, or name the recording and the span that hold the noise.");
        foreach (var key in new[] { "channel", "from", "to" }.Where(k => cabin.Has(k) && !cabin.Has("recording")))
            problems.Error("DOC-095", cabin.PlaceOf(key), cabin.PathTo(key), $"'{key}' with typed bands", $"'{key}' with a 'recording' only", "Remove it, or name the recording.");
        if (cabin.Seconds("from") >= cabin.Seconds("to"))
            problems.Error("DOC-050", cabin.PlaceOf("to"), cabin.PathTo("to"), $"a span from {cabin.Find("from")!.Text} to {cabin.Find("to")!.Text}", "an end after the start", "Check the two times.");
        Totals(cabin, problems);
    }

    private static void Totals(BoundMap cabin, DocumentProblems problems)
    {
        var fraction = DesignChecks.FractionOf(cabin);
        var written = cabin.List<BandValue>("bands");
        if (written.Count == 0 || written.Any(b => Band.FromNominal(fraction, b.Hertz) is null) || cabin.IsFaulty("bands") || cabin.IsFaulty("fraction") || cabin.IsFaulty("weighting")) return;
        var levels = Assembly.Cabin(cabin).Typed!;
        foreach (var (key, weighting) in new[] { ("level_a", FrequencyWeighting.A), ("level_c", FrequencyWeighting.C) })
            if (cabin.Number(key) is { } stated && levels.Total(weighting).Decibels - stated is var off && Math.Abs(off) > MostDisagreement)
                problems.Warning("DOC-096", cabin.PlaceOf(key), cabin.PathTo(key),
                    string.Create(CultureInfo.InvariantCulture, $"{stated:0.0} dB({weighting}), where the bands give {levels.Total(weighting).Decibels:0.0}"), "bands that add up to the stated level within 1 dB",
                    off < 0 ? "Are bands missing, or are they A-weighted already? Then write 'weighting: A'. The bands are what is used." : "Check the bands: they are what is used.", off);
    }
}

/// <summary>The segments of a day can be summed.</summary>
internal static class WeekChecks
{
    public static void Check(BoundMap exposure, DocumentProblems problems)
    {
        var days = exposure.List<BoundMap>("week");
        if (days.Sum(d => d.Number("times") ?? 1) is var times and > 7)
            problems.Error("DOC-097", exposure.PlaceOf("week"), exposure.PathTo("week"), string.Create(CultureInfo.InvariantCulture, $"a week of {times:0} days"), "at most 7 days", "Correct 'times'.");
        foreach (var day in days) Day(day, problems);
    }

    private static void Day(BoundMap day, DocumentProblems problems)
    {
        var segments = day.List<BoundMap>("segments");
        if (segments.Sum(s => s.Number("hours") ?? 0) is var hours and > 24)
            problems.Error("DOC-097", day.PlaceOf("segments"), day.PathTo("segments"), string.Create(CultureInfo.InvariantCulture, $"a day of {hours:0.##} h"), "at most 24 h", "Correct the hours of its segments.");
        foreach (var segment in segments)
        {
            if (segment.Has("condition") == segment.Has("level_a"))
                Fault(segment, "condition", segment.Has("condition") ? "a segment with a condition and a stated level" : "a segment without a level", "either 'condition' or 'level_a'", "Say what is worn, or state the level without a device.");
            if (segment.Number("off_minutes") > 60 * segment.Number("hours") + 1e-9)
                Fault(segment, "off_minutes", "more minutes off than the segment lasts", "at most the whole segment", "Correct the minutes or the hours.");
            if (segment.Has("comms_level_a") != segment.Has("comms_share_percent"))
                Fault(segment, "comms_level_a", "communication without its level or its share", "'comms_level_a' and 'comms_share_percent' together", "Add the one that is missing.");
            if (!segment.IsFaulty("condition") && segment.Text("condition") is null or TrialDocument.OpenEar && (segment.Has("off_minutes") || segment.Has("one_ear_off")))
                Fault(segment, "hours", "a device off in a segment without a device", "no 'off_minutes' and no 'one_ear_off' there", "Name the condition that is worn, or remove them.");
        }

        void Fault(BoundMap segment, string key, string found, string expected, string remedy) =>
            problems.Error("DOC-097", segment.PlaceOf(key), segment.Path, found, expected, remedy);
    }
}
