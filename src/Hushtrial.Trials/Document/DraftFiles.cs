namespace Hushtrial.Trials.Document;

/// <summary>The files that the entries of a draft name, also while the draft cannot be read as a trial.</summary>
public static class DraftFiles
{
    /// <summary>The files of a recording or log by channel and in order of time; empty when it names none that can be read.</summary>
    /// <param name="draft">The draft.</param>
    /// <param name="section">'recordings' or 'logs'.</param>
    /// <param name="entry">Identity of the entry.</param>
    public static IReadOnlyList<TrackFiles> Of(TrialDraft draft, string section, string entry)
    {
        ArgumentNullException.ThrowIfNull(draft);
        if (DraftPath.Parse($"{section}[{entry}]")?.Find(draft.Root) is not MapNode map) return [];
        var tracks = new List<TrackFiles>();
        foreach (var (key, value) in map.Pairs)
        {
            if (key.Text is "file" or "files") Add(1, value);
            else if (key.Text == "channel_files" && value is MapNode channels)
                foreach (var (number, files) in channels.Pairs)
                    if (int.TryParse(number.Text, System.Globalization.CultureInfo.InvariantCulture, out var channel)) Add(channel, files);
        }
        return [.. tracks.OrderBy(t => t.Number)];

        void Add(int number, DocumentNode node)
        {
            string[] parts = node switch { TextNode { IsEmpty: false } one => [one.Text.Trim()], ListNode list => [.. list.Items.OfType<TextNode>().Where(t => !t.IsEmpty).Select(t => t.Text.Trim())], _ => [] };
            if (parts.Length > 0) tracks.Add(new(number, parts));
        }
    }
}
