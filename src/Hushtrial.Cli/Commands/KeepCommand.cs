using System.CommandLine;
using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Store;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Cli.Commands;

/// <summary>Keeps the levels of a trial folder and, when asked for by name, deletes its sound.</summary>
internal static class KeepCommand
{
    private const string Description = """
        Keep the levels of a trial beside its recordings, so that their sound can be deleted: the trial then analyses to the same results, and nobody can be heard.

        Writes NAME.levels.json beside every recording NAME: levels, nothing finer than half a second. Before anything is written the trial is measured from these levels and held
        against the sound: a difference above 0.01 dB in any level stops it. As long as the sound is there it counts before the kept levels.
        --delete-sound then deletes the recordings from the folder. That cannot be undone: takes cannot be moved or added afterwards, and nothing can be listened to.
        Copies, exports and backups are not touched, and only an encrypted disk forgets for good. A trial of a workspace is kept and discarded in the workspace.
        Example: hushtrial keep spring-trial
                 hushtrial keep spring-trial --delete-sound
        """;

    public static Command Build(Edge edge)
    {
        var trial = new Argument<string>("TRIAL") { Description = "a trial document, or the folder that holds one" };
        var delete = new Option<bool>("--delete-sound") { Description = "delete the recordings once their levels are kept; this cannot be undone" };
        var command = new Command("keep", Description) { trial, delete };
        command.SetAction((parsed, cancellation) => Task.FromResult(Run(edge, parsed.GetRequiredValue(trial), parsed.GetValue(delete), CommandTree.AsJson(parsed), cancellation)));
        return command;
    }

    private static int Run(Edge edge, string trial, bool delete, bool json, CancellationToken cancellation)
    {
        List<string> kept = [], deleted = [], left = [];
        string root;
        IReadOnlyList<string> sound;
        using (var folder = Progressing.Run(edge, "Reading", p => TrialFolder.Open(trial, p)))
        {
            if (!folder.Readable) return AnalyseCommand.Unreadable(edge, folder, json);
            var document = folder.Document!;
            var proved = Progressing.Run(edge, "Measuring", p => ProvedLevels.Of(folder.ToInputs(), edge.Clock.GetLocalNow().ToString("yyyy-MM-dd", CultureInfo.InvariantCulture), p, cancellation));
            if (proved.Files.Count == 0) throw new WrongUseException($"'{trial}' has no sound that can be read: there is nothing to keep levels of.");
            if (proved.Difference is { } difference)
                return new Answer(edge, json).Give([new("PRV-005", Severity.Error, Path.GetFileName(folder.DocumentPath), $"kept levels that would give another answer than the sound: {difference}", "every level within 0.01 dB of that of the sound", "Nothing was written and nothing deleted. Please report it.")],
                    w => w.WriteBoolean("sound_deleted", false), t => t.WriteLine("Nothing was kept."));
            root = folder.Folder;
            foreach (var entry in document.Recordings.Where(r => proved.Files.ContainsKey(r.Id)))
            {
                var name = KeptRecording.NameFor(entry.Files[0]);
                Output.Write(Path.Combine(root, name), stream => stream.Write(proved.Files[entry.Id].Span));
                kept.Add(name);
            }
            // A file that another recording needs, whose levels are not kept, stays.
            var needed = document.Recordings.Where(r => !proved.Files.ContainsKey(r.Id)).SelectMany(r => r.Files).ToHashSet(StringComparer.Ordinal);
            sound = [.. document.Recordings.Where(r => proved.Files.ContainsKey(r.Id)).SelectMany(r => r.Files).Distinct(StringComparer.Ordinal).Where(f => !needed.Contains(f))];
        }
        if (delete)
            foreach (var file in sound) (Gone(root, file) ? deleted : left).Add(file);
        return new Answer(edge, json).Give([], w =>
        {
            foreach (var (key, names) in new[] { ("kept", kept), ("deleted", deleted), ("left", left) })
            {
                w.WriteStartArray(key);
                foreach (var name in names) w.WriteStringValue(name);
                w.WriteEndArray();
            }
            w.WriteBoolean("sound_deleted", delete && left.Count == 0);
        }, t => Text(t, kept, deleted, left, sound, delete));
    }

    /// <summary>Deletes a file of the folder, and what it leads to when it is a link; false for one that lies outside: that is not ours.</summary>
    private static bool Gone(string root, string name)
    {
        var path = Path.Combine(root, name);
        if (!InsideFolder.Holds(root, name)) return false;
        try
        {
            if (new FileInfo(path).ResolveLinkTarget(returnFinalTarget: true) is { } target) File.Delete(target.FullName);
            File.Delete(path);
            return true;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }

    private static void Text(TextWriter t, List<string> kept, List<string> deleted, List<string> left, IReadOnlyList<string> sound, bool delete)
    {
        t.WriteLine("Levels kept, each within 0.01 dB of the sound:");
        foreach (var name in kept) t.WriteLine($"  {name}");
        if (!delete)
        {
            t.WriteLine("The sound is still there and still counts. --delete-sound deletes it, for good:");
            foreach (var name in sound) t.WriteLine($"  {name}");
            return;
        }
        t.WriteLine(deleted.Count > 0 ? "Sound deleted:" : "No sound was deleted.");
        foreach (var name in deleted) t.WriteLine($"  {name}");
        if (left.Count > 0)
        {
            t.WriteLine("Could not be deleted, or lies outside of the folder:");
            foreach (var name in left) t.WriteLine($"  {name}");
        }
        t.WriteLine("Copies, exports and backups are not touched. The report says of each recording that its levels were kept; say so yourself below method, data.");
    }
}
