namespace Hushtrial.Trials.Synthesis;

/// <summary>One draw of how a putting-on differs from the device's mean: seal at low frequencies, position in the middle, everything a little.</summary>
/// <param name="Overall">Moves all frequencies, dB.</param>
/// <param name="Seal">Moves the low frequencies, dB at 0 Hz, half of it at 300 Hz.</param>
/// <param name="Position">Moves the octaves around 1.5 kHz, dB at the centre.</param>
public readonly record struct DonningScatter(double Overall, double Seal, double Position)
{
    /// <summary>The mean donning.</summary>
    public static DonningScatter None => default;

    /// <summary>Standard deviation of the three parts for a scatter factor of 1, dB; together about 1.4 at low and 1.2 at high frequencies,
    /// inside the 1 to 2 dB that repeated fits of over-ear devices show.</summary>
    public static (double Overall, double Seal, double Position) Deviations => (1.1, 0.9, 0.5);

    /// <summary>Draws one donning.</summary>
    /// <param name="factor">Scatter factor of the kind of device.</param>
    /// <param name="normal">Standard normal draws.</param>
    public static DonningScatter Draw(double factor, Func<double> normal) => new(
        factor * Deviations.Overall * normal(), factor * Deviations.Seal * normal(), factor * Deviations.Position * normal());

    /// <summary>The change of loss at a frequency, dB.</summary>
    public double At(double hertz)
    {
        var octaves = Math.Log2(hertz / 1500);
        return Overall + (Seal / (1 + (hertz / 300 * (hertz / 300)))) + (Position * Math.Exp(-octaves * octaves));
    }
}
