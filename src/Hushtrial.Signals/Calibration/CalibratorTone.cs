using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using static System.FormattableString;

namespace Hushtrial.Signals.Calibration;

/// <summary>Finds a calibrator's tone in a recording and derives the level of full scale from it.</summary>
/// <remarks>
/// The tone is measured in Hann-windowed pieces of 0.25 s at its own frequency, so that noise beside it does not count. Checks, with
/// the limits of the method: level of the pieces within 0.2 dB (standard deviation), harmonic distortion up to 3 %, frequency within
/// 1 % (warning) or 2 % (error), no clipping, tone well above the noise beside it. Samples that the recorder lost are left out.
/// </remarks>
public static class CalibratorTone
{
    private const double PieceSeconds = 0.25, LeastSeconds = 1, MostSd = 0.2, MostDistortion = 3, WarnFrequency = 1, MostFrequency = 2;

    /// <summary>Prominence below which there is no tone, and below which its level is biased by noise, dB.</summary>
    /// <remarks>Power in the tone's line relative to the mean of lines 16 to 40 Hz away. White noise alone reaches some 3 dB averaged over
    /// the pieces, a steady machine's hum more; at 30 dB the bias is 0.004 dB.</remarks>
    private const double LeastProminence = 12, GoodProminence = 30;

    // dB re full scale. Below the steps of 20 bits nothing that was recorded is left, what is found there is rounding (common practice, no source).
    private const double LeastLevel = -120;

    /// <summary>Measures one channel.</summary>
    /// <param name="recording">Holds the tone.</param>
    /// <param name="channel">From 0.</param>
    /// <param name="span">Where the tone is; at least 1 s.</param>
    /// <param name="calibrator">As stated.</param>
    public static Calibration Measure(Recording recording, int channel, RecordingSpan span, ToneCalibrator calibrator)
    {
        var where = Invariant($"{recording.Name}, second {span.From:0.###} to {span.To:0.###}");
        return recording.Samples is { } samples ? Measure(samples, channel, span, calibrator, where)
            : Calibration.Failed(CalibrationProblems.Unreadable(where), "a calibrator's tone, but the recording cannot be read");
    }

    /// <summary>Measures one channel of samples.</summary>
    /// <param name="samples">Hold the tone.</param>
    /// <param name="channel">From 0.</param>
    /// <param name="span">Where the tone is; at least 1 s.</param>
    /// <param name="calibrator">As stated.</param>
    /// <param name="where">Name and place for problems.</param>
    public static Calibration Measure(SampleSource samples, int channel, RecordingSpan span, ToneCalibrator calibrator, string where)
    {
        if (Refusal(samples, channel, span, calibrator, where) is { } refusal)
            return Calibration.Failed(refusal, "a calibrator's tone, but it could not be measured");
        var first = (long)Math.Round(span.From * samples.SampleRate);
        var frames = Math.Min((long)Math.Round(span.To * samples.SampleRate), samples.Frames) - first;
        var stated = calibrator.Frequency.Hertz;
        var pieces = new TonePieces(samples, channel, first, frames, PieceSeconds);
        if (pieces.FindFrequency(stated, LeastProminence) is not { } frequency)
            return Calibration.Failed(CalibrationProblems.NoTone(where, stated, OtherTone(pieces, stated)), "a calibrator's tone, but none was found");

        var tone = pieces.Measure(frequency);
        var problems = new List<Problem>();
        if (tone.LostAt is { } lost)
        {
            var enough = tone.Pieces * PieceSeconds >= LeastSeconds;
            var holes = CalibrationProblems.Holes(where, 1000.0 * tone.LostFrames / samples.SampleRate, (double)lost / samples.SampleRate, !enough);
            if (!enough) return Calibration.Failed(holes, "a calibrator's tone, but too little of it is whole");
            problems.Add(holes);
        }
        var level = 10 * Math.Log10(tone.MeanSquare);
        if (level < LeastLevel)
            return Calibration.Failed(CalibrationProblems.ToneWeak(where, level) with { Severity = Severity.Error }, "a calibrator's tone, but it could not be measured");
        var percentOff = 100 * Math.Abs((tone.Frequency / stated) - 1);
        if (percentOff > WarnFrequency) problems.Add(CalibrationProblems.FrequencyOff(where, tone.Frequency, stated, percentOff, percentOff > MostFrequency));
        if (tone.LevelSd > MostSd) problems.Add(CalibrationProblems.Unsteady(where, tone.LevelSd, MostSd));
        if (tone.DistortionPercent > MostDistortion) problems.Add(CalibrationProblems.Distorted(where, tone.DistortionPercent, MostDistortion));
        if (tone.ClippedAt is { } at) problems.Add(CalibrationProblems.Clipped(where, (double)at / samples.SampleRate, tone.ClippedHow));
        if (tone.Prominence < GoodProminence) problems.Add(CalibrationProblems.ToneInNoise(where, tone.Prominence, 10 * Math.Log10(1 + Math.Pow(10, -tone.Prominence / 10))));
        if (level < -60) problems.Add(CalibrationProblems.ToneWeak(where, level));
        problems.AddRange(PressureProblems(calibrator, where));

        var correction = calibrator.PressureCorrection;
        var fullScale = Level.FromDecibels(calibrator.Level.Decibels + correction.Decibels - level);
        var scatter = tone.LevelSd / Math.Sqrt(tone.Pieces);
        var uncertainty = calibrator.StandardUncertainty.Decibels is > 0 and var own
            ? LevelDifference.FromDecibels(Math.Sqrt((own * own) + (scatter * scatter))) : calibrator.StandardUncertainty;
        var pressure = correction == LevelDifference.Zero ? "" : Invariant($", {correction.Decibels:+0.00;−0.00} dB for {calibrator.StaticPressureKilopascal:0.0} kPa");
        return Calibration.Known(fullScale, uncertainty,
            Invariant($"calibrator of {calibrator.Level.Decibels:0.0#} dB{pressure}: tone at {tone.Frequency:0.0} Hz found with {level:0.00;−0.00} dB re full scale"), where, problems);
    }

