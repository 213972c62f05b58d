namespace Hushtrial.Cli.Calculations;

/// <summary>A name that a calculation reads, and what its number may be.</summary>
internal sealed record InputName(string Name, NumberRange Range);

/// <summary>Everything that a calculation reads: what is not in here would be dropped, and is a mistake to be told.</summary>
/// <param name="Tables">Names of tables.</param>
/// <param name="Columns">Columns of the tables.</param>
/// <param name="Fields">Single values and lists beside the tables.</param>
/// <param name="Bands">Whether columns may be named by midband frequencies.</param>
internal sealed record InputShape(IReadOnlyList<string> Tables, IReadOnlyList<InputName> Columns, IReadOnlyList<InputName> Fields, bool Bands = false)
{
    private static readonly InputName[] _frequency = Names(NumberRange.Any, "hz", "midband_hz", "frequency", "f");

    /// <summary>Names that hold words for people in any table.</summary>
    public static IReadOnlyList<string> Remarks { get; } = ["remarks", "remark", "notes", "note", "comments", "comment", "name", "title", "source"];

    /// <summary>A day's segments, a week, or the samples of ISO 9612.</summary>
    public static InputShape Exposure { get; } = new(["segments", "tasks"],
        [
            .. Names(NumberRange.Level, "level", "outside", "at_ear", "comms"), new("reduction", NumberRange.Reduction), new("uncertainty", new(0, 40, "dB")), .. Names(NumberRange.Any, "hours", "half_range_hours", "samples"),
            new("off_minutes", new(0, 1440, "min")), .. Names(new(0, 1), "off_share", "comms_share"), new("one_ear", NumberRange.Any),
        ],
        [.. Names(NumberRange.Level, "days", "samples"), new("hours", new(0, 24, "h", Above: true)), .. Names(NumberRange.Peak, "peak_outside", "peak_ear"), .. Names(NumberRange.Any, "calibration", "strategy", "instrument", "rules")]);

    /// <summary>Means and standard deviations, or people.</summary>
    public static InputShape Rating { get; } = new(["bands", "people"],
        [.. _frequency, .. Names(NumberRange.Reduction, "mean", "attenuation", "m"), .. Names(NumberRange.Any, "sd", "standard_deviation", "s"), new("noise", NumberRange.BandLevel)],
        [.. Names(NumberRange.Any, "subjects", "performance", "basis", "noise"), .. Names(NumberRange.Level, "level_a", "level_c")], Bands: true);

    /// <summary>28 one-third octaves, open and under a device.</summary>
    public static InputShape Loudness { get; } = new(["bands"], [.. _frequency, .. Names(NumberRange.BandLevel, "level", "open", "leq", "db", "covered"), new("half_width", new(0, 40, "dB"))],
        [new("levels", NumberRange.BandLevel), new("field", NumberRange.Any)]);

    /// <summary>Speech, noise, threshold and importance by band.</summary>
    public static InputShape Speech { get; } = new(["bands"], [.. _frequency, .. Names(NumberRange.BandLevel, "speech", "noise", "level", "threshold"), new("importance", NumberRange.Any)],
        [.. Names(NumberRange.BandLevel, "speech", "noise", "threshold"), new("radio_level", NumberRange.Level), .. Names(NumberRange.Any, "procedure", "effort", "importance")]);

    /// <summary>A warning sound, the noise and a device.</summary>
    public static InputShape Audible { get; } = new(["bands"], [.. _frequency, .. Names(NumberRange.BandLevel, "signal", "noise", "added", "hiss"), new("loss", NumberRange.Reduction)], [new("field", NumberRange.Any)]);

    /// <summary>Measured bands, published octaves, or the noise that a claim is to hold in.</summary>
    public static InputShape Claim { get; } = new(["bands"], [.. _frequency, .. Names(NumberRange.Reduction, "measured", "mean", "passive"), new("sd", NumberRange.Any), .. Names(NumberRange.BandLevel, "noise", "level")], []);

    /// <summary>Band losses to be carried.</summary>
    public static InputShape Carry { get; } = new(["bands"],
        [.. _frequency, .. Names(NumberRange.Reduction, "loss", "measured", "mean"), .. Names(new(0, 40, "dB"), "sd", "standard_uncertainty"), .. Names(new(-100, 200, "dB"), "low", "high"), new("condition", NumberRange.Any)], [new("mode", NumberRange.Any)]);

    private static InputName[] Names(NumberRange range, params string[] names) => [.. names.Select(n => new InputName(n, range))];
}
