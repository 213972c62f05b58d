using Hushtrial.Quantities;

namespace Hushtrial.Signals.Recordings;

/// <summary>Puts files that belong together into one recording: parts one behind the other, or channels side by side.</summary>
/// <remarks>Nothing is resampled, faded, padded or moved: frame n of the whole is a frame of one file, bit for bit.</remarks>
public static class Joining
{
    /// <summary>Problems that say that the end of a recording is missing: what stands behind such a part would come too early.</summary>
    private static readonly HashSet<string> _cutShort = new(StringComparer.Ordinal) { "REC-014", "REC-015", "REC-016", "REC-054" };

    /// <summary>Joins the parts of a split recording; one part is given back as it is.</summary>
    /// <param name="parts">The parts in order, at least one; taken over.</param>
    /// <param name="name">Name for people.</param>
    /// <returns>One recording with the problems of all its parts. Parts that do not fit, or of which one cannot be read, give a recording without samples.</returns>
    public static Recording InSequence(IReadOnlyList<Recording> parts, string name)
    {
        if (parts.Count == 0) throw new ArgumentException("A recording has at least one part.", nameof(parts));
        if (parts.Count == 1) return parts[0];
        var problems = parts.SelectMany(p => p.Problems).ToList();
        if (parts.Any(p => p.Layout is null)) return Recording.Together(parts, name, problems, null, null);
        for (var i = 1; i < parts.Count; i++)
            if (JoinProblems.Differ(parts[0], parts[i]) is { } differ) problems.Add(differ);
        if (problems.Any(p => p.Code == JoinProblems.DifferCode)) return Recording.Together(parts, name, problems, null, null);
        foreach (var part in parts.SkipLast(1).Where(p => p.Problems.Any(q => _cutShort.Contains(q.Code)))) problems.Add(JoinProblems.EndsEarly(part));
        problems.AddRange(TimeReferences.Check(parts));
        var whole = parts[0].Layout!.Value with { DataOffset = 0, Frames = parts.Sum(p => p.Frames) };
        return Recording.Together(parts, name, problems, new JoinedBytes([.. parts.Select(p => (p.Bytes, p.Layout!.Value))]), whole);
    }

    /// <summary>Puts channels with files of their own side by side.</summary>
    /// <param name="files">The files with the number, from 1, that the first channel of each gets; at least one; taken over.</param>
    /// <param name="name">Name for people.</param>
    /// <returns>One recording, as long as the shortest of them, with the problems of all.</returns>
    public static Recording SideBySide(IReadOnlyList<(int Number, Recording Recording)> files, string name)
    {
        if (files.Count == 0) throw new ArgumentException("A recording has at least one file.", nameof(files));
        List<(int Number, Recording Recording)> ordered = [.. files.OrderBy(f => f.Number)];
        var recordings = ordered.ConvertAll(f => f.Recording);
        var problems = recordings.SelectMany(p => p.Problems).ToList();
        if (recordings.Exists(r => r.Samples is null)) return Recording.Together(recordings, name, problems, samples: null);
        var fits = true;
        var next = 1;
        foreach (var (number, recording) in ordered)
        {
            if (JoinProblems.OtherRate(recordings[0], recording) is { } rate) (fits, problems) = (false, [.. problems, rate]);
            if (number != next) (fits, problems) = (false, [.. problems, JoinProblems.Numbered(recording, number, next)]);
            next = Math.Max(next, number + recording.Channels);
        }
        if (!fits) return Recording.Together(recordings, name, problems, samples: null);
        problems.AddRange(recordings.Skip(1).Select(r => TimeReferences.StartsElsewhere(recordings[0], r)).OfType<Problem>());
        var (shortest, longest) = (recordings.MinBy(r => r.Frames)!, recordings.MaxBy(r => r.Frames)!);
        if (shortest.Frames != longest.Frames) problems.Add(JoinProblems.UnlikeLength(shortest, longest));
        return Recording.Together(recordings, name, problems, new SideBySideSamples(recordings.ConvertAll(r => r.Samples!)));
    }
}
