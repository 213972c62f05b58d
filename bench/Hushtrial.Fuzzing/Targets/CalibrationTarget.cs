using System.Buffers.Binary;
using System.Text;
using Hushtrial.Fuzzing.Mutation;
using Hushtrial.Quantities;
using Hushtrial.Signals.Calibration;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Fuzzing.Targets;

/// <summary>What a document says of microphones and calibrations, read and carried out on a recording with two tones and a pause; and tones of any shape.</summary>
internal static class CalibrationTarget
{
    private const int Rate = 16_000;

    private const string Frame = """
        hushtrial: 1
        trial: { title: T, quantity: insertion-loss, design: sequential }
        recordings: [{ id: tones, file: tones.wav }, { id: f1, file: f1.wav, run: R, starts: 10:00 }, { id: s1, file: s1.wav, run: R, starts: 10:01, recorder: seat }]
        devices: [{ id: oak, kind: over-ear }]
        conditions: [{ id: oak, device: oak }]
        runs: [{ id: R }]
        takes: []

        """;

    private const string Sections = """
        channels:
          - { id: ear, where: ear, number: 1, lowest_valid_hz: 20, own_noise: { recording: tones, from: 4, to: 5.5 } }
          - { id: seat, where: outside, number: 2 }
        calibrations:
          - { channel: ear, kind: tone, recording: tones, from: 0.5, to: 3.5, level_db: 94, hertz: 1000, when: before }
          - { channel: ear, kind: tone, recording: tones, from: 6, to: 9, level_db: 114, hertz: 1000, calibrator: piston, pressure_kpa: 94.2, when: after }
          - { channel: seat, kind: side-by-side, recording: tones, from: 4, to: 6, level_db: 88.4, weighting: A }
          - { channel: seat, kind: sensitivity, level_db: 124.5, uncertainty_db: 1.5 }

        """;

    private static readonly Recording _tones = Tones();

    private static readonly string[] _more = ["recorder: seat", "number: 64", "safety: { number: 2, below_db: 12 }", "kind: tone", "kind: side-by-side", "kind: sensitivity", "from: 0:08", "to: 9.9", "to: 10", "hertz: 250", "level_db: 200", "uncertainty_db: 0.01", "weighting: C"];

    public static FuzzTarget Documents { get; } = new("calibrations", 4096, _ => Warm(Calibrate, Encoding.UTF8.GetBytes(Sections)), new TextMutation([.. DocumentTarget.Words, .. _more]).Mutate, Calibrate);

    /// <summary>Pieces of 8 bytes: frequency, amplitude, length, noise, two bytes each, behind 8 bytes of the calibrator.</summary>
    public static FuzzTarget Sounds { get; } = new("tones", 136, _ => Warm(Measure, Piece(1000, 8000, 3000, 0), Piece(250, 32767, 2000, 400), [.. Piece(1000, 8000, 1000, 10), .. Piece(1000, 800, 1000, 10)[8..]]), ByteMutation.Mutate, Measure);

    // The first execution compiles what it needs, which is no fault of the input.
    private static byte[][] Warm(Func<byte[], bool> execute, params byte[][] seeds)
    {
        foreach (var seed in seeds) _ = execute(seed);
        return seeds;
    }

    private static bool Calibrate(byte[] input)
    {
        var (document, problems) = TrialDocumentReader.Read(Frame + Encoding.UTF8.GetString(input), "trial.yaml");
        Places.Check(problems, long.MaxValue, Places.LinesIn(input) + 8);
        if (document is null) return !problems.Any(p => p.Code is "DOC-001" or "DOC-002" or "DOC-003" or "DOC-004" or "DOC-005" or "DOC-006" or "DOC-007" or "DOC-008");
        var inputs = new TrialInputs(document, new Dictionary<string, Recording>(StringComparer.Ordinal) { ["tones"] = _tones, ["f1"] = _tones, ["s1"] = _tones }, [], [], "0");
        var calibrations = ChannelCalibrations.Of(inputs);
        Places.Check(calibrations.Problems, long.MaxValue, int.MaxValue - 1);
        foreach (var channel in document.Channels) Check(calibrations.ByChannel[channel.Id]);
        foreach (var floor in NoiseFloors.Measure(inputs, calibrations.FullScale(calibrations.Absolute(document))).Values)
            BrokenPropertyException.Unless(floor.Bands.Values.All(double.IsFinite), "an own noise without a level");
        return true;
    }

