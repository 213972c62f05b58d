namespace Hushtrial.Trials.Synthesis;

/// <summary>The stated cabin and devices of the air-ambulance scenario. All values are invented; they lie where published surveys of such
/// cabins and devices lie (about 93 dB(A) with C − A above 10 dB; passive loss rising from 250 Hz to 1 kHz by some 8 dB an octave; active
/// gain of up to 16 dB around 100 Hz, slightly negative at 1 to 2 kHz).</summary>
internal static class HelicopterCabin
{
    /// <summary>The broadband noise by one-third octave, dB.</summary>
    public static IReadOnlyList<double> Broadband { get; } = [84, 85, 85, 84, 85, 86, 86, 86, 86, 86, 85, 85, 84, 84, 84, 83, 83, 82, 81, 80, 78, 76, 74, 72, 70, 68, 66, 63, 60, 57, 53];

    public static CabinNoise Noise { get; } = At(1);

    /// <summary>The cabin with every tone moved to another rotor speed.</summary>
    /// <param name="speed">Speed relative to 394 rpm.</param>
    public static CabinNoise At(double speed) => new(
        Broadband,
        [
            // Four-blade main rotor at 394 rpm: 26.3 Hz and its harmonics; tail rotor; one gear tone.
            new(26.27 * speed, 104), new(52.53 * speed, 99), new(78.8 * speed, 95), new(105.07 * speed, 92), new(131.3 * speed, 89), new(157.6 * speed, 86),
            new(112.4 * speed, 91), new(224.8 * speed, 86), new(1887 * speed, 79),
        ]);

    /// <summary>Another cabin, as invented as the first: quieter below 200 Hz, with a gear tone nearer to where ears are keen.</summary>
    public static CabinNoise QuieterFourBlade { get; } = new(
        [76, 77, 77, 76, 77, 77, 77, 77, 77, 77, 76, 76, 76, 75, 75, 75, 74, 74, 73, 72, 71, 70, 68, 66, 64, 61, 58, 55, 52, 49, 45],
        [
            // Four-blade main rotor at 350 rpm: 23.3 Hz and its harmonics, elsewhere in their bands than the first cabin's; one gear tone.
            new(23.33, 92), new(46.67, 88), new(70, 85), new(93.33, 82), new(116.67, 80), new(930, 76),
        ]);

    public static LossCurve AlderPassive { get; } = new((20, 4.5), (31.5, 5.5), (63, 7.5), (125, 11), (250, 17.5), (500, 25), (1000, 30.5), (2000, 33), (4000, 37), (8000, 35.5), (16000, 33), (20000, 32));

    public static LossCurve AlderWithSpectacles { get; } = new((20, 1.5), (31.5, 2), (63, 3.5), (125, 6.5), (250, 12.5), (500, 20.5), (1000, 27.5), (2000, 31), (4000, 34.5), (8000, 33), (16000, 30.5), (20000, 29.5));

    public static LossCurve BirchPassive { get; } = new((20, 3.5), (31.5, 4.5), (63, 6), (125, 9), (250, 14), (500, 21.5), (1000, 27.5), (2000, 31), (4000, 35.5), (8000, 34.5), (16000, 32), (20000, 31));

    public static LossCurve BirchActive { get; } = new((20, 8), (31.5, 13), (63, 20), (125, 24.5), (250, 25.5), (500, 26), (1000, 26), (2000, 30), (4000, 35.5), (8000, 34.5), (16000, 32), (20000, 31));

    public static LossCurve CedarActive { get; } = new((20, 6), (31.5, 10.5), (63, 16), (125, 20.5), (250, 22), (500, 22.5), (1000, 24), (2000, 27.5), (4000, 31.5), (8000, 30), (16000, 27.5), (20000, 26.5));
}
