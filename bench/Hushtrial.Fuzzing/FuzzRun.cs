using System.Diagnostics;
using System.Globalization;
using System.Security.Cryptography;

namespace Hushtrial.Fuzzing;

/// <summary>One run on one target: inputs that show a new branch join the corpus; what goes wrong is written down once for each place.</summary>
internal sealed class FuzzRun(FuzzTarget target, ulong seed, string findings)
{
    /// <summary>A small input that takes longer is a finding; the clock of a loaded machine is given some rope by a second try.</summary>
    private static readonly TimeSpan _mostTime = TimeSpan.FromSeconds(1);

    private const long MostAllocated = 100_000_000;

    private readonly Dice _dice = new(seed);
    private readonly List<byte[]> _corpus = [];
    private readonly Dictionary<string, int> _found = new(StringComparer.Ordinal);
    private byte[] _current = [];
    private long _startedAt;

    public IReadOnlyDictionary<string, int> Found => _found;

    public long Executions { get; private set; }

    public long Passed { get; private set; }

    public TimeSpan Time { get; private set; }

    public IReadOnlyList<byte[]> Corpus => _corpus;

    public void Run(string corpus, long executions, TimeSpan most)
    {
        using var watch = new Timer(_ => EndHang(), null, 1000, 1000);
        var clock = Stopwatch.StartNew();
        foreach (var input in target.Seeds(corpus).Concat(KeptCorpus.Read(corpus, target.Name)))
        {
            Execute(input);
            if (EdgeMap.Instance.TakeNews() || _corpus.Count == 0) _corpus.Add(input);
        }
        var (told, next) = (TimeSpan.Zero, TimeSpan.FromSeconds(30));
        while (Executions < executions && clock.Elapsed < most)
        {
            // What was found last leads on more often than what has been there for long.
            var parent = _dice.OneIn(3) ? _corpus[^(1 + _dice.Below(1 + (_corpus.Count / 5)))] : _dice.Of(_corpus);
            var input = target.Mutate(parent, _dice.Of(_corpus), _dice);
            if (input.Length > target.MostBytes) Array.Resize(ref input, target.MostBytes);
            Execute(input);
            if (EdgeMap.Instance.TakeNews()) _corpus.Add(input);
            if (clock.Elapsed - told < next) continue;
            told = clock.Elapsed;
            Tell(told);
        }
        Volatile.Write(ref _startedAt, 0);
        Time = clock.Elapsed;
        Tell(Time);
    }

    private void Tell(TimeSpan elapsed) => Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
        $"{target.Name}: {Executions} executions in {elapsed.TotalSeconds:0} s, {100.0 * Passed / Executions:0} % past the first door, {_corpus.Count} inputs, {EdgeMap.Instance.Edges} pairs of branches, {_found.Count} findings"));

    private void Execute(byte[] input)
    {
        Executions++;
        _current = input;
        var before = GC.GetAllocatedBytesForCurrentThread();
        EdgeMap.Instance.Clear();
        // Processor time: on a busy machine a short input may wait for long.
        var start = Environment.CpuUsage.TotalTime;
        Volatile.Write(ref _startedAt, Stopwatch.GetTimestamp());
        var failed = false;
        try
        {
            if (target.Execute(input)) Passed++;
        }
#pragma warning disable CA1031 // Whatever a reader throws is what is looked for.
        catch (Exception e)
#pragma warning restore CA1031
        {
            failed = true;
            Report(Key(e), e.ToString(), input);
        }
        var took = Environment.CpuUsage.TotalTime - start;
        if (GC.GetAllocatedBytesForCurrentThread() - before is var allocated and > MostAllocated) Report("memory", string.Create(CultureInfo.InvariantCulture, $"{allocated} bytes allocated"), input);
        if (!failed && took > _mostTime && Again(input) > _mostTime) Report("time", string.Create(CultureInfo.InvariantCulture, $"{took.TotalSeconds:0.0} s"), input);
    }

    private TimeSpan Again(byte[] input)
    {
        var start = Environment.CpuUsage.TotalTime;
        Volatile.Write(ref _startedAt, Stopwatch.GetTimestamp());
        _ = target.Execute(input);
        return Environment.CpuUsage.TotalTime - start;
    }

    /// <summary>Exceptions of one kind from one place are one finding.</summary>
    private static string Key(Exception e)
    {
        var frame = e.StackTrace?.Split('\n').FirstOrDefault(l => l.Contains("Hushtrial", StringComparison.Ordinal) && !l.Contains(nameof(BrokenPropertyException), StringComparison.Ordinal)) ?? "";
        var about = e is BrokenPropertyException ? new string([.. e.Message.Where(c => !char.IsDigit(c)).Take(24)]) : "";
        return $"{e.GetType().Name} {about} {frame.Trim().Split(" in ")[0]}";
    }

    private void Report(string key, string words, byte[] input)
    {
        _found[key] = _found.GetValueOrDefault(key) + 1;
        if (_found[key] > 1) return;
        Write(key, words, input);
        Console.WriteLine($"{target.Name}: FOUND {key}\n{string.Join('\n', words.Split('\n').Take(6))}");
    }

    private void Write(string key, string words, byte[] input)
    {
        Directory.CreateDirectory(findings);
        var name = Path.Combine(findings, $"{target.Name}.{Convert.ToHexStringLower(SHA256.HashData(System.Text.Encoding.UTF8.GetBytes(key)))[..10]}");
        File.WriteAllBytes(name + ".input", input);
        File.WriteAllText(name + ".words.txt", $"{key}\n{words}\n");
    }

    /// <summary>An execution without an end cannot be left, only told: the process ends with it.</summary>
    private void EndHang()
    {
        var started = Volatile.Read(ref _startedAt);
        if (started == 0 || Stopwatch.GetElapsedTime(started) < TimeSpan.FromSeconds(60)) return;
        Write("hang", "no end after 60 s", _current);
        Console.WriteLine($"{target.Name}: FOUND a reading without an end");
        Environment.Exit(3);
    }
}
