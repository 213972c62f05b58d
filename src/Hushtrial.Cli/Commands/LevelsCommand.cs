using System.CommandLine;
using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Signals.Calibration;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Files;
using Hushtrial.Store;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Cli.Commands;

/// <summary>Levels of one recording.</summary>
internal static class LevelsCommand
{
    // The bounds of 'level_db' of a calibration in the trial document.
    private static readonly NumberRange _stated = new(-60, 200, "dB");

    public static Command Build(Edge edge)
    {
        var recording = new Argument<string>("RECORDING") { Description = "a recording" };
        var from = NumberOption.Time("--from", "start of the span: seconds, m:ss or h:mm:ss (default: the beginning)");
        var to = NumberOption.Time("--to", "end of the span: seconds, m:ss or h:mm:ss (default: the end)");
        var channel = NumberOption.Whole("--channel", 1, 65_535, "channel, from 1", 1, "NUMBER");
        var fullScale = NumberOption.Of("--full-scale-db", _stated, "level in dB that a signal of 0 dB re full scale has; a sine that just reaches full scale reads 3.01 dB less", "LEVEL");
        var calibration = new Option<string?>("--calibration") { HelpName = "FILE", Description = "recording of a calibrator's tone, same channel and gain" };
        var calibrationLevel = NumberOption.Of("--calibration-level", _stated, "level of the calibrator in dB", "LEVEL");
        var calibrationFrequency = NumberOption.Of("--calibration-frequency", NumberRange.Audible, "frequency of the calibrator in Hz", 1000, "HERTZ");
        var truncated = new Option<bool>("--allow-truncated") { Description = "use what is there of a recording that ends before its promised length" };
        var history = new Option<bool>("--history") { Description = "add the history of levels and bands every 125 ms" };
        var spectrum = new Option<bool>("--spectrum") { Description = "add the narrow-band spectrum: averaged power density over segments of 8192 samples" };
        var command = new Command("levels", "Levels, percentiles and bands of a recording. Example: hushtrial levels cabin.wav --from 10 --to 40 --full-scale-db 128")
        {
            recording, from, to, channel, fullScale, calibration, calibrationLevel, calibrationFrequency, history, spectrum, truncated,
        };
        command.Validators.Add(result =>
        {
            if (result.GetResult(calibration) is not null != (result.GetResult(calibrationLevel) is not null))
                result.AddError("--calibration and --calibration-level belong together.");
            if (result.GetResult(calibration) is not null && result.GetResult(fullScale) is not null)
                result.AddError("Give --full-scale-db or --calibration, not both.");
        });
        command.SetAction((parsed, cancellation) => Task.FromResult(Run(edge, new Wish(parsed.GetRequiredValue(recording), parsed.GetValue(from), parsed.GetValue(to),
            parsed.GetValue(channel), parsed.GetValue(fullScale), parsed.GetValue(calibration), parsed.GetValue(calibrationLevel), parsed.GetValue(calibrationFrequency),
            parsed.GetValue(history), parsed.GetValue(spectrum), parsed.GetValue(truncated)), CommandTree.AsJson(parsed), cancellation)));
        return command;
    }

    private sealed record Wish(string File, double? From, double? To, int Channel, double? FullScale, string? Calibration, double? CalibrationLevel, double CalibrationFrequency, bool History, bool Spectrum, bool AllowTruncated);

    private static int Run(Edge edge, Wish wish, bool json, CancellationToken cancellation)
    {
        var answer = new Answer(edge, json);
        using var recording = RecordingFiles.Open(wish.File, wish.File, wish.AllowTruncated ? Truncation.IsAllowed : Truncation.IsError, cancellation);
        var problems = recording.Problems.ToList();
        if (recording.Samples is not { } samples || problems.Any(p => p.Severity == Severity.Error)) return Nothing(answer, wish, problems);
        if (wish.Channel < 1 || wish.Channel > samples.Channels)
            throw new WrongUseException($"--channel {wish.Channel}: the recording has channels 1 to {samples.Channels}.");
        var seconds = (double)samples.Frames / samples.SampleRate;
        var (from, to) = (wish.From ?? 0, wish.To ?? seconds);
        if (!(to > from)) throw new WrongUseException(string.Create(CultureInfo.InvariantCulture, $"--from {from} --to {to}: the end of the span must come after its start; the recording has {seconds:0.###} s."));
        if (!(from >= 0) || to > seconds + (0.5 / samples.SampleRate))
            throw new WrongUseException(string.Create(CultureInfo.InvariantCulture, $"--from {from} --to {to}: the span must lie inside the recording, 0 to {seconds:0.###} s."));
        var calibration = Calibrate(wish);
        problems.AddRange(calibration.Problems);
        if (problems.Any(p => p.Severity == Severity.Error)) return Nothing(answer, wish, problems);

        var first = (long)Math.Round(from * samples.SampleRate);
        var count = Math.Min((long)Math.Round(to * samples.SampleRate), samples.Frames) - first;
        if (count < 1) throw new WrongUseException("the span holds no sample.");
        if (wish.Spectrum && count < 8192) throw new WrongUseException("--spectrum needs a span of at least 8192 samples.");
        var span = Progressing.Run(edge, "Measuring", p => LevelAnalysis.Measure(samples, wish.Channel - 1, first, count, new LevelSettings { History = wish.History }, p, cancellation));
        problems.AddRange(SampleScan.Of(recording, null, cancellation));
        if (ClippingCheck.FlatTops(SignalPass.Shape(samples, wish.Channel - 1, first, count), count, calibration.FullScale?.Decibels ?? 0, $"{wish.File}, channel {wish.Channel}") is { } clipped) problems.Add(clipped);
        var reading = new LevelReading(wish.File, samples, wish.Channel, from, to, calibration.FullScale?.Decibels, span,
            wish.Spectrum ? NarrowBand.Spectrum(samples, wish.Channel - 1, first, count, maxThreads: Environment.ProcessorCount, cancellation: cancellation) : null);
        return answer.Give(problems, reading.WriteJson, reading.WriteText);
    }

    private static Calibration Calibrate(Wish wish)
    {
        // The uncertainty is the caller's to know; this command prints none.
        if (wish.FullScale is { } level) return Calibration.Stated(Level.FromDecibels(level), LevelDifference.FromDecibels(0.2), "--full-scale-db");
        if (wish.Calibration is null) return Calibration.None;
        using var tone = RecordingFiles.Open(wish.Calibration, wish.Calibration);
        var calibrator = new ToneCalibrator(Level.FromDecibels(wish.CalibrationLevel!.Value), Frequency.FromHertz(wish.CalibrationFrequency), LevelDifference.FromDecibels(0.2), CalibratorType.Feedback);
        return CalibratorTone.Measure(tone, wish.Channel - 1, new RecordingSpan(0, tone.Duration.TotalSeconds), calibrator);
    }

    private static int Nothing(Answer answer, Wish wish, List<Problem> problems) =>
        answer.Give(problems, w => w.WriteString("recording", wish.File), _ => { });
}
