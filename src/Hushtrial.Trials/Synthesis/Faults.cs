using Hushtrial.Trials.Document;
using static Hushtrial.Trials.Synthesis.Disturbance;
using static System.FormattableString;

namespace Hushtrial.Trials.Synthesis;

/// <summary>The faults that the checks are proved on, each in several sizes.</summary>
public static class Faults
{
    private static bool Any(TakeEntry take) => true;

    private static bool Open(TakeEntry take) => take.Condition == TrialDocument.OpenEar;

    private static bool Covered(TakeEntry take) => !Open(take);

    private static bool Active(TakeEntry take) => take.Condition.EndsWith("-active", StringComparison.Ordinal);

    private static bool Birch(TakeEntry take) => take.Condition == "birch-active";

    /// <summary>All of them.</summary>
    public static IReadOnlyList<Fault> All { get; } =
    [
        .. new[] { 1e-5, 1e-4, 2e-3 }.Select(share => new Fault("clipping at full scale", Invariant($"{100 * share:0.###} % of samples"), ["TAK-010"], Open, t =>
            Height(t.Clean[0], share) is var height ? t.Ear(Each(t.Clean[0], (s, _) => Math.Clamp(s / height, -1, 1))) : t.Clean) { Small = share < 1e-4 }),
        .. new[] { 1e-4, 2e-3 }.Select(share => new Fault("clipping before the recorder", Invariant($"{100 * share:0.###} % of samples"), ["TAK-010"], Open, t =>
            Height(t.Clean[0], share) is var height ? t.Ear(Each(t.Clean[0], (s, _) => Math.Clamp(s, -height, height))) : t.Clean)),
        .. new[] { 1.0, 3 }.Select(ms => new Fault("lost samples (zeros)", Invariant($"{ms} ms"), ["TAK-011"], Any, t => t.Ear(Hold(t.Clean[0], ms, t.Draws, _ => 0))) { Small = ms < 2 }),
        .. new[] { 1.0, 3 }.Select(ms => new Fault("stuck samples", Invariant($"{ms} ms"), ["TAK-016"], Any, t => t.Ear(Hold(t.Clean[0], ms, t.Draws, s => s == 0 ? 1e-4f : s))) { Small = ms < 2 }),
        .. new[] { 30.0 }.Select(ms => new Fault("open contact (level hole)", Invariant($"{ms} ms, −50 dB"), ["TAK-011"], Any, t =>
            2 + (8 * t.Draws.Uniform()) is var at ? t.Ear(Each(t.Clean[0], (s, sec) => sec >= at && sec < at + (ms / 1000) ? s / 316 : s)) : t.Clean)),
        .. new[] { 2.0, 6, 9 }.Select(dB => new Fault("level ramp", Invariant($"{dB} dB over the take"), ["TAK-012"], Any, t =>
            t.Ear(Each(t.Clean[0], (s, sec) => s * Math.Pow(10, dB * ((sec / 12) - 0.5) / 20)))) { Small = dB < 5 }),
        .. new[] { (0.25, 1.0), (0.25, 3) }.Select(b => new Fault("beats", Invariant($"{b.Item1} Hz, ±{b.Item2} dB"), ["TAK-017"], Any, t =>
            6.28 * t.Draws.Uniform() is var phase ? t.Ear(Each(t.Clean[0], (s, sec) => s * Math.Pow(10, b.Item2 * Math.Sin((2 * Math.PI * b.Item1 * sec) + phase) / 20))) : t.Clean) { Small = b.Item2 < 1.5 }),
        .. new[] { 6.0, 12, 18 }.Select(dB => new Fault("one knock", Invariant($"peak {dB} dB above the take's"), ["TAK-018"], Any, t => t.Ear(Knocks(t.Clean[0], 1, dB, t.Draws))) { Small = dB < 12 }),
        .. new[] { 12.0 }.Select(dB => new Fault("cable rub", Invariant($"8 knocks, {dB} dB above"), ["TAK-018"], Any, t => t.Ear(Knocks(t.Clean[0], 8, dB, t.Draws)))),
        .. new[] { -20.0, -10 }.Select(dB => new Fault("phone buzz", Invariant($"{dB:0;−0} dB re the take"), ["TAK-021"], Any, t => t.Ear(Buzz(t.Clean[0], Rms(t.Clean[0]) * Math.Pow(10, dB / 20)))) { Small = dB < -10 }),
        .. new[] { -20.0, -10 }.SelectMany(dB => new[] { 50.0, 60 }.Select(f => new Fault(Invariant($"mains hum, {f} Hz"), Invariant($"{dB:0;−0} dB re the take"), ["TAK-022"], Any,
            t => t.Ear(Hum(t.Clean[0], Rms(t.Clean[0]) * Math.Pow(10, dB / 20), f))) { Small = dB < -10 })),
        .. new[] { 12.0, 8 }.Select(dB => new Fault("limiter", Invariant($"height {dB} dB above the mean"), ["TAK-037"], Any, t => t.Ear(Limiter(t.Clean[0], dB))) { Small = dB > 11 }),
        .. new[] { (0.1, 5.0), (0.1, 10), (0.3, 10), (0.5, 10) }.Select(s => new Fault("speech", Invariant($"{100 * s.Item1} % of the time, +{s.Item2} dB"), ["TAK-019"], Any,
            t => t.Ear(Speech(t.Clean[0], s.Item1, t.RmsA * Math.Pow(10, s.Item2 / 20), t.Draws))) { Small = s.Item2 < 8 }),
        .. new[] { 6.0, 12, 18 }.Select(dB => new Fault("active system overloaded", Invariant($"3 bursts, +{dB} dB below 50 Hz"), ["TAK-030"], Active, t => t.Ear(Overload(t.Clean[0], 3, dB, t.Draws))) { Small = dB <= 12 }),
        new("battery dies inside the take", "at 3 to 9 s", ["TAK-029"], Birch, t => 3 + (6 * t.Draws.Uniform()) is var at && t.Trial.RenderEar(t.Index, "birch-passive") is var off
            ? t.Ear([.. t.Clean[0].Select((s, i) => i < at * CheckedTrial.Rate ? s : off[i])]) : t.Clean),
        new("active system off, passive takes of the donning", "whole take", ["TAK-028"], Birch, t => t.Ear(t.Trial.RenderEar(t.Index, "birch-passive"))),
        new("active system off, no passive takes", "whole take, 10 dB less", ["TAK-028"], t => t.Condition == "cedar-active", t => t.Ear(t.Trial.RenderEar(t.Index, less: f => 10 / (1 + Math.Pow(f / 600, 4))))),
        .. new[] { -6.0, 3, 9 }.Select(dB => new Fault("wind, one channel", Invariant($"{dB:+0;−0} dB re the take at 25 to 50 Hz"), ["TAK-024"], Covered, t => t.Ear(Wind(t.Clean[0], t.LowLevel + dB, t.Draws))) { Small = dB < 5 }),
        .. new[] { -6.0, 3, 9 }.Select(dB => new Fault("wind, two channels", Invariant($"{dB:+0;−0} dB re the take at 25 to 50 Hz"), ["TAK-024"], Covered, t => t.Ear(Wind(t.Clean[0], t.LowLevel + dB, t.Draws))) { Small = dB < 0, Outside = true }),
        .. new[] { 1.0, 2.5, -4 }.Select(p => new Fault("power change (tones move)", Invariant($"{p:+0.0;−0.0} %"), ["TAK-025"], Any, t => t.Ear(t.Trial.RenderEar(t.Index, speed: 1 + (p / 100)))) { Small = Math.Abs(p) < 2 }),
        .. new[] { 2.3, 6, 12 }.Select(dB => new Fault("cabin change, two channels", Invariant($"{dB} dB"), dB > 10 ? ["TAK-039"] : ["TAK-026"], Any,
            t => [.. t.Clean.Select(c => Each(c, (s, _) => s * Math.Pow(10, dB / 20)))]) { Outside = true }),
        .. new[] { 3.0, 5, 8 }.Select(dB => new Fault("cabin change, one channel", Invariant($"+{dB} dB from the middle of the run on"), ["TAK-026"], Any,
            t => t.Index < t.Trial.Takes.Count / 2 ? t.Clean : t.Ear(Each(t.Clean[0], (s, _) => s * Math.Pow(10, dB / 20)))) { WholeRun = true, Small = dB < 4 }),
        new("wrong name, unlike spectra", "open as device, passive as active", ["TAK-027"], t => t.Condition is TrialDocument.OpenEar or "birch-passive" or "birch-active", t => t.Clean)
        {
            Write = t => t with { Condition = t.Condition == "birch-active" ? "birch-passive" : t.Condition == "birch-passive" ? "birch-active" : "alder", Fit = t.Fit ?? "alder-9" },
        },
        new("wrong name, like spectra", "Alder as Birch passive", ["TAK-027"], t => t.Condition == "alder", t => t.Clean) { Write = t => t with { Condition = "birch-passive", Fit = "birch-9" }, Small = true },
        .. new[] { 4.0, 8, 12 }.Select(dB => new Fault("cushion leak", Invariant($"{dB} dB below 250 Hz"), ["TAK-031"], Covered, t => t.Ear(t.Trial.RenderEar(t.Index, less: f => dB / (1 + Math.Pow(f / 500, 2)))))
            { WholeDonning = true, Small = dB < 8 }),
        new("ear and outside exchanged", "one take", ["TAK-032"], t => t.Condition is "alder" or "birch-passive" or "cedar-active", t => [t.Clean[1], t.Clean[0]]) { Outside = true },
        new("ear and outside exchanged", "one donning", ["TAK-032"], t => t.Condition is "alder" or "birch-passive" or "cedar-active", t => [t.Clean[1], t.Clean[0]]) { Outside = true, WholeDonning = true },
        new("ear and outside exchanged", "the open-ear takes too", ["TAK-032"], Any, t => [t.Clean[1], t.Clean[0]]) { Outside = true, WholeRun = true },
        .. new[] { 1.0, 2, 3, 4, 6 }.Select(dB => new Fault("left and right ear exchanged", Invariant($"one recording of three, ears {dB} dB apart"), ["TAK-038"], Open, t => t.Clean) { BetweenEars = dB, Small = dB <= 2 }),
        .. new[] { 3.0, 6, -6 }.Select(dB => new Fault("gain changed", Invariant($"{dB:+0;−0} dB"), ["TAK-035"], Any, t => t.Ear(Each(t.Clean[0], (s, _) => s * Math.Pow(10, dB / 20)))) { Small = Math.Abs(dB) < 5 }),
        .. new[] { 1.5, 2.0 }.Select(ratio => new Fault("automatic gain, one channel", Invariant($"ratio {ratio}"), ["TAK-036"], Any, t => t.Ear(AutomaticGain(t.Clean[0], ratio))) { Sound = Invariant($"automatic gain {ratio}"), WholeRun = true }),
        .. new[] { 1.5, 2.0 }.Select(ratio => new Fault("automatic gain, two channels", Invariant($"ratio {ratio}"), ["TAK-036"], Any, t => t.Ear(AutomaticGain(t.Clean[0], ratio))) { Sound = Invariant($"automatic gain {ratio}"), WholeRun = true, Outside = true }),
        .. new[] { 30.0, 80 }.Select(f => new Fault("low-cut filter, one channel", Invariant($"{f} Hz, second order"), ["TAK-023"], Any, t => t.Ear(LowCut(t.Clean[0], f))) { Sound = Invariant($"low cut {f}"), WholeRun = true, Small = f < 50 }),
        .. new[] { 30.0, 80 }.Select(f => new Fault("low-cut filter, two channels", Invariant($"{f} Hz, second order"), ["TAK-023"], Any, t => t.Ear(LowCut(t.Clean[0], f))) { Sound = Invariant($"low cut {f}"), WholeRun = true, Outside = true, Small = f < 50 }),
        .. new[] { -15.0, -8, -4 }.Select(dB => new Fault("microphone's own noise", Invariant($"{dB:−0;−0} dB re the take, A-weighted"), ["TAK-014"], Covered, t => t.Clean) { OwnNoise = dB, Small = dB < -10 }),
        new("blocked microphone", "20 dB too quiet", ["TAK-034"], t => t.Condition is "alder" or "birch-passive", t => t.Ear(t.Trial.RenderEar(t.Index, less: _ => -20))) { WholeDonning = true },
    ];
}
