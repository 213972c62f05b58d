namespace Hushtrial.Trials.Synthesis;

/// <summary>A knock, a rub or a hand at the microphone: a burst of noise through a low pass of first order at 100 Hz.</summary>
/// <param name="From">Start, s.</param>
/// <param name="To">End, s.</param>
/// <param name="Level">Level of the one-third octave at 100 Hz, dB.</param>
public sealed record HandlingNoise(double From, double To, double Level)
{
    /// <summary>Corner of the low pass, Hz.</summary>
    public const double Corner = 100;

    /// <summary>Width of the one-third octave that <see cref="Level"/> is stated for, Hz.</summary>
    public const double CornerWidth = 23.16;

    /// <summary>Its power spectral density at a frequency, reference pressure squared per Hz.</summary>
    public double Density(double hertz) => 2 * Math.Pow(10, Level / 10) / CornerWidth / (1 + (hertz / Corner * (hertz / Corner)));
}

/// <summary>A stretch of the truth: one condition heard steadily.</summary>
/// <param name="From">From here on it is settled, s.</param>
/// <param name="To">Until here, s.</param>
/// <param name="Condition">Identity of the condition, or 'open'.</param>
/// <param name="Donning">Number of the putting-on in the flight, from 1; 0 for the open ear.</param>
/// <param name="Row">Row of the card it was meant to be.</param>
public sealed record TrueSpan(double From, double To, string Condition, int Donning, int Row);

/// <summary>What happens in one flight that is recorded from start to landing.</summary>
/// <param name="Run">Identity of the run.</param>
/// <param name="Seconds">Length, s.</param>
/// <param name="Stretches">Which loss holds when, without holes; another state of the vehicle is part of the loss.</param>
/// <param name="Handling">Bursts by hands and cables.</param>
/// <param name="Calls">Radio calls.</param>
/// <param name="ToneUntil">The calibrator sounds from 2 s to here; 0 when it does not.</param>
/// <param name="QuietUntil">From the tone's end plus 3 s to here it is quiet; 0 when it is not.</param>
/// <param name="Truth">The conditions that were heard, in order.</param>
/// <param name="Card">The order as planned: rows of conditions.</param>
/// <param name="Skipped">Rows that were left out.</param>
/// <param name="Repeated">Rows that were done twice.</param>
public sealed record FlightScript(string Run, double Seconds, IReadOnlyList<Stretch> Stretches, IReadOnlyList<HandlingNoise> Handling, IReadOnlyList<RadioCall> Calls,
    double ToneUntil, double QuietUntil, IReadOnlyList<TrueSpan> Truth, IReadOnlyList<IReadOnlyList<string>> Card, IReadOnlyList<int> Skipped, IReadOnlyList<int> Repeated)
{
    /// <summary>Start of the calibrator's tone, s.</summary>
    public const double ToneFrom = 2;
}
