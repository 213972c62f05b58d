using System.Globalization;

namespace Hushtrial.Trials.Document;

/// <summary>One change of a draft. Values are kept as typed, also while they are wrong; the reader says what is wrong with them.</summary>
/// <remarks>Paths lead as 'trial.title', 'devices[alder].published.bands', 'calibrations[#0].level_db' (entries without identity by
/// ordinal, from 0), 'devices[alder].other.Own name'.</remarks>
public abstract record DraftEdit
{
    private DraftEdit() { }

    /// <summary>One line for the history: 'Device alder: kind over-ear → helmet'.</summary>
    /// <param name="before">The draft that it is applied to.</param>
    public abstract string Summary(TrialDraft before);

    /// <summary>The places whose value decides whether the edit still means the same in another state of the draft; "" is the whole document.</summary>
    public abstract IReadOnlyList<string> Touches(TrialDraft before);

    /// <summary>Writes a value. A list or map is given as YAML flow text: '[a, b]', '{ 125: [14.2, 3.1] }'.</summary>
    /// <param name="Path">The place; keys on the way that are not there yet are made, entries are not.</param>
    /// <param name="Value">The value as typed; null or blank removes the key.</param>
    public sealed record Set(string Path, string? Value) : DraftEdit
    {
        /// <inheritdoc/>
        public override string Summary(TrialDraft before)
        {
            ArgumentNullException.ThrowIfNull(before);
            var (place, key) = DraftWords.Place(Path);
            var old = before.Value(Path);
            var change = (string.IsNullOrWhiteSpace(old), string.IsNullOrWhiteSpace(Value)) switch
            {
                (_, true) => $"{key} {DraftWords.Short(old)} removed",
                (true, _) => $"{key} {DraftWords.Short(Value)}",
                _ => $"{key} {DraftWords.Short(old)} → {DraftWords.Short(Value)}",
            };
            return place.Length == 0 ? DraftWords.Capital(change) : $"{place}: {change}";
        }

        /// <inheritdoc/>
        public override IReadOnlyList<string> Touches(TrialDraft before) => [Path, .. DraftWords.Ordinals(Path)];
    }

    /// <summary>Adds an entry to a list.</summary>
    /// <param name="Section">The list: 'devices', or 'devices[alder].published.claims'.</param>
    /// <param name="Fields">Its keys, as paths from the entry, with values as in <see cref="Set"/>.</param>
    /// <param name="Before">The entry to put it in front of; null: at the end.</param>
    public sealed record Add(string Section, IReadOnlyList<KeyValuePair<string, string>> Fields, string? Before = null) : DraftEdit
    {
        /// <summary>The identity among the fields; null when there is none.</summary>
        public string? Id => (Fields ?? []).LastOrDefault(f => f.Key == "id").Value;

        /// <inheritdoc/>
        public override string Summary(TrialDraft before)
        {
            ArgumentNullException.ThrowIfNull(before);
            return $"{DraftWords.Entry(Section, Id ?? string.Create(CultureInfo.InvariantCulture, $"#{before.Ids(Section).Count}"))} added";
        }

        /// <inheritdoc/>
        public override IReadOnlyList<string> Touches(TrialDraft before) =>
            [.. DraftWords.Ordinals(Section), .. Before is null ? [] : new[] { $"{Section}[{Before}].id" }, .. Before is ['#', ..] ? new[] { Section } : []];
    }

    /// <summary>Removes an entry. What refers to it stays, for the reader to name.</summary>
    public sealed record Remove(string Section, string Entry) : DraftEdit
    {
        /// <inheritdoc/>
        public override string Summary(TrialDraft before) => $"{DraftWords.Entry(Section, Entry)} removed";

        /// <inheritdoc/>
        public override IReadOnlyList<string> Touches(TrialDraft before) => [$"{Section}[{Entry}]", .. DraftWords.Ordinals($"{Section}[{Entry}]")];
    }

    /// <summary>Moves an entry within its list.</summary>
    /// <param name="Section">The list.</param>
    /// <param name="Entry">The entry.</param>
    /// <param name="To">Its ordinal afterwards, from 0; beyond either end it goes to that end.</param>
    public sealed record Move(string Section, string Entry, int To) : DraftEdit
    {
        /// <inheritdoc/>
        public override string Summary(TrialDraft before) => string.Create(CultureInfo.InvariantCulture, $"{DraftWords.Entry(Section, Entry)} moved to place {Math.Max(0, (long)To) + 1}");

        /// <inheritdoc/>
        public override IReadOnlyList<string> Touches(TrialDraft before) => [$"{Section}[{Entry}].id", .. DraftWords.Ordinals($"{Section}[{Entry}]")];
    }

    /// <summary>Gives an entry another identity, in every place that refers to it too.</summary>
    public sealed record Rename(string Section, string Id, string NewId) : DraftEdit
    {
        /// <inheritdoc/>
        public override string Summary(TrialDraft before) => $"{DraftWords.Entry(Section, Id)} renamed to {DraftWords.Short(NewId)}";

        /// <inheritdoc/>
        public override IReadOnlyList<string> Touches(TrialDraft before) => [$"{Section}[{Id}].id", .. DraftWords.Ordinals($"{Section}[{Id}]")];
    }

    /// <summary>Several edits, one after another: all of them or none.</summary>
    public sealed record Several(IReadOnlyList<DraftEdit> Edits) : DraftEdit
    {
        /// <summary>What happened in words of its own; null: the first edit's words and how many more.</summary>
        public string? Title { get; init; }

        /// <inheritdoc/>
        public override string Summary(TrialDraft before) => Title ?? Edits switch
        {
            [] => "Nothing changed",
            [var only] => only.Summary(before),
            [var first, _] => $"{first.Summary(before)}, and one more change",
            [var first, ..] => string.Create(CultureInfo.InvariantCulture, $"{first.Summary(before)}, and {Edits.Count - 1} more changes"),
        };

        /// <inheritdoc/>
        public override IReadOnlyList<string> Touches(TrialDraft before) => [.. Edits.SelectMany(e => e.Touches(before)).Distinct(StringComparer.Ordinal)];
    }

    /// <summary>A whole new document as text; comments are kept until the next edit.</summary>
    public sealed record Replace(string Text) : DraftEdit
    {
        /// <inheritdoc/>
        public override string Summary(TrialDraft before) => "Document edited as text";

        /// <inheritdoc/>
        public override IReadOnlyList<string> Touches(TrialDraft before) => [""];
    }
}
