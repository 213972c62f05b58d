using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Pairing;

/// <summary>From takes to the readings of the estimator: own noise off, outside channel off, ears together, episodes found.</summary>
/// <param name="Readings">One per used take.</param>
/// <param name="Bands">Bands that occur in any used take, rising.</param>
/// <param name="NoiseEffects">What the own noise did, by condition and band: the worst effect of its takes and the mean uncertainty it leaves, dB.</param>
/// <param name="TakeScatterFloors">Least standard deviation of a take by name of quantity, dB.</param>
public sealed record ReadingTable(IReadOnlyList<Reading> Readings, IReadOnlyList<Band> Bands,
    IReadOnlyDictionary<(string Condition, Band Band), (OwnNoiseEffect Effect, double Uncertainty)> NoiseEffects,
    IReadOnlyDictionary<string, double> TakeScatterFloors)
{
    /// <summary>What to add to a fitted level to make it a level at the ear, by name of quantity, dB: with an outside channel the mean level outside, else nothing.</summary>
    public IReadOnlyDictionary<string, double> Ambient { get; init; } = new Dictionary<string, double>(StringComparer.Ordinal);

    /// <summary>How much louder it was outside during a condition than with the open ear, by condition and name of quantity, dB; taken off every reading.</summary>
    public IReadOnlyDictionary<(string Condition, string Quantity), double> CabinChanges { get; init; } = new Dictionary<(string, string), double>();

    /// <summary>Gains of safety tracks that readings rest on.</summary>
    public IReadOnlyList<SafetyShare> SafetyShares { get; init; } = [];

    /// <summary>Share of the outside level that is taken off, by name of quantity; an absent one is 1.</summary>
    public IReadOnlyDictionary<string, double> OutsideShares { get; init; } = new Dictionary<string, double>(StringComparer.Ordinal);

    /// <summary>How levels at the ear are referred to the field.</summary>
    public FieldTransfer Field { get; init; } = FieldTransfer.Unknown("as read at the microphone");

    /// <summary>What was found while the readings were made.</summary>
    public IReadOnlyList<Problem> Problems { get; init; } = [];

    /// <summary>The readings that a quantity is made of.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="quantity">A level difference needs no open ear, so that its readings are those of worn devices; an active part takes the donnings that were read
    /// both off and on, and only what has a partner in them.</param>
    public IReadOnlyList<Reading> For(TrialDocument document, MeasuredQuantity quantity)
    {
        if (quantity == MeasuredQuantity.InsertionLoss) return Readings;
        if (quantity == MeasuredQuantity.LevelDifference) return [.. Readings.Where(r => r.Donning is not null)];
        var partners = ActivePartners.Of(document);
        return [.. Readings.Where(r => r.Donning is not null).GroupBy(r => (r.Flight, r.Wearer, r.Donning)).SelectMany(donning =>
        {
            var there = donning.Select(r => r.Condition).ToHashSet(StringComparer.Ordinal);
            var paired = partners.Where(p => there.Contains(p.Key) && there.Contains(p.Value)).SelectMany(p => new[] { p.Key, p.Value }).ToHashSet(StringComparer.Ordinal);
            return donning.Where(r => paired.Contains(r.Condition));
        })];
    }

    /// <summary>What the open takes show at claimed frequencies.</summary>
    public IReadOnlyDictionary<double, OpenTone> Tones { get; init; } = new Dictionary<double, OpenTone>();

    /// <summary>Builds the table.</summary>
    /// <param name="takes">All takes as measured.</param>
    /// <param name="noise">Own-noise levels by channel; a channel without an entry has no known noise.</param>
    /// <param name="design">With an outside channel its level is subtracted inside every reading, so that the ambient cancels.</param>
    /// <param name="quantity">A level difference is ear against the whole outside level by definition; for the others a windy outside microphone is subtracted in part.</param>
    /// <param name="field">How levels at the ear are referred to the field; null: not at all.</param>
    public static ReadingTable From(IReadOnlyList<TakeLevels> takes, IReadOnlyDictionary<string, ChannelLevels> noise, TrialDesign design, MeasuredQuantity quantity = MeasuredQuantity.InsertionLoss,
        FieldTransfer? field = null)
    {
        var shares = design == TrialDesign.OutsideChannel && quantity != MeasuredQuantity.LevelDifference ? OutsideShare.Of(OpenPairs(takes, noise)) : new Dictionary<string, double>(StringComparer.Ordinal);
        double Share(string name) => shares.TryGetValue(name switch { QuantityName.FieldA => QuantityName.A, QuantityName.FieldC => QuantityName.C, _ => name }, out var k) ? k : 1;
        var readings = new List<Reading>();
        var bands = new SortedSet<Band>();
        var seen = new Dictionary<(string, Band), (OwnNoiseEffect Effect, double Sum, int Count)>();
        foreach (var (take, episode) in Episodes(takes))
        {
            var ears = take.Ears.Select(e => OwnNoise.TakeOff(e, noise.GetValueOrDefault(e.Channel))).ToList();
            var outside = design == TrialDesign.OutsideChannel && take.Outside is { } o ? OwnNoise.TakeOff(o, noise.GetValueOrDefault(o.Channel)).Levels : null;
            if (design == TrialDesign.OutsideChannel && outside is null) continue;
            var values = new Dictionary<string, double>(StringComparer.Ordinal);
            Add(values, QuantityName.A, Mean(ears, e => e.Levels.A), Share(QuantityName.A) * outside?.A, outside is not null);
            Add(values, QuantityName.C, Mean(ears, e => e.Levels.C), Share(QuantityName.C) * outside?.C, outside is not null);
            if (field is { Source: not FieldSource.None })
            {
                Add(values, QuantityName.FieldA, Mean(ears, e => e.Levels.A + field.Shift(e.Levels.Bands, FrequencyWeighting.A)), Share(QuantityName.FieldA) * outside?.A, outside is not null);
                Add(values, QuantityName.FieldC, Mean(ears, e => e.Levels.C + field.Shift(e.Levels.Bands, FrequencyWeighting.C)), Share(QuantityName.FieldC) * outside?.C, outside is not null);
            }
            foreach (var band in ears[0].Levels.Bands.Keys)
            {
                if (Add(values, QuantityName.Of(band), Mean(ears, e => e.Levels.Bands.TryGetValue(band, out var l) ? l : null),
                    outside is not null && outside.Bands.TryGetValue(band, out var out1) ? Share(QuantityName.Of(band)) * out1 : null, outside is not null)) bands.Add(band);
                var effect = ears.Max(e => e.Effects.GetValueOrDefault(band));
                var uncertainty = ears.Average(e => e.Uncertainties.GetValueOrDefault(band));
                var old = seen.GetValueOrDefault((take.Entry.Condition, band));
                seen[(take.Entry.Condition, band)] = ((OwnNoiseEffect)Math.Max((int)old.Effect, (int)effect), old.Sum + uncertainty, old.Count + 1);
            }
            foreach (var hertz in take.Ears[0].Looks.Select(l => l.Hertz))
            {
                var near = take.Ears.Select(e => e.Looks.FirstOrDefault(l => l.Hertz == hertz)?.NoiseLevel).ToList();
                Add(values, QuantityName.Near(hertz), near.Any(n => n is null) ? null : near.Average(), outside?.Looks.FirstOrDefault(l => l.Hertz == hertz)?.NoiseLevel, outside is not null);
            }
            readings.Add(new(take.Entry.Run, take.Entry.Wearer, take.Clock, episode, take.Entry.Fit, take.Entry.Condition, values, take.Entry.Id));
        }
        var ambient = AmbientLevels.Of(takes, design).ToDictionary(a => a.Key, a => Share(a.Key) * a.Value, StringComparer.Ordinal);
        foreach (var (of, from) in new[] { (QuantityName.FieldA, QuantityName.A), (QuantityName.FieldC, QuantityName.C) })
        {
            if (ambient.TryGetValue(from, out var level)) ambient[of] = level;
            if (shares.TryGetValue(from, out var k)) shares = new Dictionary<string, double>(shares, StringComparer.Ordinal) { [of] = k };
        }
        return new(readings, [.. bands], seen.ToDictionary(s => s.Key, s => (s.Value.Effect, s.Value.Sum / s.Value.Count)), Pairing.TakeScatterFloors.Of(takes, design, Share))
        {
            Ambient = ambient, SafetyShares = SafetyShare.Of(takes, design), CabinChanges = Pairing.CabinChanges.Of(takes, design), OutsideShares = shares, Field = field ?? FieldTransfer.Unknown("as read at the microphone"),
            Tones = OpenTone.Of(takes), Problems = OutsideShare.Finding(shares) is { } finding ? [finding] : [],
        };
    }

    private static List<OpenPair> OpenPairs(IReadOnlyList<TakeLevels> takes, IReadOnlyDictionary<string, ChannelLevels> noise)
    {
        var pairs = new List<OpenPair>();
        foreach (var take in takes.Where(t => t.Used && t.Entry.Condition == TrialDocument.OpenEar && t.Outside is not null))
        {
            var ears = take.Ears.Select(e => OwnNoise.TakeOff(e, noise.GetValueOrDefault(e.Channel))).ToList();
            pairs.Add(new($"{take.Entry.Run}\u001f{take.Entry.Wearer}", Named(read => Mean(ears, e => read(e.Levels)), ears[0].Levels), Named(read => read(OwnNoise.TakeOff(take.Outside!, noise.GetValueOrDefault(take.Outside!.Channel)).Levels), take.Outside!)));
        }
        return pairs;
    }

    private static Dictionary<string, double> Named(Func<Func<ChannelLevels, double?>, double?> read, ChannelLevels bands)
    {
        var named = new Dictionary<string, double>(StringComparer.Ordinal);
        if (read(l => l.A) is { } a) named[QuantityName.A] = a;
        if (read(l => l.C) is { } c) named[QuantityName.C] = c;
        foreach (var band in bands.Bands.Keys)
            if (read(l => l.Bands.TryGetValue(band, out var level) ? level : null) is { } level) named[QuantityName.Of(band)] = level;
        return named;
    }

    /// <summary>The used takes with the episode each belongs to: an uninterrupted run of one condition in one donning, or one open bracket.
    /// A take that was left out still interrupts: the microphone was put back after it.</summary>
    private static IEnumerable<(TakeLevels Take, string Episode)> Episodes(IReadOnlyList<TakeLevels> takes)
    {
        foreach (var run in takes.Where(t => t.Used || t.Clock is not null).GroupBy(t => (t.Entry.Run, t.Entry.Wearer)))
        {
            var ordered = run.All(t => t.Clock is not null) ? run.OrderBy(t => t.Clock).ToList() : run.ToList();
            var number = 0;
            for (var i = 0; i < ordered.Count; i++)
            {
                if (i == 0 || (ordered[i].Entry.Condition, ordered[i].Entry.Fit) != (ordered[i - 1].Entry.Condition, ordered[i - 1].Entry.Fit)) number++;
                if (ordered[i].Used) yield return (ordered[i], string.Create(CultureInfo.InvariantCulture, $"{run.Key.Run}/{run.Key.Wearer}/{number}"));
            }
        }
    }

    private static double? Mean(List<CorrectedLevels> ears, Func<CorrectedLevels, double?> level)
    {
        // The two ears of one donning are not two donnings: their mean is one reading.
        var levels = ears.Select(level).ToList();
        return levels.Any(l => l is null) ? null : levels.Average();
    }

    private static bool Add(Dictionary<string, double> values, string name, double? level, double? outside, bool relative)
    {
        if (level is not { } l || (relative && outside is null)) return false;
        values[name] = l - (outside ?? 0);
        return true;
    }
}
