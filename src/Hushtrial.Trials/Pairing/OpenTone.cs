using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Pairing;

/// <summary>What the open takes show at a claimed frequency: the mean of their looks.</summary>
/// <param name="ToneHertz">Frequency of the strongest tone in its one-third octave, Hz; null when fewer than half of the looks show one.</param>
/// <param name="ToneExcess">Level of the band less its level without tones, dB.</param>
/// <param name="CentroidHertz">Energy centroid of the band, Hz.</param>
public sealed record OpenTone(double? ToneHertz, double ToneExcess, double CentroidHertz)
{
    /// <summary>By claimed frequency; one that was not looked at is absent.</summary>
    public static IReadOnlyDictionary<double, OpenTone> Of(IReadOnlyList<TakeLevels> takes) =>
        takes.Where(t => t.Used && t.Entry.Condition == TrialDocument.OpenEar).SelectMany(t => t.Ears).SelectMany(e => e.Looks).GroupBy(l => l.Hertz).ToDictionary(g => g.Key, g =>
        {
            var tones = g.Where(l => l.ToneHertz is not null).ToList();
            return tones.Count * 2 > g.Count() ? new OpenTone(tones.Average(l => l.ToneHertz!.Value), g.Average(l => l.ToneExcess), g.Average(l => l.CentroidHertz)) : new(null, 0, g.Average(l => l.CentroidHertz));
        });
}
