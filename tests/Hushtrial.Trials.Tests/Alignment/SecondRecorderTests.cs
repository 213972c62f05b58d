using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Alignment;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests.Alignment;

/// <summary>A recorder at the ear and one on the seat, each with its own watch: once the clocks are found, the seat's microphone is the reference outside. Invented data.</summary>
public sealed class SecondRecorderTests
{
    private const int Rate = 16_000;
    private const double Seconds = 300;
    private const double Late = 41.37;
    private const double Change = 2.3;

    // Open from 60, 150 and 250 s; the device from 100 and 200 s, while the cabin is 2.3 dB louder.
    private static readonly double[] _open = [60, 150, 250], _covered = [100, 200];

    [Fact]
    public void A_change_of_the_cabin_is_taken_off_by_the_other_recorder_once_the_clocks_are_found()
    {
        var files = Files();
        // By its own watch the seat's recorder began at 55 s; it was 41.37 s.
        var asWritten = Document(55, 0, 0);
        var (values, problems) = RunAlignment.Clocks(asWritten, RunAlignment.Of(Inputs(asWritten, files), null, null, TestContext.Current.CancellationToken));
        Assert.Empty(problems);
        var clock = Assert.Single(values);
        double Value(string key) => double.Parse(clock.Values.Single(v => v.Key == key).Value, CultureInfo.InvariantCulture);
        Assert.Equal(("recordings", "seat"), (clock.Section, clock.Entry));
        Assert.Equal(Late - 55, Value("clock_offset_s"), 0.1);

        Estimate Loss(TrialDocument document) => Analysis.Run(Inputs(document, files), null, TestContext.Current.CancellationToken).Conditions.Single().Loss.A!.General!;
        var aligned = Loss(Document(55, Value("clock_offset_s"), Value("clock_drift_ppm")));
        Assert.Equal(20, aligned.Value, 0.2);
        // A tenth of the change stays uncertain, and the second recorder has a gain of its own.
        Assert.Equal(0.1 * Change, aligned.Budget.Single(b => b.Source.StartsWith("cabin change", StringComparison.Ordinal)).StandardUncertainty, 0.03);
        Assert.Equal(0.1, aligned.Budget.Single(b => b.Source == "gain drift of the second recorder").StandardUncertainty, 1e-9);
        // Without it the louder cabin makes the device look worse by as much.
        Assert.Equal(20 - Change, Loss(Document(null, 0, 0)).Value, 0.4);
    }

    [Fact]
    public void Recorders_without_a_common_clock_and_takes_beyond_the_end_are_told()
    {
        var files = Files();
        IReadOnlyList<Problem> Told(TrialDocument document) => [.. Analysis.Findings(Inputs(document, files), null, TestContext.Current.CancellationToken).Where(p => p.Code == "TAK-043")];
        var document = Document(55, Late - 55, 0);
        Assert.Empty(Told(document));
        Assert.Contains("without a common clock", Told(document with { Recordings = [document.Recordings[0], document.Recordings[1] with { StartClock = null }] })[0].Found);
        // Of five takes the first begins before the seat's recorder did.
        var beyond = Assert.Single(Told(document with { Recordings = [document.Recordings[0], document.Recordings[1] with { StartClock = 62 }] }));
        Assert.Contains("take T1 from 60 s to 70 s of ear.wav", beyond.Found);
    }

    private static double Level(double[] wander, double second) => wander[(int)(second / 0.025)] + (_covered.Any(c => second >= c - 3 && second < c + 13) ? Change : 0);

    private static Dictionary<string, byte[]> Files()
    {
        var random = new SeededGenerator(11);
        var (wander, fast) = (new double[(int)((Seconds + 60) / 0.025)], 0.0);
        for (var i = 0; i < wander.Length; i++) wander[i] = -30 + (fast = (0.98 * fast) + (0.2 * random.NextNormal()));
        byte[] Record(double begins, ulong seed, Func<double, double> loss)
        {
            var noise = new SeededGenerator(seed);
            using var stream = new MemoryStream();
            using (var writer = new WaveWriter(stream, Rate, 1, WaveSampleFormat.Integer24))
                writer.Write([.. Enumerable.Range(0, (int)((Seconds - begins) * Rate)).Select(n => begins + ((double)n / Rate)).Select(t => Math.Pow(10, (Level(wander, t) - loss(t)) / 20) * noise.NextNormal())]);
            return stream.ToArray();
        }
        return new() { ["ear"] = Record(0, 1, t => _covered.Any(c => t >= c - 3 && t < c + 13) ? 20 : 0), ["seat"] = Record(Late, 2, _ => 3) };
    }

    private static TrialInputs Inputs(TrialDocument document, Dictionary<string, byte[]> files) =>
        new(document, document.Recordings.ToDictionary(r => r.Id, r => Recording.Open(new BufferedBytes(files[r.Id]), r.File)), [], [], "0");

    /// <summary>The trial; without the seat's recorder where its start is null.</summary>
    private static TrialDocument Document(double? seat, double offset, double drift)
    {
        var text = $$"""
            hushtrial: 1
            trial: { title: Two recorders, quantity: insertion-loss, design: {{(seat is null ? "sequential" : "outside-channel")}} }
            channels:
              - { id: ear, where: ear, number: 1 }
            {{(seat is null ? "" : "  - { id: seat, where: outside, number: 1, recorder: seat }")}}
            recordings:
              - { id: ear, file: ear.wav, run: F1, starts: 10:00:00 }
            {{(seat is null ? "" : FormattableString.Invariant($"  - {{ id: seat, file: seat.wav, run: F1, recorder: seat, starts: 10:00:{seat}, clock_offset_s: {offset}, clock_drift_ppm: {drift} }}"))}}
            devices: [{ id: elm, kind: over-ear }]
            conditions: [{ id: elm, device: elm }]
            runs: [{ id: F1 }]
            takes:
              - { id: T1, condition: open, recording: ear, from: {{_open[0]}}, to: {{_open[0] + 10}} }
              - { id: T2, condition: elm, fit: D1, recording: ear, from: {{_covered[0]}}, to: {{_covered[0] + 10}} }
              - { id: T3, condition: open, recording: ear, from: {{_open[1]}}, to: {{_open[1] + 10}} }
              - { id: T4, condition: elm, fit: D2, recording: ear, from: {{_covered[1]}}, to: {{_covered[1] + 10}} }
              - { id: T5, condition: open, recording: ear, from: {{_open[2]}}, to: {{_open[2] + 10}} }
            """;
        var (document, problems) = TrialDocumentReader.Read(text, "trial.yaml");
        Assert.True(document is not null, string.Join("; ", problems));
        return document;
    }
}
