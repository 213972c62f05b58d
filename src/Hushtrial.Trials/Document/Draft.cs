using System.Globalization;

namespace Hushtrial.Trials.Document;

/// <summary>The bound document with its identities: what the checks look at before the immutable document is made.</summary>
internal sealed class Draft
{
    private readonly Dictionary<string, Dictionary<string, BoundMap>> _byId = new(StringComparer.Ordinal);
    private readonly HashSet<string> _incomplete;

    public Draft(BoundMap root, HashSet<string> incomplete)
    {
        (Root, _incomplete) = (root, incomplete);
        foreach (var section in Sections)
        {
            var ids = _byId[section] = new(StringComparer.Ordinal);
            foreach (var entry in List(section))
                if (entry.Text("id") is { } id) ids.TryAdd(id, entry);
        }
        Takes = [.. List("takes").Select(t => new DraftTake(t, this))];
    }

    /// <summary>Sections whose entries have identities.</summary>
    public static IReadOnlyList<string> Sections { get; } = ["wearers", "channels", "recordings", "logs", "cabins", "devices", "conditions", "runs", "fits", "takes"];

    public BoundMap Root { get; }

    /// <summary>The trial's own section; an empty one when it could not be read.</summary>
    public BoundMap Trial => Root.Map("trial") ?? new BoundMap(Root.Place, "trial");

    public string? Quantity => Trial.Text("quantity");

    public string? Design => Trial.Text("design");

    public IReadOnlyList<DraftTake> Takes { get; }

    public IReadOnlyList<BoundMap> List(string section) => Root.List<BoundMap>(section);

    public IReadOnlyCollection<string> Ids(string section) => _byId[section].Keys;

    public BoundMap? Find(string section, string? id) => id is null ? null : _byId[section].GetValueOrDefault(id);

    /// <summary>Whether every identity of a section could be read.</summary>
    public bool IsComplete(string section) => !_incomplete.Contains(section) && !Root.IsFaulty(section);

    /// <summary>Whether the device of a condition can be measured; true when it is not known.</summary>
    public bool IsMeasurable(BoundMap? condition) => Find("devices", condition?.Text("device"))?.Flag("measurable") ?? true;
}

/// <summary>A take with what it leaves to others filled in: its run, and the wearer when there is only one.</summary>
internal sealed class DraftTake
{
    public DraftTake(BoundMap map, Draft draft)
    {
        Map = map;
        Recording = draft.Find("recordings", map.Text("recording"));
        Log = draft.Find("logs", map.Text("log"));
        Condition = IsOpen ? null : draft.Find("conditions", map.Text("condition"));
        Run = map.Text("run") ?? Recording?.Text("run") ?? Log?.Text("run") ?? (draft.List("runs") is [var only] ? only.Text("id") : null);
        Wearer = draft.List("wearers").Count > 1 ? map.Text("wearer") : null;
    }

    public BoundMap Map { get; }

    public BoundMap? Recording { get; }

    public BoundMap? Log { get; }

    /// <summary>The entry of its condition; null for the open ear.</summary>
    public BoundMap? Condition { get; }

    public string? Run { get; }

    public string? Wearer { get; }

    public string Name => Map.Text("id") is { } id ? $"take '{id}'" : string.Create(CultureInfo.InvariantCulture, $"the take in line {Map.Place.Line}");

    public bool IsOpen => Map.Text("condition") == TrialDocument.OpenEar;

    public string? Fit => Map.Text("fit");

    public decimal? From => Map.Seconds("from");

    public decimal? To => Map.Seconds("to");

    public bool IsExcluded => Map.Has("excluded");

    public bool HasInterval => Map.Has("recording") || Map.Has("from") || Map.Has("to");

    public bool HasLog => Map.Has("log") || Map.Has("clock_from") || Map.Has("clock_to") || Map.Has("line_from") || Map.Has("line_to");

    public bool HasReading => Map.Has("reading_a") || Map.Has("reading_c") || Map.Has("reading_bands");
}
