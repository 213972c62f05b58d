using System.Text.Json.Serialization;
using Hushtrial.Trials.Document;

namespace Hushtrial.Web.Work;

/// <summary>A change as a page sends it: exactly one of the kinds is given. Whatever a sender leaves out is null here, whatever the kind asks for.</summary>
internal sealed record EditAsked
{
    [JsonPropertyName("set")]
    public SetAsked? Set { get; init; }

    [JsonPropertyName("add")]
    public AddAsked? Add { get; init; }

    [JsonPropertyName("remove")]
    public EntryAsked? Remove { get; init; }

    [JsonPropertyName("move")]
    public MoveAsked? Move { get; init; }

    [JsonPropertyName("rename")]
    public RenameAsked? Rename { get; init; }

    [JsonPropertyName("several")]
    public IReadOnlyList<EditAsked?>? Several { get; init; }

    /// <summary>The edit; null when the request gives none, several kinds, or not all that its kind needs.</summary>
    public DraftEdit? ToEdit() => new object?[] { Set, Add, Remove, Move, Rename, Several }.Count(k => k is not null) != 1 ? null : this switch
    {
        { Set: { Path: { } path } set } => new DraftEdit.Set(path, string.IsNullOrEmpty(set.Value) ? null : set.Value),
        { Add: { Section: { } section, Fields: { } fields } add } when fields.Values.All(v => v is not null) => new DraftEdit.Add(section, [.. fields.Select(f => KeyValuePair.Create(f.Key, f.Value!))], add.Before),
        { Remove: { Section: { } section, Entry: { } entry } } => new DraftEdit.Remove(section, entry),
        { Move: { Section: { } section, Entry: { } entry, To: var to } } => new DraftEdit.Move(section, entry, to),
        { Rename: { Section: { } section, Id: { } id, NewId: { } newId } } => new DraftEdit.Rename(section, id, newId),
        { Several: { Count: > 0 } all } when all.Select(e => e?.ToEdit()).ToList() is var edits && edits.TrueForAll(e => e is not null) => new DraftEdit.Several([.. edits.OfType<DraftEdit>()]),
        _ => null,
    };

    internal sealed record SetAsked(string? Path, string? Value);

    internal sealed record AddAsked(string? Section, IReadOnlyDictionary<string, string?>? Fields, string? Before);

    internal sealed record EntryAsked(string? Section, string? Entry);

    internal sealed record MoveAsked(string? Section, string? Entry, int To);

    internal sealed record RenameAsked(string? Section, string? Id, string? NewId);
}
