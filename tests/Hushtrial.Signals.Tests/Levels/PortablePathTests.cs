using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>Processors without wide vectors, or without any: this very test in a process of its own, whose runtime is told to do without.</summary>
public sealed class PortablePathTests
{
    private const string Answer = "HUSHTRIAL_TEST_ANSWER";

    [Theory]
    [InlineData("DOTNET_EnableHWIntrinsic", 2)]
    [InlineData("DOTNET_EnableAVX2", 2)]
    [InlineData("DOTNET_EnableAVX512", 4)]
    public async Task Levels_are_the_same_without_vector_instructions(string switchedOff, int lanes)
    {
        // A process that was told to do without answers and is done.
        if (Environment.GetEnvironmentVariable(Answer) is { } answer)
        {
            await File.WriteAllLinesAsync(answer, Numbers().Select(n => n.ToString("R", CultureInfo.InvariantCulture)), TestContext.Current.CancellationToken);
            return;
        }
        var written = await OwnProcess.AskAsync(typeof(PortablePathTests), nameof(Levels_are_the_same_without_vector_instructions), Answer, (switchedOff, "0"));
        var theirs = written.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(l => double.Parse(l, CultureInfo.InvariantCulture)).ToArray();
        var ours = Numbers();
        Assert.Equal(ours.Length, theirs.Length);
        // The switch did something: fewer lanes than this process may have, as many as are left.
        Assert.Equal(Math.Min(lanes, VectorWidth.Lanes), (int)theirs[0]);
        for (var i = 1; i < ours.Length; i++)
            Assert.InRange(Math.Abs(Signals.Decibels(ours[i]) - Signals.Decibels(theirs[i])), 0, 0.001);
    }

    private static double[] Numbers()
    {
        const int rate = 16_000;
        var samples = new MemorySamples(rate, TwinTests.Cabin(rate, 1.5));
        var levels = samples.Levels(rate / 2, settings: new() { History = true });
        var spectrum = NarrowBand.Spectrum(samples, 0, 0, samples.Frames, 1024);
        var live = new LiveLevels(rate, new());
        var buffer = new double[samples.Frames];
        samples.Read(0, 0, buffer);
        live.Add(buffer);
        return [VectorWidth.Lanes, .. Enum.GetValues<FrequencyWeighting>().Select(levels.MeanSquare), levels.PeakC,
            .. levels.Thirds.Concat(levels.Octaves).Where(b => b.Valid).Select(b => b.MeanSquare), .. levels.History!.FastA.Select(v => (double)v),
            .. spectrum.Density, .. live.Bands.Select((_, i) => live.BandMeanSquare(i)), live.MeanSquare(FrequencyWeighting.A)];
    }
}
