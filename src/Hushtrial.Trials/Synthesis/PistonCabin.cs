namespace Hushtrial.Trials.Synthesis;

/// <summary>The stated cabin of a light aircraft with one piston engine and a two-blade propeller at 2400 rpm: half orders of 40 Hz, blade passing at
/// 80 Hz. Invented; it lies where published surveys of such cabins lie (most energy between 70 and 300 Hz, falling above 500 Hz).</summary>
internal static class PistonCabin
{
    /// <summary>The broadband noise by one-third octave, dB.</summary>
    public static IReadOnlyList<double> Broadband { get; } =
        [80, 82, 84, 85, 86, 88, 90, 91, 92, 92, 91, 90, 88, 87, 86, 85, 84, 82, 80, 78, 76, 74, 72, 70, 68, 66, 63, 60, 57, 54, 50];

    public static CabinNoise Noise { get; } = At(1);

    /// <summary>The cabin with every tone moved to another speed.</summary>
    /// <param name="speed">Speed relative to 2400 rpm.</param>
    public static CabinNoise At(double speed) => new(Broadband,
    [
        new(40 * speed, 92), new(80 * speed, 105), new(120 * speed, 95), new(160 * speed, 99), new(200 * speed, 90), new(240 * speed, 94), new(320 * speed, 88),
    ]);
}
