using Hushtrial.Signals.Recordings;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests.Verdicts;

/// <summary>The A-weighted answer without the bands that are drawn grey, against what tones of known level must give. Invented data.</summary>
public sealed class GreyedBandsTests
{
    private const int Rate = 24_000;
    private const double Apart = 6;

    // Midbands that are printed exactly, and their A-weighting (IEC 61672-1:2013, table 3), dB.
    private static readonly (double Hertz, double A)[] _tones = [(63.096, -26.2), (125.893, -16.1), (251.189, -8.6), (501.187, -3.2), (1000, 0), (1995.26, 1.2), (3981.07, 1.0)];

    [Fact]
    public void Below_the_lowest_stated_frequency_the_answer_with_and_without_the_bands_is_that_of_the_sums_by_hand()
    {
        // Bass 20 dB above the rest, of which oak keeps nothing out; 20 dB of all others.
        double[] open = [100, 80, 80, 80, 80, 80, 80], loss = [0, 20, 20, 20, 20, 20, 20];
        var results = Analyse(open, loss, lowestValid: 100);
        var oak = results.Conditions.Single();
        var answer = Assert.Single(results.Robustness.WithoutGreyed);
        Assert.Contains("80 Hz", answer.Changed, StringComparison.Ordinal);
        Assert.Equal("below the lowest frequency stated for the microphone", answer.Why);
        var shift = Assert.Single(answer.Losses);
        Assert.Equal(Sums(open, loss, _ => true), shift.Value, 0.1);
        Assert.Equal(oak.Loss.A!.General!.Value, shift.Value, 1e-9);
        Assert.Equal(Sums(open, loss, hertz => hertz > 100), shift.Changed, 0.1);
        Assert.InRange(shift.Value, 8, 14);
        Assert.Contains("no verdict changes", answer.Sentence, StringComparison.Ordinal);
        Assert.Empty(Analyse(open, loss, lowestValid: null).Robustness.WithoutGreyed);
    }

    [Fact]
    public void Where_the_own_noise_was_reached_the_answer_without_those_bands_stands_beside()
    {
        // The noise of the microphone, some 37 dB in the bands around 4 kHz, covers what oak lets through there.
        double[] open = [80, 80, 80, 80, 80, 80, 75], loss = [30, 30, 30, 30, 45, 55, 60];
        var results = Analyse(open, loss, lowestValid: null, noise: 46);
        var answer = Assert.Single(results.Robustness.WithoutGreyed, g => g.Why == "the microphone's own noise was reached");
        var bands = results.Conditions.Single().Loss.Bands.Where(b => b.LowerBoundOnly).Select(b => b.Band.ExactMidband.Hertz).ToList();
        Assert.Contains(bands, hertz => Math.Abs(hertz - 3981.07) < 1);
        var shift = Assert.Single(answer.Losses);
        Assert.Equal(Sums(open, loss, hertz => bands.All(b => Math.Abs(b - hertz) > 0.01 * hertz)), shift.Changed, 0.2);
        Assert.NotEqual(shift.Value, shift.Changed, 0.01);
    }

    // R_A = 10 lg Σ 10^((Lo+A)/10) − 10 lg Σ 10^((Lo+A−IL)/10) over some of the tones.
    private static double Sums(double[] open, double[] loss, Func<double, bool> among)
    {
        double before = 0, after = 0;
        for (var i = 0; i < _tones.Length; i++)
        {
            if (!among(_tones[i].Hertz)) continue;
            before += Math.Pow(10, (open[i] + _tones[i].A) / 10);
            after += Math.Pow(10, (open[i] + _tones[i].A - loss[i]) / 10);
        }
        return 10 * Math.Log10(before / after);
    }

    // A tone in the middle of each of seven bands, full scale at 120 dB, and a little white noise of the microphone that the quiet recording has as well.
    private static TrialResults Analyse(double[] open, double[] loss, double? lowestValid, double noise = 0)
    {
        string[] takes = ["open", "oak", "oak", "open"];
        var files = new Dictionary<string, Recording> { ["f"] = Made([.. takes.Select(t => open.Select((o, i) => o - (t == "oak" ? loss[i] : 0)).ToArray())], noise), ["quiet"] = Made([[]], noise) };
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("Test", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.Sequential,
            Channels = [new("ear", false, null, 1, []) { LowestValidHertz = lowestValid, NoiseRecording = "quiet" }], Recordings = [new("f", "f.wav", 0, "R"), new("quiet", "quiet.wav", null, null)], Runs = [new("R", null, [])],
            Devices = [new("oak", "Oak", DeviceKind.OverEar, true, null, null, [], null)], Conditions = [new("oak", "oak", "passive", [])],
            Takes = [.. takes.Select((t, i) => new TakeEntry($"T{i}", "R", null, t, t == "open" ? null : "oak-1", "f", (i * Apart) + 0.5, (i * Apart) + 5.5, null, null, [], null, null, null, null, ""))],
        };
        return Analysis.Run(new(document, files, [], [], "0"), null, TestContext.Current.CancellationToken);
    }

    // Six seconds for each list of levels of the tones.
    private static Recording Made(double[][] levels, double noise)
    {
        var generator = new SeededGenerator(17);
        var perPart = (int)(Apart * Rate);
        var samples = new double[levels.Length * perPart];
        for (var i = 0; i < samples.Length; i++) samples[i] = Math.Pow(10, (noise - 120) / 20) * generator.NextNormal();
        for (var part = 0; part < levels.Length; part++)
            for (var tone = 0; tone < levels[part].Length; tone++)
            {
                var (height, step) = (Math.Sqrt(2) * Math.Pow(10, (levels[part][tone] - 120) / 20), 2 * Math.PI * _tones[tone].Hertz / Rate);
                for (var i = part * perPart; i < (part + 1) * perPart; i++) samples[i] += height * Math.Sin(step * i);
            }
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, 1, WaveSampleFormat.Float32)) writer.Write(samples);
        return Recording.Open(new BufferedBytes(stream.ToArray()), "f.wav");
    }
}
