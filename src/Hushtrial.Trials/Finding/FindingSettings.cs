namespace Hushtrial.Trials.Finding;

/// <summary>How takes are looked for. Times in s, levels in dB. The defaults are common practice, no source.</summary>
public sealed record FindingSettings
{
    private readonly double _shortestTake = 8;
    private readonly double _settle = 3;
    private readonly double _labelFrom = 0.7;

    /// <summary>Shortest span to propose, 4…600 s.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Out of range.</exception>
    public double ShortestTake { get => _shortestTake; init => _shortestTake = value is >= 4 and <= 600 ? value : throw new ArgumentOutOfRangeException(nameof(value), value, "A take of 4 to 600 s."); }

    /// <summary>Time left off after a device was put on and the level came to rest, 0…120 s.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Out of range.</exception>
    public double Settle { get => _settle; init => _settle = value is >= 0 and <= 120 ? value : throw new ArgumentOutOfRangeException(nameof(value), value, "A settling time of 0 to 120 s."); }

    /// <summary>Least confidence at which a label is given, 0.5…1; below it the label stays blank and the candidates are named.</summary>
    /// <exception cref="ArgumentOutOfRangeException">Out of range.</exception>
    public double LabelFrom { get => _labelFrom; init => _labelFrom = value is >= 0.5 and <= 1 ? value : throw new ArgumentOutOfRangeException(nameof(value), value, "A confidence of 0.5 to 1."); }
}
