using Hushtrial.Quantities;
using static System.FormattableString;

namespace Hushtrial.Signals.Calibration;

/// <summary>Everything that can be wrong with a calibration, worded once.</summary>
/// <remarks>Error: absolute levels of the channel are not to be used. Warning: they stand, with the effect named.</remarks>
internal static class CalibrationProblems
{
    public static Problem SpanOutside(string where, double from, double to, double length) => new("CAL-001", Severity.Error, where,
        Invariant($"the calibration span {from:0.###} to {to:0.###} s"), Invariant($"a span inside the recording, 0 to {length:0.###} s, start before end"),
        "Correct the span in the trial document.");

    public static Problem SpanShort(string where, double seconds, double least) => new("CAL-002", Severity.Error, where,
        Invariant($"the calibration span lasts {seconds:0.###} s"), Invariant($"at least {least:0.#} s of steady tone; 10 s are good"), "Choose a longer span of the tone.");

    public static Problem NoTone(string where, double frequency, double? other) => new("CAL-003", Severity.Error, where,
        other is { } f ? Invariant($"no tone near {frequency:0.#} Hz, but one at {f:0.#} Hz") : Invariant($"no tone near {frequency:0.#} Hz stands out of the noise"),
        Invariant($"the calibrator's tone of {frequency:0.#} Hz"),
        other is null ? "Check the span, the channel and that the calibrator was on and sealed." : "Correct the calibrator's frequency in the trial document, and check which level belongs to it.");

    public static Problem ToneInNoise(string where, double margin, double bias) => new("CAL-004", Severity.Warning, where,
        Invariant($"the tone stands only {margin:F0} dB above the noise beside it"), "40 dB or more",
        "Calibrate in a quieter place with the coupler sealed.", bias);

    public static Problem ToneWeak(string where, double level) => new("CAL-005", Severity.Warning, where,
        Invariant($"the tone has {level:0.0;−0.0} dB re full scale"), "−60 dB or more", "Check that the gain was the same as in the takes; with this gain a 94 dB tone would be lost in the recorder's noise.");

    public static Problem FrequencyOff(string where, double found, double stated, double percent, bool error) => new("CAL-006", error ? Severity.Error : Severity.Warning, where,
        Invariant($"the tone is at {found:0.##} Hz, {percent:0.0} % from the stated {stated:0.##} Hz"), "within 1 %",
        error ? "Check the stated frequency, the file's sampling rate and the calibrator's battery." : "Check the calibrator's battery.");

    public static Problem Unsteady(string where, double sd, double most) => new("CAL-007", Severity.Error, where,
        Invariant($"the tone's level varies by {sd:F2} dB (standard deviation of 0.25 s readings)"), Invariant($"at most {most:0.0} dB"),
        "Choose a span where the calibrator sits still; switch automatic gain off; calibrate again.", sd);

    public static Problem Distorted(string where, double percent, double most) => new("CAL-008", Severity.Error, where,
        Invariant($"the tone has {percent:F1} % harmonic distortion"), Invariant($"at most {most:0.#} %"), "Lower the recorder's gain if it clips, change the calibrator's battery, calibrate again.");

    public static Problem Clipped(string where, double second, string how) => new("CAL-009", Severity.Error, where,
        Invariant($"the tone is clipped from second {second:F3} on ({how})"), "a tone below full scale", "Calibrate again with less gain, and use that gain for the takes.");

    public static Problem PressureMissing(string where) => new("CAL-010", Severity.Warning, where,
        "a piston-type calibrator without the static pressure", "the pressure while calibrating, in kPa",
        "State the pressure: such a calibrator is 0.3 dB weaker for every 1000 ft of height. No correction was made.");

    public static Problem PressureUnused(string where, double pressure, double effect) => new("CAL-011", Severity.Warning, where,
        Invariant($"calibrated at {pressure:0.0} kPa with a calibrator of unstated type"), "piston type (follows the pressure) or feedback type (does not)",
        "State the type. No correction was made; for a piston type levels read too high by the effect given.", effect);

    public static Problem PressureAbsurd(string where, double pressure) => new("CAL-012", Severity.Error, where,
        Invariant($"a static pressure of {pressure:0.###} kPa"), "20 to 110 kPa; 101.3 at sea level, 75.3 at 8000 ft", "Correct the pressure: hPa divided by 10 are kPa.");

    public static Problem Drifted(string where, double drift, double most) => new("CAL-013", Severity.Error, where,
        Invariant($"the calibrations before and after differ by {drift:+0.00;−0.00} dB"), Invariant($"at most {most:0.0} dB (informed by ISO 9612)"),
        "Discard the absolute levels between them and find out what changed: gain, battery, microphone. Differences between takes are in doubt as well.", Math.Abs(drift));

    public static Problem NoUncertainty(string where, double value) => new("CAL-014", Severity.Error, where,
        Invariant($"a standard uncertainty of {value:0.###} dB"), "above 0 dB", "State it: about 0.15 dB for a class 1 calibrator, 0.25 dB for class 2, 0.5 to 1 dB beside a meter.");

    public static Problem Incredible(string where, double fullScale, double least, double most) => new("CAL-015", Severity.Warning, where,
        Invariant($"0 dB re full scale comes out as {fullScale:F1} dB"), Invariant($"{least:F0} to {most:F0} dB"), "Check the calibrator's level, the span and the gain.");

    public static Problem Silence(string where) => new("CAL-016", Severity.Error, where, "the calibration span is digital silence", "the noise that the meter read", "Check span and channel.");

    public static Problem NoSuchChannel(string where, int channel, int channels) => new("CAL-017", Severity.Error, where,
        Invariant($"channel {channel + 1}"), Invariant($"1 to {channels}, the recording's channels"), "Correct the channel in the trial document.");

    public static Problem Unreadable(string where) => new("CAL-018", Severity.Error, where, "the recording of the calibration cannot be read", "a readable recording", "See the recording's own problems.");

    public static Problem FrequencyTooHigh(string where, double frequency, int rate) => new("CAL-019", Severity.Error, where,
        Invariant($"a calibrator of {frequency:0.#} Hz on a recording of {rate} Hz"), "31.5 Hz up to a third of the sampling rate", "Correct the calibrator's frequency.");

    public static Problem Holes(string where, double milliseconds, double second, bool error) => new("CAL-020", error ? Severity.Error : Severity.Warning, where,
        Invariant($"{milliseconds:0} ms of exact zeros in the tone, first at second {second:F2}"), "a tone without holes",
        error ? "The recorder lost samples. Choose a span without holes, or calibrate again." : "The recorder lost samples. They were left out; what is left of the tone was measured.");
}
