using System.Globalization;
using System.Runtime;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Signals.Tests.Levels;

/// <summary>What the engine's start leaves to compile: this very test in a process of its own, in which nothing was measured before.</summary>
public sealed class EngineStartTests
{
    private const string Answer = "HUSHTRIAL_TEST_METHODS";
    private const string Prepared = "HUSHTRIAL_TEST_PREPARED";

    [Fact]
    public async Task A_prepared_engine_has_next_to_nothing_left_to_compile()
    {
        // The process of its own answers and is done.
        if (Environment.GetEnvironmentVariable(Answer) is { } answer)
        {
            if (Environment.GetEnvironmentVariable(Prepared) is not null) EngineStart.Prepare();
            await File.WriteAllTextAsync(answer, Compiled().ToString(CultureInfo.InvariantCulture), TestContext.Current.CancellationToken);
            return;
        }
        var (cold, prepared) = (await InItsOwnProcess(prepared: false), await InItsOwnProcess(prepared: true));
        Assert.InRange(cold, 100, 1000);
        Assert.InRange(prepared, 0, cold / 5);
    }

    /// <summary>Methods that a first measurement of five seconds of 24-bit samples compiles.</summary>
    private static int Compiled()
    {
        const int rate = 48_000, frames = 5 * rate;
        var bytes = new byte[3 * frames];
        new Random(1).NextBytes(bytes);
        var samples = new StoredSamples(new BufferedBytes(bytes), new(0, frames, 1, 3, rate, new(SampleKind.SignedInteger, 3, 24, BigEndian: false)));
        var before = JitInfo.GetCompiledMethodCount(currentThread: true);
        _ = LevelAnalysis.Measure(samples, 0, 0, frames, new());
        return (int)(JitInfo.GetCompiledMethodCount(currentThread: true) - before);
    }

    private static async Task<int> InItsOwnProcess(bool prepared) => int.Parse(await OwnProcess.AskAsync(typeof(EngineStartTests),
        nameof(A_prepared_engine_has_next_to_nothing_left_to_compile), Answer, prepared ? [(Prepared, "1")] : []), CultureInfo.InvariantCulture);
}
