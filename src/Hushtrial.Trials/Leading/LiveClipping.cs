using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials.Leading;

/// <summary>Counts samples at full scale of one channel while they arrive, so that a take that clips is told at once. Flat tops below full scale show in the whole take only.</summary>
/// <remarks>Not for several threads at once. A minute is remembered in steps of 125 ms.</remarks>
internal sealed class LiveClipping(int sampleRate)
{
    private const double Step = 0.125;
    private const int Remembered = 480;

    private readonly Queue<(long Step, int Count, int Longest)> _steps = new();
    private long _frames;
    private int _run;
    private (long Step, int Count, int Longest) _now;
    private long _first = long.MaxValue;
    private (long Count, int Longest, long? From) _take;

    /// <summary>Seconds into the take at which full scale was first reached, to a step; null while the take does not clip.</summary>
    public double? Since => _take.From is { } from && ClippingCheck.IsAtFullScale(_take.Count, _take.Longest, Math.Max(0, _frames - (_first * Step * sampleRate))) ? (from - _first) * Step : null;

    /// <summary>Takes samples in, full scale ±1.</summary>
    public void Add(ReadOnlySpan<double> samples)
    {
        foreach (var sample in samples)
        {
            var step = (long)(_frames++ / (Step * sampleRate));
            if (Math.Abs(sample) < ClippingCheck.FullScale)
            {
                _run = 0;
                continue;
            }
            _run++;
            if (step != _now.Step) Put(step);
            _now = (step, _now.Count + 1, Math.Max(_now.Longest, _run));
            if (step >= _first) _take = (_take.Count + 1, Math.Max(_take.Longest, _run), _take.From ?? step);
        }
    }

    /// <summary>A take begins; what is remembered of it already counts.</summary>
    /// <param name="step">Its first whole step; <see cref="long.MaxValue"/>: no take.</param>
    public void Begin(long step)
    {
        (_first, _take) = (step, (0, 0, null));
        foreach (var old in _steps.Append(_now).Where(s => s.Step >= step && s.Count > 0)) _take = (_take.Count + old.Count, Math.Max(_take.Longest, old.Longest), _take.From ?? old.Step);
    }

    // Steps without a sample at full scale are not kept.
    private void Put(long step)
    {
        if (_now.Count > 0) _steps.Enqueue(_now);
        while (_steps.TryPeek(out var oldest) && oldest.Step < step - Remembered) _steps.Dequeue();
        _now = (step, 0, 0);
    }
}
