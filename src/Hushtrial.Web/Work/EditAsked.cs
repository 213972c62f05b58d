using System.Text.Json.Serialization;
using Hushtrial.Trials.Document;

namespace Hushtrial.Web.Work;

/// <summary>A change as a page sends it: exactly one of the kinds is given.</summary>
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
    public IReadOnlyList<EditAsked>? Several { get; init; }

    /// <summary>The edit; null when the request gives none or several kinds.</summary>
    public DraftEdit? ToEdit()
    {
        var given = new DraftEdit?[]
        {
            Set is { } s ? new DraftEdit.Set(s.Path, string.IsNullOrEmpty(s.Value) ? null : s.Value) : null,
            Add is { } a ? new DraftEdit.Add(a.Section, [.. a.Fields], a.Before) : null,
            Remove is { } r ? new DraftEdit.Remove(r.Section, r.Entry) : null,
            Move is { } m ? new DraftEdit.Move(m.Section, m.Entry, m.To) : null,
            Rename is { } n ? new DraftEdit.Rename(n.Section, n.Id, n.NewId) : null,
            Several is { Count: > 0 } all && all.Select(e => e.ToEdit()).ToList() is var edits && edits.TrueForAll(e => e is not null) ? new DraftEdit.Several([.. edits.OfType<DraftEdit>()]) : null,
        }.OfType<DraftEdit>().ToList();
        return given.Count == 1 ? given[0] : null;
    }

    internal sealed record SetAsked(string Path, string? Value);

    internal sealed record AddAsked(string Section, IReadOnlyDictionary<string, string> Fields, string? Before);

    internal sealed record EntryAsked(string Section, string Entry);

    internal sealed record MoveAsked(string Section, string Entry, int To);

    internal sealed record RenameAsked(string Section, string Id, string NewId);
}
