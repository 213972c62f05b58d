using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Tests.Screening;

/// <summary>Flat tops below full scale, however deep the cut, told from clean tones. Invented sound; limits: common practice, no source.</summary>
/// <remarks>A sine lies within 0.05 % of its top for 2 arccos(0.9995)/π = 2.0 % of the time; normal noise cut so low that its peaks stand 6 dB above its root mean square lies there for 6 %.</remarks>
public sealed class ClippingCheckTests
{
    private const int Rate = 48_000;
    private const int Seconds = 4;

    /// <param name="height">Standard deviations at which normal noise is cut.</param>
    [Theory]
    [InlineData(3)]
    [InlineData(2.2)]
    [InlineData(1.8)]
    [InlineData(1.4)]
    [InlineData(1)]
    [InlineData(0.5)]
    public void Noise_cut_at_any_height_is_clipped(double height)
    {
        var noise = Noise(0.1);
        Assert.False(IsClipped(noise));
        Assert.True(IsClipped(Cut(noise, 0.1 * height)));
        // The same as rumble, whose neighbours are alike.
        var rumble = Rumble();
        Assert.True(IsClipped(Cut(rumble, height * Math.Sqrt(rumble.Average(s => (double)s * s)))));
    }

    [Fact]
    public void A_clean_sine_of_any_pitch_and_phase_is_not()
    {
        foreach (var hertz in new[] { 16, 21.7, 50, 80, 94.3, 250, 480, 1000, 1234.5, 2000, 3000, 4000, 6000, 8000, 9600, 12_000, 16_000 })
            foreach (var phase in new[] { 0, Math.PI / 6, Math.PI / 4, Math.PI / 2, Math.PI * hertz / Rate })
            {
                var sine = Samples(i => 0.5 * Math.Cos((2 * Math.PI * hertz * i / Rate) + phase));
                Assert.False(IsClipped(sine), $"{hertz} Hz, phase {phase}");
            }
    }

    [Fact]
    public void A_cut_sine_is_and_one_with_a_little_noise_is_not()
    {
        var generator = new SeededGenerator(3);
        var sine = Samples(i => (0.5 * Math.Sin(2 * Math.PI * 80 * i / Rate)) + (1e-5 * generator.NextNormal()));
        Assert.False(IsClipped(sine));
        Assert.True(IsClipped(Cut(sine, 0.4)));
    }

    [Fact]
    public void Harmonics_of_an_engine_are_not()
    {
        // The odd harmonics of a square wave up to the ninth, and all of a saw's: their ripples end at one height in every period.
        Assert.False(IsClipped(Samples(i => Enumerable.Range(0, 5).Sum(k => 0.4 * Math.Sin(2 * Math.PI * 31.3 * ((2 * k) + 1) * i / Rate) / ((2 * k) + 1)))));
        Assert.False(IsClipped(Samples(i => Enumerable.Range(1, 8).Sum(k => 0.2 * Math.Sin(2 * Math.PI * 26.7 * k * i / Rate) / k))));
    }

    private static float[] Samples(Func<int, double> at) => [.. Enumerable.Range(0, Seconds * Rate).Select(i => (float)at(i))];

    private static float[] Noise(double deviation)
    {
        var generator = new SeededGenerator(23);
        return Samples(_ => deviation * generator.NextNormal());
    }

    private static float[] Rumble()
    {
        var (generator, state) = (new SeededGenerator(29), 0.0);
        return Samples(_ => state = (0.99 * state) + (0.01 * generator.NextNormal()));
    }

    private static float[] Cut(float[] samples, double height) => [.. samples.Select(s => Math.Clamp(s, (float)-height, (float)height))];

    private static bool IsClipped(float[] samples) => ClippingCheck.IsClipped(SignalPass.Measure(new HeldSamples(Rate, [samples]), [0], 0, samples.Length).Shapes[0], samples.Length);
}
