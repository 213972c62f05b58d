using System.Diagnostics;
using System.Globalization;
using Hushtrial.Benchmarks;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;
using Hushtrial.Signals.Tests.Levels;

// The level engine against its plain twin on the same file in one run, in CPU seconds. Arguments: seconds of audio (600); 'scaling' for
// the curves over length, channels and threads instead, 'kernels' for the kernels one by one.
// Whole processes beside other tools: bench/compare.py.
if (args.Contains("kernels"))
{
    BenchmarkDotNet.Running.BenchmarkRunner.Run<Kernels>(args: ["--artifacts", Path.Combine(Path.GetTempPath(), "hushtrial-kernels")]);
    return;
}
var seconds = args.Length > 0 ? int.Parse(args[0], CultureInfo.InvariantCulture) : 600;
const int rate = 48_000;
var path = Path.Combine(Path.GetTempPath(), $"hushtrial-bench-{Environment.ProcessId}.wav");
try
{
    Write(path, seconds);
    using var recording = Recording.Open(new FileBytes(path), "bench.wav");
    var samples = recording.Samples!;
    var width = $"{64 * VectorWidth.Lanes} bit";
    Console.WriteLine($"{Environment.ProcessorCount} processors, vectors of {width}, .NET {Environment.Version}, {seconds} s of 48 kHz 24-bit mono");

    var standard = new LevelSettings { History = true, MaxThreads = 1 };
    // Everything is compiled and the file is in the cache before a clock runs.
    _ = LevelAnalysis.Measure(samples, 0, 0, samples.Frames, standard);
    _ = new ScalarTwin(samples, 0, 0, 20 * rate, withBands: true);
    await Task.Delay(500).ConfigureAwait(false);
    _ = new ScalarTwin(samples, 0, 0, 20 * rate, withBands: true);

    if (args.Contains("scaling"))
    {
        Scaling(samples, standard);
        return;
    }
    var engine = Median(7, () => LevelAnalysis.Measure(samples, 0, 0, samples.Frames, standard));
    var thirdsOnly = Median(7, () => LevelAnalysis.Measure(samples, 0, 0, samples.Frames, standard with { Octaves = false }));
    var broadband = Median(7, () => LevelAnalysis.Measure(samples, 0, 0, samples.Frames, standard with { Octaves = false, Thirds = false }));
    var spectrum = Median(7, () => NarrowBand.Spectrum(samples, 0, 0, samples.Frames));
    var read = Median(7, () => ReadAll(samples));
    var live = Median(7, () => Live(samples));
    var twoThreads = Median(7, () => LevelAnalysis.Measure(samples, 0, 0, samples.Frames, standard with { MaxThreads = 2 }));
    var job = Median(7, () =>
    {
        _ = LevelAnalysis.Measure(samples, 0, 0, samples.Frames, standard with { Octaves = false });
        return NarrowBand.Spectrum(samples, 0, 0, samples.Frames);
    });
    var twin = Median(1, () => new ScalarTwin(samples, 0, 0, samples.Frames, withBands: true));

    Report("the standard job, one thread: A, C, Z with F and S, peak, history, 31 thirds and the spectrum", job);
    Report("engine, one thread: A, C, Z with F and S, peak, history, 31 thirds and 10 octaves", engine);
    Report("engine, one thread: without octaves", thirdsOnly);
    Report("engine, one thread: broadband only", broadband);
    Report("engine, two threads", twoThreads);
    Report("live path in portions of 10 ms, all bands", live);
    Report("narrow-band spectrum of 8192 points", spectrum);
    Report("reading and decoding alone", read);
    Report("plain scalar twin (31 thirds and 10 octaves)", twin);
    Console.WriteLine($"twin / engine: {twin.Cpu / engine.Cpu:F1}   two threads, wall: {engine.Wall / twoThreads.Wall:F2} times one");
    var limit = MachineLimit.TimesRealTime(rate);
    Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
        $"limit of this processor for {MachineLimit.MultiplyAddsPerSample} multiply-adds per sample, all at the full rate: {limit:F0} x real time; the standard job: {100 * seconds / job.Cpu / limit:F0} % of it"));
}
finally
{
    File.Delete(path);
}

