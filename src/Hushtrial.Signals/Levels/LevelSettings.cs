namespace Hushtrial.Signals.Levels;

/// <summary>What to measure beside the broadband levels, which are always there.</summary>
public sealed record LevelSettings
{
    private readonly double _stepSeconds = 0.125;
    private readonly int _maxThreads = 2;

    /// <summary>One-third-octave bands 20 Hz…20 kHz.</summary>
    public bool Thirds { get; init; } = true;

    /// <summary>Octave bands 31.5 Hz…16 kHz, by octave filters of their own.</summary>
    public bool Octaves { get; init; } = true;

    /// <summary>Keep the levels of every step: about 4.3 MB per channel and hour at 125 ms with one-third octaves.</summary>
    public bool History { get; init; }

    /// <summary>Length of a step, s: a whole number of milliseconds, 0.01…10.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Outside the range, or not a whole number of milliseconds.</exception>
    public double StepSeconds
    {
        get => _stepSeconds;
        init => _stepSeconds = value is >= 0.01 and <= 10 && Math.Abs((value * 1000) - Math.Round(value * 1000)) < 1e-6 ? value
            : throw new ArgumentOutOfRangeException(nameof(value), value, "A step is a whole number of milliseconds from 0.01 to 10 s.");
    }

    /// <summary>Most threads to use, from 1. The result does not depend on it.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Below 1.</exception>
    public int MaxThreads
    {
        get => _maxThreads;
        init => _maxThreads = value >= 1 ? value
            : throw new ArgumentOutOfRangeException(nameof(value), value, "At least one thread has to do the work.");
    }
}
