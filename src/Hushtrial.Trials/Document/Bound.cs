namespace Hushtrial.Trials.Document;

/// <summary>A value that fits its shape, with its place and the text it was read from.</summary>
/// <remarks>Value is a string, double, bool, decimal (seconds, exact to the microsecond), BoundMap, list of BoundMap,
/// list of BandValue, roles by column, list of texts, or list of pairs, as the shape says.</remarks>
internal sealed record Bound(Place Place, string Text, object Value);

/// <summary>One band of a published or hand-noted spectrum.</summary>
internal sealed record BandValue(double Hertz, double Mean, double? Deviation, Place Place);

/// <summary>A map that fits its shape as far as it could be read. A key that was written but could not be read is known, so that
/// one fault does not bring a second message.</summary>
internal sealed class BoundMap(Place place, string path)
{
    private readonly List<KeyValuePair<string, Bound>> _values = [];
    private readonly Dictionary<string, Bound> _byKey = new(StringComparer.Ordinal);
    private readonly HashSet<string> _faulty = new(StringComparer.Ordinal);

    public Place Place { get; } = place;

    /// <summary>The way of keys and identities that leads here, for messages.</summary>
    public string Path { get; } = path;

    /// <summary>In the order written.</summary>
    public IReadOnlyList<KeyValuePair<string, Bound>> Values => _values;

    public void Add(string key, Bound value)
    {
        _values.Add(new(key, value));
        _byKey[key] = value;
    }

    public void AddFaulty(string key)
    {
        _faulty.Add(key);
        if (_byKey.Remove(key)) _values.RemoveAll(v => v.Key == key);
    }

    /// <summary>Whether something was written, readable or not.</summary>
    public bool Has(string key) => _byKey.ContainsKey(key) || _faulty.Contains(key);

    /// <summary>Whether something was written that could not be read.</summary>
    public bool IsFaulty(string key) => _faulty.Contains(key);

    public Bound? Find(string key) => _byKey.GetValueOrDefault(key);

    /// <summary>The place of a key's value, or of the map.</summary>
    public Place PlaceOf(string key) => Find(key)?.Place ?? Place;

    public string? Text(string key) => Find(key)?.Value as string;

    public double? Number(string key) => Find(key)?.Value as double?;

    public decimal? Seconds(string key) => Find(key)?.Value as decimal?;

    public bool? Flag(string key) => Find(key)?.Value as bool?;

    public BoundMap? Map(string key) => Find(key)?.Value as BoundMap;

    public IReadOnlyList<T> List<T>(string key) => Find(key)?.Value as IReadOnlyList<T> ?? [];

    /// <summary>The way to one of its keys.</summary>
    public string PathTo(string key) => Path.Length == 0 ? key : $"{Path}, {key}";
}
