using Hushtrial.Hearing.Speech;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Document;

/// <summary>What has to be heard, from the bound document and back to its keys.</summary>
internal static class ListeningText
{
    // Common practice, no source: a level read off a meter while somebody talks; a recording; a figure from a data sheet.
    private const double SpeechUncertainty = 2, RecordedUncertainty = 1, StatedUncertainty = 2;

    public static ListeningPlan? Read(BoundMap? map, Func<decimal?, double?> seconds)
    {
        if (map is null) return null;
        NamedSpan? Span(BoundMap? span, string from = "from", string to = "to") => span?.Text("recording") is { } recording && seconds(span.Seconds(from)) is { } f && seconds(span.Seconds(to)) is { } t
            ? new(recording, f, t) : null;
        return new(map.Map("speech") is { } speech ? Speech(speech) : null,
            [.. map.List<BoundMap>("warnings").Select(w => new WarningHeard(w.Text("id")!, w.Text("name") ?? w.Text("id")!, w.Text("place"), w.Text("way") == "headset" ? SoundWay.Headset : SoundWay.Air,
                Span(w), Span(w, "background_from", "background_to"), Bands(w), w.Number("uncertainty_db") ?? (w.Has("bands") ? StatedUncertainty : RecordedUncertainty))
            {
                Under = [.. w.List<BoundMap>("under").Select(u => new WarningUnder(u.Text("condition")!, Span(u.Map("sound")), Span(u.Map("background")),
                    u.Text("heard") switch { "clearly" => GroundHearing.Clearly, "faintly" => GroundHearing.Faintly, "not" => GroundHearing.Not, _ => null }, u.Text("by")))],
            })],
            [.. map.List<BoundMap>("quiet").Select(q => new QuietPair(q.Text("condition")!, Span(q.Map("on"))!, Span(q.Map("off"))!))], map.Number("one_ear_off_percent"));
    }

    private static SpeechHeard Speech(BoundMap s)
    {
        var headset = s.Text("way") == "headset";
        var bands = Bands(s);
        return new(headset ? SoundWay.Headset : SoundWay.Air, s.Number("level_db"), bands.Count > 0 ? null : Enum.Parse<VocalEffort>(s.Text("effort") ?? "raised", ignoreCase: true), bands,
            s.Number("low_hz") ?? (headset ? RadioSpeech.UsualChannel.Low.Hertz : null), s.Number("high_hz") ?? (headset ? RadioSpeech.UsualChannel.High.Hertz : null),
            s.Number("uncertainty_db") ?? SpeechUncertainty,
            s.Text("rule") switch { "fixed-ratio" => ListeningRule.FixedRatio, "follows-noise" => ListeningRule.FollowsNoise, _ => ListeningRule.FixedVolume }, s.Text("set_under"), s.Text("source"));
    }

    private static IReadOnlyList<KeyValuePair<Band, double>> Bands(BoundMap map) =>
        [.. map.List<BandValue>("bands").Select(b => new KeyValuePair<Band, double>(Band.FromNominal(DesignChecks.FractionOf(map), b.Hertz)!.Value, b.Mean)).OrderBy(b => b.Key)];

    public static YamlMap? Write(ListeningPlan? plan, Func<double?, YamlFlow?> span, Func<IReadOnlyList<KeyValuePair<Band, double>>, YamlFlow?> bands)
    {
        if (plan is null) return null;
        YamlMap Span(NamedSpan s) => new YamlMap().Add("recording", s.Recording).Add("from", span(s.From)).Add("to", span(s.To));
        string? Fraction(IReadOnlyList<KeyValuePair<Band, double>> b) => b.Any(x => x.Key.Fraction == BandFraction.ThirdOctave) ? "third" : null;
        return new YamlMap()
            .Add("speech", plan.Speech is not { } s ? null : new YamlMap().Add("way", s.Way == SoundWay.Headset ? "headset" : "air").Add("level_db", s.LevelA)
                .Add("effort", s.Effort?.ToString().ToLowerInvariant()).Add("bands", bands(s.Bands)).Add("fraction", Fraction(s.Bands)).Add("low_hz", s.LowHertz).Add("high_hz", s.HighHertz)
                .Add("uncertainty_db", s.Uncertainty).Add("rule", s.Rule switch { ListeningRule.FixedRatio => "fixed-ratio", ListeningRule.FollowsNoise => "follows-noise", _ => "fixed-volume" })
                .Add("set_under", s.SetUnder).Add("source", s.Source))
            .Add("warnings", plan.Warnings.Select(w => new YamlMap().Add("id", w.Id).Add("name", w.Name).Add("place", w.Place).Add("way", w.Way == SoundWay.Headset ? "headset" : "air")
                .Add("recording", w.Span?.Recording).Add("from", span(w.Span?.From)).Add("to", span(w.Span?.To)).Add("background_from", span(w.Background?.From)).Add("background_to", span(w.Background?.To))
                .Add("bands", bands(w.Bands)).Add("fraction", Fraction(w.Bands)).Add("uncertainty_db", w.Uncertainty)
                .Add("under", w.Under.Select(u => new YamlMap().Add("condition", u.Condition).Add("sound", u.Sound is { } sound ? Span(sound) : null).Add("background", u.Background is { } quiet ? Span(quiet) : null)
                    .Add("heard", u.Heard?.ToString().ToLowerInvariant()).Add("by", u.By)))))
            .Add("quiet", plan.Quiet.Select(q => new YamlMap().Add("condition", q.Condition).Add("on", Span(q.On)).Add("off", Span(q.Off))))
            .Add("one_ear_off_percent", plan.OneEarOffPercent);
    }
}
