using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Screening;

/// <summary>What a check found, and the takes it concerns.</summary>
/// <param name="Problem">The finding.</param>
/// <param name="Takes">Identities of the takes; empty when it concerns the whole trial.</param>
public sealed record Finding(Problem Problem, IReadOnlyList<string> Takes)
{
    /// <summary>Bands of these takes that cannot be held against those of other takes; empty when all can, or none in particular.</summary>
    public IReadOnlyList<Band> Bands { get; init; } = [];
}

/// <summary>All takes of a trial beside each other: what the other takes of a condition read, and what each take keeps out.</summary>
/// <remarks>Takes that the user left out are checked like the others but are never what others are held against. Hand-noted readings are held against noted
/// readings alone: a meter and an uncalibrated recorder have no zero in common.</remarks>
internal sealed class ComparedTakes
{
    private readonly Dictionary<(string Take, int Ear), IReadOnlyDictionary<Band, double>> _losses = [];

    public ComparedTakes(TrialDocument document, IReadOnlyList<TakeLevels> takes, IReadOnlyDictionary<string, ChannelLevels> ownNoise)
    {
        (Document, OwnNoise) = (document, ownNoise);
        Readings = [.. takes.Where(t => t.Ears.Count > 0)];
        Takes = [.. Readings.Where(t => !IsNoted(t))];
        Ears = Takes.Count == 0 ? 0 : Takes.Min(t => t.Ears.Count);
        foreach (var group in Readings.GroupBy(t => (t.Entry.Run, t.Entry.Wearer, IsNoted(t))))
            for (var ear = 0; ear < EarsOf(group.First()); ear++)
            {
                var open = group.Where(t => t.Entry.Condition == TrialDocument.OpenEar && t.Entry.Excluded is null).ToList();
                foreach (var take in group)
                {
                    // An open take is held against the other open takes, not against itself.
                    var others = open.Where(o => o != take).ToList();
                    if (others.Count > 0) _losses[(take.Entry.Id, ear)] = Loss(take, others, ear);
                }
            }
    }

    public TrialDocument Document { get; }

    public IReadOnlyDictionary<string, ChannelLevels> OwnNoise { get; }

    /// <summary>Takes with a length: recorded or logged.</summary>
    public IReadOnlyList<TakeLevels> Takes { get; }

    /// <summary>All takes with a level, hand-noted ones among them: for checks that need neither sound nor a length.</summary>
    public IReadOnlyList<TakeLevels> Readings { get; }

    /// <summary>Number of ear microphones that every recorded take has.</summary>
    public int Ears { get; }

    /// <summary>Whether a take is a reading that was noted by hand.</summary>
    public static bool IsNoted(TakeLevels take) => take.Seconds is null;

    /// <summary>Number of ears that a take can be held against others at: one where it was noted.</summary>
    public int EarsOf(TakeLevels take) => IsNoted(take) ? 1 : Ears;

    /// <summary>The condition of a take; null for the open ear.</summary>
    public Condition? ConditionOf(TakeLevels take) => Document.Conditions.FirstOrDefault(c => c.Id == take.Entry.Condition);

    public bool IsActive(TakeLevels take) => ConditionOf(take)?.Mode == "active";

    /// <summary>How much more its kind of device scatters from donning to donning than an over-ear one (method 2.1).</summary>
    public double ScatterFactor(TakeLevels take) => Document.Devices.FirstOrDefault(d => d.Id == ConditionOf(take)?.Device)?.Kind switch { DeviceKind.OnEar => 1.35, DeviceKind.InCanal => 2, _ => 1 };

    /// <summary>Loss by band against the median of the open takes of the same run and wearer, relative to the outside microphone where there is one; null without open takes.</summary>
    public IReadOnlyDictionary<Band, double>? Loss(TakeLevels take, int ear) => _losses.GetValueOrDefault((take.Entry.Id, ear));

    /// <summary>Mean loss over several bands, dB; null when one is missing.</summary>
    public double? Loss(TakeLevels take, int ear, IReadOnlyList<Band> bands) =>
        Loss(take, ear) is { } loss && bands.All(loss.ContainsKey) ? bands.Average(b => loss[b]) : null;

    /// <summary>The other takes of the same condition and wearer that were not left out.</summary>
    public IReadOnlyList<TakeLevels> Others(TakeLevels take) =>
        [.. Takes.Where(t => t != take && t.Entry.Excluded is null && t.Entry.Condition == take.Entry.Condition && t.Entry.Wearer == take.Entry.Wearer)];

    /// <summary>How much louder one ear of a take reads than the median of the other takes of its condition, by band; null with fewer than two others.</summary>
    /// <remarks>As losses where there are open takes, so that a change of the cabin from run to run does not count.</remarks>
    public IReadOnlyDictionary<Band, double>? Excess(TakeLevels take, int ear)
    {
        var others = Others(take);
        if (others.Count < 2) return null;
        var excess = new Dictionary<Band, double>();
        var byLoss = take.Entry.Condition != TrialDocument.OpenEar && Loss(take, ear) is not null && others.All(o => Loss(o, ear) is not null);
        foreach (var band in take.Ears[ear].Bands.Keys)
        {
            if (Reached(take, ear, band)) continue;
            if (byLoss ? !Loss(take, ear)!.ContainsKey(band) || others.Any(o => !Loss(o, ear)!.ContainsKey(band)) : others.Any(o => Level(o, ear, band) is null) || Level(take, ear, band) is null) continue;
            excess[band] = byLoss ? Robust.Median(others.Select(o => Loss(o, ear)![band])) - Loss(take, ear)![band]
                : Level(take, ear, band)!.Value - Robust.Median(others.Select(o => Level(o, ear, band)!.Value));
        }
        return excess;
    }

    /// <summary>Level at the ear, relative to the outside microphone where the design has one, dB.</summary>
    public double? Level(TakeLevels take, int ear, Band band)
    {
        if (!take.Ears[ear].Bands.TryGetValue(band, out var level)) return null;
        if (Document.Design != TrialDesign.OutsideChannel) return level;
        return take.Outside is { } outside && outside.Bands.TryGetValue(band, out var there) ? level - there : null;
    }

    /// <summary>Whether the own noise of the channel lies within 6 dB in this band.</summary>
    public bool Reached(TakeLevels take, int ear, Band band) =>
        OwnNoise.TryGetValue(take.Ears[ear].Channel, out var noise) && noise.Bands.TryGetValue(band, out var floor) && take.Ears[ear].Bands.TryGetValue(band, out var level) && level < floor + 6;

    /// <summary>The place for a message.</summary>
    public string Where(TakeLevels take, int ear) => IsNoted(take) ? $"take {take.Entry.Id}, noted" :
        ChannelTake.Place(Document.Recordings.FirstOrDefault(r => r.Id == take.Entry.Recording)?.Name ?? "", take.Entry.Id, take.Ears[ear].Channel);

    public Finding Finding(TakeLevels take, int ear, string code, Severity severity, string found, string expected, string remedy, double? effect = null) =>
        new(new(code, severity, Where(take, ear), found, expected, remedy, effect), [take.Entry.Id]);

    private Dictionary<Band, double> Loss(TakeLevels take, List<TakeLevels> open, int ear)
    {
        var loss = new Dictionary<Band, double>();
        foreach (var band in take.Ears[ear].Bands.Keys)
            if (Level(take, ear, band) is { } level && open.All(o => Level(o, ear, band) is not null)) loss[band] = Robust.Median(open.Select(o => Level(o, ear, band)!.Value)) - level;
        return loss;
    }
}
