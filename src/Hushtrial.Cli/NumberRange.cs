using System.Globalization;

namespace Hushtrial.Cli;

/// <summary>What a number may be: its bounds, both allowed unless said otherwise, and its unit.</summary>
/// <param name="Lowest">Lower bound.</param>
/// <param name="Highest">Upper bound.</param>
/// <param name="Unit">Unit as printed; empty for none.</param>
/// <param name="Above">Whether the lower bound itself is excluded.</param>
internal sealed record NumberRange(double Lowest, double Highest, string Unit = "", bool Above = false)
{
    /// <summary>Every finite number.</summary>
    public static NumberRange Any { get; } = new(double.NegativeInfinity, double.PositiveInfinity);

    /// <summary>A sound level at an ear or in a cabin; the bounds of a level in the trial document.</summary>
    public static NumberRange Level { get; } = new(0, 160, "dB");

    /// <summary>A level in a band, which may be below the threshold of hearing.</summary>
    public static NumberRange BandLevel { get; } = new(-100, 160, "dB");

    /// <summary>A peak sound level, which a shot lifts higher than any that lasts.</summary>
    public static NumberRange Peak { get; } = new(0, 200, "dB");

    /// <summary>What a device takes away; below 0 where it adds.</summary>
    public static NumberRange Reduction { get; } = new(-20, 80, "dB");

    /// <summary>A standard uncertainty that a measurement has.</summary>
    public static NumberRange Scatter { get; } = new(0, 40, "dB", Above: true);

    /// <summary>A frequency that is heard.</summary>
    public static NumberRange Audible { get; } = new(20, 20_000, "Hz");

    /// <summary>Whether a number is finite and within the bounds.</summary>
    public bool Holds(double value) => double.IsFinite(value) && (Above ? value > Lowest : value >= Lowest) && value <= Highest;

    /// <summary>'a number from 0 to 160 dB'.</summary>
    public string Words(string noun = "a number")
    {
        var (low, high) = (double.IsFinite(Lowest), double.IsFinite(Highest));
        var bounds = (low, high) switch
        {
            (true, true) when Above => string.Create(CultureInfo.InvariantCulture, $" above {Lowest} and up to {Highest}"),
            (true, true) => string.Create(CultureInfo.InvariantCulture, $" from {Lowest} to {Highest}"),
            (true, false) => string.Create(CultureInfo.InvariantCulture, $" {(Above ? "above" : "from")} {Lowest}"),
            _ => "",
        };
        return $"{noun}{bounds.Replace('-', '−')}{(Unit.Length > 0 && bounds.Length > 0 ? " " + Unit : "")}";
    }
}