void Report(string what, (double Cpu, double Wall) t) =>
    Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{t.Cpu,9:F3} CPU s {t.Wall,9:F3} s {seconds / t.Cpu,8:F0} x real time per core   {what}"));

static (double Cpu, double Wall) Median<T>(int runs, Func<T> work)
{
    var results = new List<(double Cpu, double Wall)>();
    using var process = Process.GetCurrentProcess();
    for (var i = 0; i < runs; i++)
    {
        process.Refresh();
        var cpu = process.TotalProcessorTime;
        var clock = Stopwatch.StartNew();
        GC.KeepAlive(work());
        process.Refresh();
        results.Add(((process.TotalProcessorTime - cpu).TotalSeconds, clock.Elapsed.TotalSeconds));
    }
    return (results.Select(r => r.Cpu).Order().ElementAt(runs / 2), results.Select(r => r.Wall).Order().ElementAt(runs / 2));
}

static void Scaling(SampleSource samples, LevelSettings standard)
{
    Console.WriteLine("| length | channels | threads | CPU s per channel and hour | wall s | managed memory allocated, MB |");
    Console.WriteLine("|---|---|---|---|---|---|");
    foreach (var (minutes, channels, threads) in (ReadOnlySpan<(int, int, int)>)
        [(1, 1, 1), (10, 1, 1), (60, 1, 1), (480, 1, 1), (10, 2, 1), (10, 8, 1), (10, 1, 2), (60, 1, 2)])
    {
        var looped = new LoopedSamples(samples, minutes * 60L * rate, channels);
        var before = GC.GetTotalAllocatedBytes();
        var runs = minutes > 60 ? 1 : 3;
        var (cpu, wall) = Median(runs, () =>
        {
            for (var c = 0; c < channels; c++)
            {
                _ = LevelAnalysis.Measure(looped, c, 0, looped.Frames, standard with { MaxThreads = threads, Octaves = false, History = false });
                _ = NarrowBand.Spectrum(looped, c, 0, looped.Frames, maxThreads: threads);
            }
            return 0;
        });
        var allocated = (GC.GetTotalAllocatedBytes() - before) / runs / channels / 1e6;
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"| {minutes} min | {channels} | {threads} | {cpu * 60 / minutes / channels:F2} | {wall:F2} | {allocated:F1} |"));
    }
}

static double Live(SampleSource samples)
{
    var meter = new LiveLevels(samples.SampleRate, new());
    var portion = new double[samples.SampleRate / 100];
    for (var at = 0L; at + portion.Length <= samples.Frames; at += portion.Length)
    {
        samples.Read(0, at, portion);
        meter.Add(portion);
    }
    return meter.MeanSquare(FrequencyWeighting.A);
}

static double ReadAll(SampleSource samples)
{
    var buffer = new double[16_384];
    var sum = 0.0;
    for (var at = 0L; at < samples.Frames; at += buffer.Length)
    {
        var part = buffer.AsSpan(0, (int)Math.Min(buffer.Length, samples.Frames - at));
        samples.Read(0, at, part);
        sum += part[0];
    }
    return sum;
}

static void Write(string path, int seconds)
{
    using var file = File.Create(path);
    using var writer = new WaveWriter(file, rate, 1, WaveSampleFormat.Integer24);
    var slow = 0.0;
    for (var s = 0; s < seconds; s++)
    {
        var x = Signals.Noise(rate, (ulong)s);
        for (var n = 0; n < x.Length; n++)
        {
            slow += 0.02 * (x[n] - slow);
            x[n] = Math.Clamp((0.3 * slow) + (0.01 * x[n]) + (0.1 * Math.Sin(2 * Math.PI * 82 * n / rate)), -0.99, 0.99);
        }
        writer.Write(x);
    }
}
