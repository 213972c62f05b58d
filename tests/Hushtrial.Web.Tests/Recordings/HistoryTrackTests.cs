using System.Buffers.Binary;
using Hushtrial.Quantities;
using Hushtrial.Web.Recordings;

namespace Hushtrial.Web.Tests.Recordings;

public sealed class HistoryTrackTests
{
    private static short At(ReadOnlySpan<byte> history, int step, int place) =>
        BinaryPrimitives.ReadInt16LittleEndian(history[(HistoryRows.HeadBytes + (step * HistoryRows.RowBytes) + (2 * place))..]);

    private static async Task<byte[]> AllOf(HistoryTrack track)
    {
        using var stream = new MemoryStream();
        await track.CopyToAsync(stream, TestContext.Current.CancellationToken);
        return stream.ToArray();
    }

    [Fact]
    public async Task A_sine_of_1_kHz_reads_its_mean_square_in_A_C_Z_and_in_its_own_band()
    {
        // Amplitude 0.1: mean square 0.005, -23.01 dB re full scale. At 1 kHz all weightings are 0 dB (IEC 61672-1:2013, 5.5.6) and the
        // band filter of 1 kHz is at its midband (IEC 61260-1:2014): 0.05 dB covers the filter's ripple and the rounding to hundredths.
        var samples = SoundSamples.Sine(0.1, 10.06);
        var track = new HistoryTrack(samples);
        track.Measure(samples, 0, TestContext.Current.CancellationToken);
        var bytes = await AllOf(track);

        Assert.Equal(81, track.Steps);
        Assert.Equal(HistoryRows.HeadBytes + (81 * HistoryRows.RowBytes), bytes.Length);
        Assert.Equal("HUSHLEV1"u8.ToArray(), bytes[..8]);
        Assert.Equal(125_000, BinaryPrimitives.ReadInt32LittleEndian(bytes.AsSpan(8)));
        Assert.Equal(60_000, BinaryPrimitives.ReadInt32LittleEndian(bytes.AsSpan(28)));
        var band = 4 + Band.ThirdOctaves.ToList().IndexOf(Band.ThirdOctave(0));
        foreach (var place in new[] { 0, 1, 2, 3, band }) Assert.InRange(At(bytes, 60, place) / 100.0, -23.06, -22.96);
        // Two octaves away the class 1 limits ask for 40 dB at least (IEC 61260-1:2014, table 1).
        Assert.InRange(At(bytes, 60, band + 6) / 100.0, -300, -63);
    }

    [Fact]
    public async Task Pieces_meet_without_a_seam()
    {
        // Longer than the first piece of 120 s: around the seam a steady sine stays within the rounding.
        var samples = SoundSamples.Sine(0.1, 130, 16_000);
        var track = new HistoryTrack(samples);
        track.Measure(samples, 0, TestContext.Current.CancellationToken);
        var bytes = await AllOf(track);
        for (var step = 950; step < 970; step++)
            foreach (var place in new[] { 0, 2, 3 }) Assert.InRange(At(bytes, step, place) / 100.0, -23.06, -22.96);
    }

    [Fact]
    public async Task A_band_that_does_not_exist_at_the_rate_and_silence_have_no_level()
    {
        var samples = new SoundSamples(16_000, 12, n => n < 16_000 * 4 ? 0.2 * Math.Sin(n * 0.3) : 0);
        var track = new HistoryTrack(samples);
        track.Measure(samples, 0, TestContext.Current.CancellationToken);
        var bytes = await AllOf(track);
        Assert.Equal(HistoryRows.NoLevel, At(bytes, 8, 4 + 30));
        Assert.NotEqual(HistoryRows.NoLevel, At(bytes, 8, 4 + 17));
    }

    [Fact]
    public async Task Samples_that_are_no_numbers_cost_their_surroundings_not_the_recording()
    {
        var samples = new SoundSamples(16_000, 100, n => n == 16_000 * 50 ? double.NaN : 0.1 * Math.Sin(2 * Math.PI * 1000 * n / 16_000));
        var track = new HistoryTrack(samples);
        track.Measure(samples, 0, TestContext.Current.CancellationToken);
        var bytes = await AllOf(track);
        Assert.Equal(HistoryRows.NoLevel, At(bytes, 400, 0));
        Assert.InRange(At(bytes, 100, 0) / 100.0, -23.06, -22.96);
        Assert.InRange(At(bytes, 790, 0) / 100.0, -23.06, -22.96);
    }

    [Fact(Timeout = 30_000)]
    public async Task A_reader_gets_what_is_there_and_then_what_comes()
    {
        using var second = new SemaphoreSlim(0);
        var samples = new SoundSamples(16_000, 150, n =>
        {
            // The second piece, with the settling before it, waits until the first was seen.
            if (n >= 16_000 * 125 && !second.Wait(TimeSpan.FromSeconds(20))) throw new TimeoutException();
            if (n >= 16_000 * 125) second.Release();
            return 0.1 * Math.Sin(n * 0.4);
        });
        var track = new HistoryTrack(samples);
        var measuring = Task.Run(() => track.Measure(samples, 0, CancellationToken.None), TestContext.Current.CancellationToken);
        using var stream = new MemoryStream();
        var reading = track.CopyToAsync(stream, TestContext.Current.CancellationToken);
        while (stream.Length < HistoryRows.HeadBytes + (960 * HistoryRows.RowBytes)) await Task.Delay(10, TestContext.Current.CancellationToken);
        Assert.False(measuring.IsCompleted);
        second.Release();
        await Task.WhenAll(measuring, reading);
        Assert.Equal(track.Length, stream.Length);
    }

    [Fact(Timeout = 30_000)]
    public async Task A_history_is_kept_under_the_hash_and_read_from_there_the_next_time()
    {
        var folder = Directory.CreateTempSubdirectory("hushtrial-histories-");
        try
        {
            var samples = SoundSamples.Sine(0.1, 3);
            await using var histories = new Histories(folder.FullName);
            Assert.Null(histories.Find("abc", 0));
            var first = await histories.WholeAsync("abc", 0, samples, () => new MemoryStream(), TestContext.Current.CancellationToken);
            while (histories.Find("abc", 0) is null) await Task.Delay(10, TestContext.Current.CancellationToken);
            var broken = new SoundSamples(48_000, 3, _ => throw new InvalidOperationException("It must not be measured again."));
            var again = await histories.WholeAsync("abc", 0, broken, () => new MemoryStream(), TestContext.Current.CancellationToken);
            Assert.Equal(first.ToArray(), again.ToArray());
            Assert.Null(histories.Find("abc", 1));
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }
}
