using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Exposure;

/// <summary>Noise-induced permanent threshold shift expected in a population.</summary>
/// <remarks>Source: ISO 1999:2013, 6.3, Tables 1 and 3. It describes large groups exposed for years to the same daily level without protection;
/// it says nothing about one person, and is no base for diagnosis, claims or a decision to go without protection.</remarks>
public static class HearingLoss
{
    /// <summary>What is printed with every value.</summary>
    public const string Caution = "A statistic of large groups after years of the same exposure at the ear. It does not predict one person's hearing, "
        + "is no medical advice and no reason to do without protection.";

    private static readonly (double Hertz, double U, double V, double L0, double Xu, double Yu, double Xl, double Yl)[] _rows =
    [
        (500, -0.033, 0.110, 93, 0.044, 0.016, 0.033, 0.002),
        (1000, -0.020, 0.070, 89, 0.022, 0.016, 0.020, 0.000),
        (2000, -0.045, 0.066, 80, 0.031, -0.002, 0.016, 0.000),
        (3000, 0.012, 0.037, 77, 0.007, 0.016, 0.029, -0.010),
        (4000, 0.025, 0.025, 75, 0.005, 0.009, 0.016, -0.002),
        (6000, 0.019, 0.024, 77, 0.013, 0.008, 0.028, -0.007),
    ];

    /// <summary>The frequencies of the tables.</summary>
    public static IReadOnlyList<Frequency> Frequencies { get; } = [.. _rows.Select(r => Frequency.FromHertz(r.Hertz))];

    /// <summary>The shift that a share of the population exceeds.</summary>
    /// <param name="frequency">One of <see cref="Frequencies"/>.</param>
    /// <param name="dailyLevel">LEX,8h at the ear, 75 to 100 dB(A); below the table's L0 there is no shift.</param>
    /// <param name="years">Years of exposure, above 0 to 40.</param>
    /// <param name="shareWithMore">Share of people with a larger shift, 0.05 to 0.95.</param>
    /// <returns>dB, 0 or more.</returns>
    /// <exception cref="ArgumentOutOfRangeException">An argument is outside the standard's range.</exception>
    public static LevelDifference ThresholdShift(Frequency frequency, Level dailyLevel, double years, double shareWithMore)
    {
        var row = Array.Find(_rows, r => r.Hertz == frequency.Hertz);
        if (row.Hertz == 0) throw new ArgumentOutOfRangeException(nameof(frequency), frequency.Hertz, "ISO 1999 tabulates 500, 1000, 2000, 3000, 4000 and 6000 Hz.");
        if (years is not (> 0 and <= 40)) throw new ArgumentOutOfRangeException(nameof(years), years, "ISO 1999 covers up to 40 years.");
        if (shareWithMore is not (>= 0.05 and <= 0.95)) throw new ArgumentOutOfRangeException(nameof(shareWithMore), shareWithMore, "ISO 1999 covers 5 % to 95 % of a population.");
        if (dailyLevel.Decibels > 100) throw new ArgumentOutOfRangeException(nameof(dailyLevel), dailyLevel.Decibels, "ISO 1999 covers up to 100 dB.");
        if (dailyLevel.Decibels <= row.L0) return LevelDifference.Zero;

        // Up to ten years the median grows with lg(t + 1) to its value at ten; the spread is that of ten years (6.3.2).
        var (decades, growth) = years >= 10 ? (Math.Log10(years), 1.0) : (1.0, Math.Log10(years + 1) / Math.Log10(11));
        var square = Math.Pow(dailyLevel.Decibels - row.L0, 2);
        var median = growth * (row.U + (row.V * decades)) * square;
        var k = Statistics.Distributions.Gaussian.Quantile(1 - shareWithMore);
        var spread = k >= 0 ? row.Xu + (row.Yu * decades) : row.Xl + (row.Yl * decades);
        return LevelDifference.FromDecibels(Math.Max(0, median + (k * spread * square)));
    }

    /// <summary>Age-related and noise-induced loss together: H + N − H·N/120.</summary>
    /// <remarks>Source: ISO 1999:2013, formula (1).</remarks>
    public static LevelDifference Combined(LevelDifference age, LevelDifference noise) =>
        age + noise - LevelDifference.FromDecibels(age.Decibels * noise.Decibels / 120);
}
