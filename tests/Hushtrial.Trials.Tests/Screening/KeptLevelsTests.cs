using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Tests.Screening;

/// <summary>A trial from its kept levels alone, written and read again. The promise is 0.1 dB; nothing is rounded, so the limit here is that of the arithmetic.</summary>
public sealed class KeptLevelsTests
{
    private static TrialInputs Inputs(AnalysisTests.MadeTrial trial) => new(trial.Document, trial.Files.ToDictionary(f => f.Key, f => Recording.Open(new BufferedBytes(f.Value), f.Key + ".wav")), [], [], "0");

    /// <summary>The same trial with its sound replaced by what was kept of it.</summary>
    private static TrialInputs Kept(TrialInputs inputs)
    {
        var kept = KeepingLevels.Of(inputs, MeasuredTrial.Of(inputs, null, TestContext.Current.CancellationToken), "2026-05-20");
        return inputs with
        {
            Recordings = new Dictionary<string, Recording>(),
            Kept = kept.ToDictionary(k => k.Key, k =>
            {
                using var file = new MemoryStream();
                k.Value.Write(file);
                file.Position = 0;
                return KeptRecording.Read(file, k.Key, out var problem) ?? throw new InvalidOperationException(problem!.ToString());
            }),
        };
    }

    [Theory]
    [InlineData(1, false)]
    [InlineData(2, true)]
    public void The_results_from_kept_levels_are_those_from_the_sound(int ears, bool outside)
    {
        var inputs = Inputs(AnalysisTests.Trial([new("open", 0), new("oak", 20), new("open", 0), new("elm", 55), new("open", 0.5)], outside, ears));
        var kept = Kept(inputs);
        Assert.Null(KeepingLevels.Difference(MeasuredTrial.Of(inputs, null, TestContext.Current.CancellationToken), MeasuredTrial.Of(kept, null, TestContext.Current.CancellationToken)));
        var (sound, levels) = (Analysis.Run(inputs, null, TestContext.Current.CancellationToken), Analysis.Run(kept, null, TestContext.Current.CancellationToken));
        foreach (var (a, b) in sound.Conditions.Zip(levels.Conditions))
        {
            foreach (var scope in new[] { EstimateScope.AsWorn, EstimateScope.General })
                Assert.Equal((Low(a.Loss.A, scope), High(a.Loss.A, scope)), (Low(b.Loss.A, scope), High(b.Loss.A, scope)));
            Assert.Equal(a.Loss.Bands.Select(x => (x.Band, x.Valid, x.LowerBoundOnly, High(x.Effect, EstimateScope.General))), b.Loss.Bands.Select(x => (x.Band, x.Valid, x.LowerBoundOnly, High(x.Effect, EstimateScope.General))));
        }
        Assert.Equal(sound.Histories.SelectMany(h => h.LevelA), levels.Histories.SelectMany(h => h.LevelA));
        Assert.Equal(sound.Takes.SelectMany(t => t.Findings), levels.Takes.SelectMany(t => t.Findings));
        Assert.Equal(2, levels.Problems.Count(p => p.Code == "PRV-003"));

        static double Low(Effect? e, EstimateScope s) => Math.Round(e!.In(s)!.Low, 9);
        static double High(Effect? e, EstimateScope s) => e?.In(s) is { } x ? Math.Round(x.High, 9) : double.NaN;
    }

    [Fact]
    public void A_sensitivity_may_still_be_stated_and_a_moved_span_is_refused()
    {
        var kept = Kept(Inputs(AnalysisTests.Trial([new("open", 0), new("oak", 20), new("open", 0)], outside: false)));
        var stated = kept with { Document = kept.Document with { Calibrations = [new("ear", CalibrationKind.Sensitivity, null, null, null, 130, null, FrequencyWeighting.Z, 0.5, null, null, null, "")] } };
        var results = Analysis.Run(stated, null, TestContext.Current.CancellationToken);
        // White noise of −30 dB re full scale: 100 dB unweighted, and about 2 dB less weighted.
        Assert.InRange(results.OpenEarLevel!.A!.General!.Value, 95, 101);
        var moved = kept with { Document = kept.Document with { Takes = [.. kept.Document.Takes.Select((t, i) => i == 1 ? t with { To = t.To + 0.5 } : t)] } };
        Assert.Contains(Analysis.Findings(moved, null, TestContext.Current.CancellationToken), p => p.Code == "PRV-001");
        var gone = kept with { Document = kept.Document with { Takes = [.. kept.Document.Takes.Select((t, i) => i == 2 ? t with { Excluded = "not needed" } : t)] } };
        Assert.DoesNotContain(Analysis.Findings(gone, null, TestContext.Current.CancellationToken), p => p.Severity == Severity.Error);
    }

    /// <summary>No series of the kept file is finer than half a second: a take of 4 s has eight values, the history one a second.</summary>
    [Fact]
    public void Nothing_finer_than_half_a_second_is_kept()
    {
        var kept = Kept(Inputs(AnalysisTests.Trial([new("open", 0), new("oak", 20), new("open", 0)], outside: false))).Kept["run"];
        Assert.All(kept.Takes, t => Assert.All(t.Ears, e => Assert.Equal(8, e.HalfSeconds!.A!.Count)));
        Assert.True(kept.History!.StepSeconds >= 1);
        using var file = new MemoryStream();
        kept.Write(file);
        // A second of these recordings has 144 000 bytes; kept are some kilobytes a take.
        Assert.InRange(file.Length, 1000, 60_000);
        using var broken = new MemoryStream("{\"hushtrial_levels\": 1}"u8.ToArray());
        Assert.Null(KeptRecording.Read(broken, "x", out var problem));
        Assert.Equal("PRV-004", problem!.Code);
    }
}
