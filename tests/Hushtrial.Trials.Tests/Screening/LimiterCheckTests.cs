using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Screening;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Tests.Screening;

/// <summary>Peaks held at one height, told from noise and from steady tones that come back to one height by themselves. Invented sound; limits: common practice, no source.</summary>
public sealed class LimiterCheckTests
{
    private const int Rate = 16_000;
    private const int Seconds = 12;

    [Fact]
    public void Few_moments_at_one_height_are_told_when_they_stand_out()
    {
        // Normal noise passes four standard deviations in one sample of 16 000: some ten moments of the take, less than a hundredth of them.
        Assert.Empty(Found(Noise(1)));
        Assert.Single(Found(Held(Noise(1), 12.1)));
        // Held above every peak, nothing was held.
        Assert.Empty(Found(Held(Noise(1), 20)));
    }

    [Fact]
    public void Steady_tones_with_a_little_noise_are_not_a_limiter_and_the_same_held_are()
    {
        // Three tones without a common period, nineteen twentieths of the energy below 1.5 kHz.
        var tones = Noise(0.5);
        foreach (var hertz in new[] { 61.3, 97.1, 143.9 })
            for (var i = 0; i < tones.Length; i++) tones[i] += (float)(0.1 * Math.Sqrt(2.0 / 3) * Math.Sin(2 * Math.PI * hertz * i / Rate));
        Assert.Empty(Found(tones));
        Assert.Single(Found(Held(tones, 7)));
    }

    [Theory]
    [InlineData(6.5)]
    [InlineData(4)]
    [InlineData(1)]
    public void Noise_held_so_low_that_its_peak_factor_is_that_of_a_tone_is_told(double above) => Assert.Single(Found(Held(Noise(1), above)));

    [Fact]
    public void One_clean_tone_is_not_a_limiter()
    {
        foreach (var hertz in new[] { 80.0, 1000, 2000, 4000 })
            Assert.Empty(Found([.. Enumerable.Range(0, Seconds * Rate).Select(i => (float)(0.2 * Math.Cos(2 * Math.PI * hertz * (i + 0.5) / Rate)))]));
    }

    private static float[] Noise(double share)
    {
        var generator = new SeededGenerator(23);
        return [.. Enumerable.Range(0, Seconds * Rate).Select(_ => (float)(0.1 * share * generator.NextNormal()))];
    }

    // No sample passes a height so many dB above the root mean square.
    private static float[] Held(float[] samples, double above)
    {
        var height = (float)(Math.Sqrt(samples.Average(s => (double)s * s)) * Math.Pow(10, above / 20));
        return [.. samples.Select(s => Math.Clamp(s, -height, height))];
    }

    private static List<Problem> Found(float[] samples)
    {
        var signal = SignalPass.Measure(new HeldSamples(Rate, [samples]), [0], 0, samples.Length);
        var levels = LevelAnalysis.Measure(new HeldSamples(Rate, [samples]), 0, 0, samples.Length, new LevelSettings { History = true, Octaves = false });
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("Test", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.Sequential,
            Channels = [new("ear", false, null, 1, [])], Recordings = [new("f", "f.wav", 0, "R")], Devices = [], Conditions = [], Runs = [new("R", null, [])], Takes = [],
        };
        var take = new TakeEntry("T", "R", null, "open", null, "f", 0, Seconds, null, null, [], null, null, null, null, "");
        return [.. TakeMeasurement.Compose(document, take, document.Recordings[0], document.Channels, [levels], signal, new Dictionary<string, double> { ["ear"] = 120 }, 0).Findings.Where(f => f.Code == "TAK-037")];
    }
}