    private static bool Measure(byte[] input)
    {
        if (input.Length < 16) return false;
        static double Word(ReadOnlySpan<byte> at) => BinaryPrimitives.ReadUInt16LittleEndian(at);
        var samples = new List<float>();
        var random = new Dice(1);
        for (var at = 8; at + 8 <= input.Length && samples.Count < 6 * Rate; at += 8)
        {
            var piece = input.AsSpan(at, 8);
            var (hertz, amplitude, noise) = (Word(piece), Word(piece[2..]) / 32768, Word(piece[6..]) / 32768);
            // Beyond full scale it is cut off, as a recorder would.
            for (var left = (int)Word(piece[4..]) * Rate / 1000; left > 0 && samples.Count < 6 * Rate; left--)
                samples.Add((float)((amplitude * Math.Sin(2 * Math.PI * hertz * samples.Count / Rate)) + (noise * ((random.Below(2001) / 1000.0) - 1))));
        }
        if (samples.Count == 0) return false;
        var calibrator = new ToneCalibrator(Level.FromDecibels(60 + (Word(input) % 80)), Frequency.FromHertz(1 + Word(input.AsSpan(2))), LevelDifference.FromDecibels(input[4] / 100.0), (CalibratorType)(input[5] % 3), input[6] % 4 == 0 ? null : input[6]);
        var calibration = CalibratorTone.Measure(new HeldSamples(Rate, [[.. samples]]), 0, new RecordingSpan(0, (double)samples.Count / Rate), calibrator, "tone");
        Check(calibration);
        Places.Check(calibration.Problems, long.MaxValue, 1);
        return calibration.FullScale is not null;
    }

    private static void Check(Calibration calibration)
    {
        BrokenPropertyException.Unless(calibration.Words.Length > 0, "a calibration without words");
        BrokenPropertyException.Unless(calibration.FullScale is not { } level || double.IsFinite(level.Decibels), $"a level of full scale of {calibration.FullScale}");
        BrokenPropertyException.Unless(double.IsFinite(calibration.StandardUncertainty.Decibels) && calibration.StandardUncertainty.Decibels >= 0, $"an uncertainty of {calibration.StandardUncertainty}");
        BrokenPropertyException.Unless(calibration.Drift is not { } drift || double.IsFinite(drift.Decibels), $"a drift of {calibration.Drift}");
    }

    private static byte[] Piece(ushort hertz, ushort amplitude, ushort milliseconds, ushort noise)
    {
        var bytes = new byte[16];
        (bytes[0], bytes[4], bytes[6]) = (34, 20, 100);
        BinaryPrimitives.WriteUInt16LittleEndian(bytes.AsSpan(2), (ushort)(hertz - 1));
        foreach (var (index, word) in new[] { hertz, amplitude, milliseconds, noise }.Index()) BinaryPrimitives.WriteUInt16LittleEndian(bytes.AsSpan(8 + (2 * index)), word);
        return bytes;
    }

    // 1 kHz from 0 to 4 s, noise to 6 s, the tone 20 dB louder to 10 s; the second channel at half the height.
    private static Recording Tones()
    {
        var random = new Dice(2);
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, 2, WaveSampleFormat.Integer16))
            writer.Write([.. Enumerable.Range(0, 10 * Rate).SelectMany(i =>
            {
                var second = (double)i / Rate;
                var x = (second is >= 4 and < 6 ? 0.01 : 0.001) * ((random.Below(2001) / 1000.0) - 1);
                if (second is < 4 or >= 6) x += (second < 4 ? 0.05 : 0.5) * Math.Sin(2 * Math.PI * 1000 * second);
                return new[] { x, x / 2 };
            })]);
        return Recording.Open(new BufferedBytes(stream.ToArray()), "tones.wav");
    }
}
