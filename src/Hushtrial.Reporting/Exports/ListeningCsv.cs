using System.Text;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>What is heard, as CSV files; none when the trial does not ask.</summary>
internal static class ListeningCsv
{
    /// <summary>The files that have a record.</summary>
    public static IEnumerable<ExportFile> Files(TrialResults results)
    {
        if (results.Listening is not { } listening) yield break;
        if (listening.Speech is { Conditions.Count: > 0 } speech) yield return File("listening-speech.csv", Speech(speech));
        if (listening.Warnings.Any(w => w.Conditions.Count > 0)) yield return File("listening-warnings.csv", Warnings(listening.Warnings));
        if (listening.Hiss.Count > 0) yield return File("listening-hiss.csv", Hiss(listening.Hiss));
        if (listening.Comms is { } comms) yield return File("listening-comms.csv", Comms(comms));
    }

    private static Csv Speech(SpeechAnswer speech)
    {
        var csv = new Csv("condition", "name", "sii", "sii_low95", "sii_high95", "at_least", "rating", "speech_level_dba", "noise_level_dba", "rule", "sii_by_rule", "why_not");
        foreach (var c in speech.Conditions)
        {
            IEnumerable<(string? Rule, double? Value)> rules = c.ByRule.Count == 0 ? [(null, null)] : c.ByRule.Select(r => ((string?)JsonListening.Rule(r.Key), (double?)r.Value));
            foreach (var (rule, value) in rules)
                csv.Row(c.Condition, c.Name, c.Index?.Value, c.Index?.Low, c.Index?.High, c.AtLeast, c.Rating?.ToString(), c.SpeechLevelA, c.NoiseLevelA, rule, value, c.WhyNot);
        }
        return csv;
    }

    private static Csv Warnings(IReadOnlyList<WarningAnswer> warnings)
    {
        var csv = new Csv("warning", "condition", "name", "verdict", "excess_db", "excess_low95_db", "excess_high95_db", "required_db", "best_band_hz", "signal_over_noise_best_band_db", "signal_over_noise_dba", "recorded_under", "heard_on_ground", "heard_by", "why_not");
        foreach (var w in warnings)
            foreach (var c in w.Conditions)
                csv.Row(w.Warning.Id, c.Condition, c.Name, JsonListening.Verdict(c.Verdict), c.Excess?.Value, c.Excess?.Low, c.Excess?.High, c.Required, c.Judgement?.BestBand.Band.NominalHertz,
                    c.Judgement is { } j ? (j.BestBand.Signal - j.BestBand.Noise).Decibels : null, c.Judgement?.SignalOverNoiseA.Decibels, c.RecordedUnder, JsonListening.Heard(c.HeardOnGround), c.HeardBy, c.WhyNot);
        return csv;
    }

    private static Csv Hiss(IReadOnlyList<HissAnswer> answers)
    {
        var csv = new Csv("condition", "midband_hz", "rise_db", "on_db_re_20_upa", "off_db_re_20_upa", "hiss_db_re_20_upa", "threshold_db_re_20_upa", "hidden_by", "verdict");
        foreach (var h in answers)
            foreach (var b in h.Bands) csv.Row(h.Condition, b.Band.NominalHertz, b.Rise, b.On, b.Off, b.Hiss, b.Threshold, b.HiddenBy, JsonListening.HissWord(h.Verdict));
        return csv;
    }

    private static Csv Comms(CommsAnswer comms)
    {
        var csv = new Csv("condition", "name", "reckoned", "takes", "talk_share", "adds_db", "energy_share", "noise_only_dba", "as_heard_dba", "as_heard_low95_dba", "as_heard_high95_dba", "rules", "allowed_hours_noise_only", "allowed_hours_as_heard");
        foreach (var c in comms.Conditions)
            csv.Row(c.Condition, c.Name, c.Reckoned, c.Takes, c.TalkShare, c.Added, c.EnergyShare, c.NoiseOnly?.Value, c.AsHeard?.Value, c.AsHeard?.Low, c.AsHeard?.High, comms.Rules, c.AllowedNoiseOnly, c.AllowedAsHeard);
        return csv;
    }

    private static ExportFile File(string name, Csv csv) => new(name, "text/csv", Encoding.UTF8.GetBytes(csv.ToString()));
}
