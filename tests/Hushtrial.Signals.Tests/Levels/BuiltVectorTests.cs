using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Signals.Tests.Recordings;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>A built cabin: octave levels chosen by hand, their A and C sums worked out from the weights of IEC 61672-1:2013, Table 3,
/// independently of this program (to tenths): the whole way from a WAVE file to levels.</summary>
public sealed class BuiltVectorTests
{
    /// <summary>Sound pressure level of full scale (mean square 1) of the built recording, dB.</summary>
    private const double FullScale = 130;

    private static readonly double[] _cabin = [95, 104, 108, 100, 94, 88, 83, 76, 70];
    private static readonly double[] _passive = [8, 9, 11, 18, 26, 31, 34, 38, 36];
    private static readonly double[] _active = [9, 14, 15, 10, 3, -2, -2, 0, 0];

    public static TheoryData<string, double, double, double[]> Arms() => new()
    {
        { "cabin", 97.1, 109.8, _cabin },
        { "under the passive cup", 81.9, 98.9, [.. _cabin.Zip(_passive, (l, p) => l - p)] },
        { "with the electronics on", 69.5, 84.9, [.. _cabin.Zip(_passive, (l, p) => l - p).Zip(_active, (l, a) => l - a)] },
    };

    [Theory]
    [MemberData(nameof(Arms))]
    public void The_spectrum_adds_up_as_worked_out_by_hand(string arm, double levelA, double levelC, double[] octaves)
    {
        Assert.NotEmpty(arm);
        var spectrum = Spectrum.Of(Band.Octaves.Take(9).ToArray(), octaves);
        // Worked out to tenths with tabulated weights, which are tenths themselves.
        Assert.Equal(levelA, spectrum.Total(FrequencyWeighting.A).Decibels, 0.1);
        Assert.Equal(levelC, spectrum.Total(FrequencyWeighting.C).Decibels, 0.1);
    }

    [Theory]
    [MemberData(nameof(Arms))]
    public void A_wave_file_of_it_reads_the_same(string arm, double levelA, double levelC, double[] octaves)
    {
        const int rate = 48_000;
        // A tone at each exact midband: the level of a band is then exact whatever the shape of the filter.
        var x = new double[12 * rate];
        for (var i = 0; i < octaves.Length; i++)
        {
            var amplitude = Math.Sqrt(2 * Math.Pow(10, (octaves[i] - FullScale) / 10));
            var f = Band.Octave(i - 5).ExactMidband.Hertz;
            for (var n = 0; n < x.Length; n++) x[n] += amplitude * Math.Sin((2 * Math.PI * f * n / rate) + (i * i));
        }
        using var file = new MemoryStream();
        using (var writer = new WaveWriter(file, rate, 1, WaveSampleFormat.Integer24)) writer.Write(x);
        using var recording = Recording.Open(new BufferedBytes(file.ToArray()), arm + ".wav");
        Assert.Empty(recording.Problems);
        var levels = LevelAnalysis.Measure(recording.Samples!, 0, 2 * rate, 10 * rate, new(), cancellation: TestContext.Current.CancellationToken);
        double Level(double meanSquare) => FullScale + Signals.Decibels(meanSquare);

        // The sums by hand carry the rounding of tenths.
        Assert.Equal(levelA, Level(levels.MeanSquare(FrequencyWeighting.A)), 0.1);
        Assert.Equal(levelC, Level(levels.MeanSquare(FrequencyWeighting.C)), 0.1);
        for (var i = 0; i < octaves.Length; i++)
        {
            // The tone's own one-third octave: its neighbours are an octave off, at least 42 dB down; 24 bits leave noise far below 20 dB.
            var third = levels.Thirds.Single(b => b.Band == Band.ThirdOctave(3 * (i - 5)));
            Assert.Equal(octaves[i], Level(third.MeanSquare), 0.01);
        }
    }
}
