using System.Globalization;
using System.Text.RegularExpressions;

namespace Hushtrial.Signals.Recordings;

/// <summary>Files that look like the parts of one recording.</summary>
/// <param name="Parts">Names in order.</param>
/// <param name="Reason">What speaks for it, in words.</param>
public sealed record SplitSequence(IReadOnlyList<string> Parts, string Reason);

/// <summary>Finds files that a recorder may have split. A proposal for people: nothing is joined by it.</summary>
/// <remarks>Two files follow each other when they are alike in rate, channels and coding, and the time reference of the second adjoins the first; or, where
/// no references tell, when their names are numbered one behind the other and the first ends at a size or a length at which recorders split.</remarks>
public static partial class SplitSequences
{
    private const double SizeTolerance = 0.005;

    /// <summary>Lengths of equal parts from which on equality is no chance, s.</summary>
    private const double ShortestEqualPart = 600;

    /// <summary>Sizes at which recorders begin another file, bytes.</summary>
    private static readonly double[] _sizes = [Math.Pow(2, 30), 1e9, Math.Pow(2, 31), 2e9, Math.Pow(2, 32), 4e9];

    /// <summary>Looks through files; those that cannot be read are left out.</summary>
    /// <param name="files">The files with their lengths in bytes.</param>
    public static IReadOnlyList<SplitSequence> Find(IReadOnlyList<(Recording Recording, long Bytes)> files)
    {
        ArgumentNullException.ThrowIfNull(files);
        var found = new List<SplitSequence>();
        foreach (var alike in files.Where(f => f.Recording.Layout is not null).GroupBy(f => (f.Recording.SampleRate, f.Recording.Channels, f.Recording.Encoding)))
        {
            var candidates = alike.OrderBy(f => f.Recording.Name, StringComparer.Ordinal).ToList();
            var next = candidates.ToDictionary(f => f.Recording, f => Next(f, candidates));
            // A file that follows two others follows none of them for certain.
            var preceded = next.Values.OfType<(Recording Recording, string Reason)>().GroupBy(n => n.Recording).Where(g => g.Count() == 1).Select(g => g.Key).ToHashSet();
            foreach (var first in candidates.Select(c => c.Recording).Where(r => !preceded.Contains(r)))
            {
                var (chain, reason) = (new List<Recording> { first }, "");
                while (next[chain[^1]] is { } step && preceded.Contains(step.Recording) && !chain.Contains(step.Recording))
                {
                    chain.Add(step.Recording);
                    reason = step.Reason;
                }
                if (chain.Count > 1) found.Add(new([.. chain.Select(r => r.Name)], reason));
            }
        }
        return found;
    }

    private static (Recording Recording, string Reason)? Next((Recording Recording, long Bytes) file, List<(Recording Recording, long Bytes)> candidates)
    {
        var others = candidates.Where(c => c.Recording != file.Recording).Select(c => c.Recording).ToList();
        if (others.Where(o => TimeReferences.Adjoin(file.Recording, o)).ToList() is { Count: > 0 } adjoining) return adjoining.Count == 1 ? (adjoining[0], "their time references adjoin") : null;
        if (others.Where(o => Follows(file.Recording.Name, o.Name)).ToList() is not [var numbered] || (IsTold(file.Recording) && IsTold(numbered))) return null;
        if (_sizes.Any(s => file.Bytes <= s * 1.0001 && file.Bytes >= s * (1 - SizeTolerance)))
            return (numbered, string.Create(CultureInfo.InvariantCulture, $"numbered names, and {file.Recording.Name} ends at {file.Bytes / 1e9:0.00} GB, where recorders split"));
        return file.Recording.Duration.TotalSeconds >= ShortestEqualPart && candidates.Exists(c => c.Recording != file.Recording && c.Recording.Frames == file.Recording.Frames)
            ? (numbered, string.Create(CultureInfo.InvariantCulture, $"numbered names, and parts of exactly {file.Recording.Duration.TotalSeconds:0.###} s")) : null;
    }

    private static bool IsTold(Recording recording) => recording.SamplesSinceMidnight is > 0;

    /// <summary>Whether the second name is the first with the next number; a name without a number is followed by 1 or 2.</summary>
    private static bool Follows(string first, string second)
    {
        if (Numbered().Match(second) is not { Success: true } b || !long.TryParse(b.Groups["number"].ValueSpan, CultureInfo.InvariantCulture, out var after)) return false;
        if (Numbered().Match(first) is { Success: true } a && a.Groups["stem"].Value == b.Groups["stem"].Value && a.Groups["end"].Value == b.Groups["end"].Value)
            return long.TryParse(a.Groups["number"].ValueSpan, CultureInfo.InvariantCulture, out var before) && after == before + 1;
        return after is 1 or 2 && first == b.Groups["stem"].Value.TrimEnd('-', '_', ' ', '.') + b.Groups["end"].Value;
    }

    [GeneratedRegex(@"^(?<stem>.*?)(?<number>[0-9]{1,12})(?<end>[^0-9/]*)$", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Numbered();
}
