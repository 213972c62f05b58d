namespace Hushtrial.Hearing;

/// <summary>A place between two entries of a table over frequency; values are interpolated linearly over the logarithm of frequency.</summary>
internal readonly record struct LogInterpolation
{
    private LogInterpolation(int index, double share) => (Index, Share) = (index, share);

    /// <summary>The entry below.</summary>
    public int Index { get; }

    /// <summary>How far towards the next, 0…1.</summary>
    public double Share { get; }

    /// <summary>Finds the place of a frequency; outside the table the outermost entry holds.</summary>
    public static LogInterpolation Locate(double[] hertz, double frequency)
    {
        if (frequency <= hertz[0]) return new(0, 0);
        if (frequency >= hertz[^1]) return new(hertz.Length - 2, 1);
        var upper = Array.FindIndex(hertz, h => h >= frequency);
        return new(upper - 1, Math.Log(frequency / hertz[upper - 1]) / Math.Log(hertz[upper] / hertz[upper - 1]));
    }

    /// <summary>The value of one column at this place.</summary>
    public double Of(double[] column) => Share == 0 ? column[Index] : Share == 1 ? column[Index + 1]
        : column[Index] + (Share * (column[Index + 1] - column[Index]));
}
