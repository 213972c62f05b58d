using Hushtrial.Quantities;

namespace Hushtrial.Signals.Calibration;

/// <summary>How a calibrator keeps its level.</summary>
public enum CalibratorType
{
    /// <summary>Not stated.</summary>
    NotStated,

    /// <summary>A loudspeaker held by a microphone's feedback: independent of static pressure.</summary>
    Feedback,

    /// <summary>A piston moving a fixed volume: its sound pressure follows static pressure.</summary>
    Piston,
}

/// <summary>A sound calibrator as stated by the person who used it.</summary>
/// <param name="Level">Level in its coupler at 101.325 kPa, dB re 20 µPa (usually 94 or 114).</param>
/// <param name="Frequency">Usually 250 Hz or 1 kHz.</param>
/// <param name="StandardUncertainty">dB, above 0.</param>
/// <param name="Type">Whether it follows static pressure.</param>
/// <param name="StaticPressureKilopascal">Pressure while calibrating; null when not stated.</param>
public sealed record ToneCalibrator(Level Level, Frequency Frequency, LevelDifference StandardUncertainty, CalibratorType Type = CalibratorType.NotStated,
    double? StaticPressureKilopascal = null)
{
    /// <summary>The reference pressure of calibrators, kPa (IEC 60942, reference environmental conditions).</summary>
    public const double ReferencePressure = 101.325;

    /// <summary>Level really emitted minus stated level: 20 lg (p/101.325 kPa) for a piston type with stated pressure, else 0.</summary>
    /// <remarks>The sound pressure of a fixed volume displacement in a closed coupler is proportional to static pressure:
    /// −2.58 dB at 75.3 kPa (8000 ft).</remarks>
    public LevelDifference PressureCorrection => Type == CalibratorType.Piston && PressureIsCredible
        ? LevelDifference.FromDecibels(PistonEffect) : LevelDifference.Zero;

    /// <summary>What a piston type would emit at the stated pressure, relative to its label, dB; 0 without a credible pressure.</summary>
    internal double PistonEffect => PressureIsCredible ? 20 * Math.Log10(StaticPressureKilopascal!.Value / ReferencePressure) : 0;

    internal bool PressureIsCredible => StaticPressureKilopascal is >= 20 and <= 110;
}
