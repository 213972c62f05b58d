namespace Hushtrial.Trials.Document;

/// <summary>The clock of a recorder beside that of its run: where a second of a recording lies, and which second lies at a clock.</summary>
/// <param name="Start">Clock of the run at the first sample, s.</param>
/// <param name="Rate">Seconds of the run's clock in a second of the recording; 1.0002 for a recorder that is 200 ppm slow. Above 0.</param>
public readonly record struct RecorderClock(double Start, double Rate)
{
    /// <summary>Clock of the run, s.</summary>
    /// <param name="own">Seconds from the first sample.</param>
    public double At(double own) => Start + (own * Rate);

    /// <summary>Seconds from the first sample.</summary>
    /// <param name="clock">Clock of the run, s.</param>
    public double Own(double clock) => (clock - Start) / Rate;
}
