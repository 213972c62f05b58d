namespace Hushtrial.Trials.Document;

/// <summary>Every recording names its files in one of three ways, and no file is in two places.</summary>
internal static class RecordingChecks
{
    private static readonly string[] _ways = ["file", "files", "channel_files"];

    public static void Check(Draft draft, DocumentProblems problems)
    {
        var seen = new Dictionary<string, Place>(StringComparer.OrdinalIgnoreCase);
        foreach (var recording in draft.List("recordings"))
        {
            Ways(recording, problems);
            foreach (var key in _ways)
                foreach (var file in Named(recording, key).SelectMany(t => t.Parts))
                    if (!seen.TryAdd(file, recording.PlaceOf(key)))
                        problems.Error("DOC-044", recording.PlaceOf(key), recording.PathTo(key), $"the file '{file}' for the second time", FormattableString.Invariant($"each file once; it is already in line {seen[file].Line}"), "Remove one entry and let the takes name the other.");
            foreach (var key in new[] { "starts", "clock_offset_s", "clock_drift_ppm" }.Where(k => recording.Has(k) && !recording.Has("run")).Take(1))
                problems.Error("DOC-046", recording.PlaceOf(key), recording.PathTo(key), "a clock time of a recording that belongs to no run", $"'run' beside '{key}'", $"Name the run, or leave '{key}' out.");
        }
    }

    /// <summary>Takes, calibrations and own noise lie in recordings that have their microphone.</summary>
    public static void Recorders(Draft draft, DocumentProblems problems)
    {
        var channels = draft.List("channels");
        string? Of(string? recording) => draft.Find("recordings", recording)?.Text("recorder");
        foreach (var take in draft.Takes.Where(t => draft.Find("recordings", t.Map.Text("recording")) is not null && channels.Any(c => c.Text("where") != "outside") && !channels.Any(c => c.Text("where") != "outside" && c.Text("recorder") == Of(t.Map.Text("recording")))))
            problems.Error("DOC-120", take.Map.PlaceOf("recording"), take.Map.PathTo("recording"), $"{take.Name} of the recording '{take.Map.Text("recording")}', whose recorder had no microphone at the ear", "a recording with the microphone at the ear",
                "Name that recording; the recorder with the microphone outside is read at the time of every take by itself.");
        foreach (var (map, channel) in draft.List("calibrations").Select(c => (c, draft.Find("channels", c.Text("channel")))).Concat(draft.List("cabins").Select(c => (c, draft.Find("channels", c.Text("channel")))))
            .Concat(channels.Select(c => (Noise: c.Map("own_noise"), (BoundMap?)c)).Where(c => c.Noise is not null).Select(c => (c.Noise!, c.Item2))))
            if (channel is not null && draft.Find("recordings", map.Text("recording")) is { } recording && recording.Text("recorder") != channel.Text("recorder"))
                problems.Error("DOC-121", map.PlaceOf("recording"), map.PathTo("recording"), $"the microphone '{channel.Text("id")}' in the recording '{map.Text("recording")}' of another recorder", "a recording of its own recorder", "Correct the recording, or 'recorder' of one of the two.");
    }

    /// <summary>The files of a recording that passed the checks.</summary>
    public static IReadOnlyList<TrackFiles> TracksOf(BoundMap recording) => [.. _ways.SelectMany(k => Named(recording, k))];

    private static IReadOnlyList<TrackFiles> Named(BoundMap recording, string key) => key switch
    {
        "file" => recording.Text(key) is { } file ? [new(1, [file])] : [],
        "files" => recording.List<string>(key) is { Count: > 0 } parts ? [new(1, parts)] : [],
        _ => recording.List<TrackFiles>(key),
    };

    private static void Ways(BoundMap recording, DocumentProblems problems)
    {
        var written = _ways.Where(recording.Has).ToList();
        if (written.Count == 0)
            problems.Error("DOC-012", recording.Place, recording.Path, "no 'file' in a recording", "'file', or 'files' for the parts of a split recording, or 'channel_files' for one file a channel", "Add 'file: flight-1.wav'.", "file");
        else if (written.Count > 1)
            problems.Error("DOC-118", recording.PlaceOf(written[1]), recording.PathTo(written[1]), $"a recording with {string.Join(" and ", written.Select(w => $"'{w}'"))}", "one of them", "Keep 'files' for parts in order, 'channel_files' for one file a channel; parts of a channel are a list there.");
    }
}