    private static Problem? Refusal(SampleSource samples, int channel, RecordingSpan span, ToneCalibrator calibrator, string where)
    {
        var length = (double)samples.Frames / samples.SampleRate;
        if (channel < 0 || channel >= samples.Channels) return CalibrationProblems.NoSuchChannel(where, channel, samples.Channels);
        // Half a frame of grace: a span may be written as the rounded length of the file.
        if (!(span.From >= 0 && span.From < span.To && span.To <= length + 0.0005)) return CalibrationProblems.SpanOutside(where, span.From, span.To, length);
        if (span.To - span.From < LeastSeconds) return CalibrationProblems.SpanShort(where, span.To - span.From, LeastSeconds);
        if (calibrator.Frequency.Hertz < 31.5 || calibrator.Frequency.Hertz > samples.SampleRate / 3.0)
            return CalibrationProblems.FrequencyTooHigh(where, calibrator.Frequency.Hertz, samples.SampleRate);
        return calibrator is { StaticPressureKilopascal: { } pressure, PressureIsCredible: false } ? CalibrationProblems.PressureAbsurd(where, pressure) : null;
    }

    /// <summary>Common frequencies of calibrators (IEC 60942 names 1 kHz as the principal one; 250 Hz is usual for pistons).</summary>
    private static double? OtherTone(TonePieces pieces, double stated) => new[] { 250.0, 500, 1000 }
        .Where(f => Math.Abs((f / stated) - 1) > 0.1 && f < pieces.SampleRate / 3.0)
        .Select(f => pieces.FindFrequency(f, 2 * LeastProminence)).FirstOrDefault(f => f is not null);

    private static IEnumerable<Problem> PressureProblems(ToneCalibrator calibrator, string where)
    {
        if (calibrator.Type == CalibratorType.Piston && calibrator.StaticPressureKilopascal is null) yield return CalibrationProblems.PressureMissing(where);
        // 0.1 dB is less than what the weather changes.
        if (calibrator.Type == CalibratorType.NotStated && Math.Abs(calibrator.PistonEffect) > 0.1)
            yield return CalibrationProblems.PressureUnused(where, calibrator.StaticPressureKilopascal!.Value, Math.Abs(calibrator.PistonEffect));
    }
}
