using Hushtrial.Quantities;

namespace Hushtrial.Signals.Recordings;

/// <summary>Holds the time references of files that belong together (EBU Tech 3285: samples from the recorder's local midnight) against their lengths.</summary>
internal static class TimeReferences
{
    /// <summary>Checks parts of one rate. Parts without a reference, or with the same one in every part (the start of the whole, or 0), cannot be checked.</summary>
    public static IEnumerable<Problem> Check(IReadOnlyList<Recording> parts)
    {
        if (parts.Any(p => p.SamplesSinceMidnight is null)) return [];
        var stated = parts.Select(p => p.SamplesSinceMidnight!.Value).ToList();
        if (stated.Distinct().Count() == 1) return [];
        var slack = Slack(parts);
        if (Worst(parts) > slack && Order(parts) is { } order && order.Index().Any(o => o.Item != parts[o.Index]) && Worst(order) <= slack) return [JoinProblems.WrongOrder(parts, order)];
        return Enumerable.Range(1, parts.Count - 1).Select(i => (First: parts[i - 1], Second: parts[i], Gap: Gap(parts[i - 1], parts[i]))).Where(j => Math.Abs(j.Gap) > slack)
            .Select(j => JoinProblems.Apart(j.First, j.Second, j.Gap));
    }

    /// <summary>Whether a second part begins, by its time reference, where the first ends. False when one has none.</summary>
    public static bool Adjoin(Recording first, Recording second) =>
        first.SamplesSinceMidnight is not null && second.SamplesSinceMidnight is not null && first.SamplesSinceMidnight != second.SamplesSinceMidnight && Math.Abs(Gap(first, second)) <= Slack([first, second]);

    /// <summary>Channels whose files began at different times do not belong side by side.</summary>
    public static Problem? StartsElsewhere(Recording first, Recording other)
    {
        if (first.SamplesSinceMidnight is not { } a || other.SamplesSinceMidnight is not { } b || a == 0 || b == 0) return null;
        var apart = OfDay(b - a, first.SampleRate);
        return apart == 0 ? null : JoinProblems.OtherStart(first, other, apart);
    }

    /// <summary>Frames between the end of one part and the start of the next; negative when they overlap. Over midnight too.</summary>
    private static long Gap(Recording first, Recording second) => OfDay(second.SamplesSinceMidnight!.Value - first.SamplesSinceMidnight!.Value - first.Frames, first.SampleRate);

    private static long OfDay(long frames, int rate)
    {
        var day = 86_400L * rate;
        var inside = ((frames % day) + day) % day;
        return inside > day / 2 ? inside - day : inside;
    }

    /// <summary>Recorders that know the second alone write whole seconds: then nothing below one can be told.</summary>
    private static long Slack(IReadOnlyList<Recording> parts) => parts.All(p => p.SamplesSinceMidnight!.Value % p.SampleRate == 0) && parts.SkipLast(1).Any(p => p.Frames % p.SampleRate != 0) ? parts[0].SampleRate - 1 : 0;

    private static long Worst(IReadOnlyList<Recording> parts) => Enumerable.Range(1, parts.Count - 1).Max(i => Math.Abs(Gap(parts[i - 1], parts[i])));

    /// <summary>The order of the references, beginning with the part that no other one precedes; null when that is not clear.</summary>
    private static List<Recording>? Order(IReadOnlyList<Recording> parts)
    {
        var sorted = parts.OrderBy(p => p.SamplesSinceMidnight).ToList();
        // Over midnight the first part is the one behind the longest silence.
        var first = Enumerable.Range(0, sorted.Count).MaxBy(i => Math.Abs(Gap(sorted[(i + sorted.Count - 1) % sorted.Count], sorted[i])));
        return [.. sorted.Skip(first), .. sorted.Take(first)];
    }
}
