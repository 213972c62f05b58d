using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Logs;

/// <summary>Turns the times of rows, as written, into one time that only grows: over midnight, summer time, 12-hour clocks and coarse stamps.</summary>
/// <remarks>All times in µs. What it does beyond reading is counted, so that nothing happens silently.</remarks>
internal sealed class RowClock(LogLayout layout, LogTally tally)
{
    private const long Hour = 3600 * StampReading.Second;

    private readonly long _step = layout.IntervalSeconds is { } s ? (long)Math.Round(s * StampReading.Second) : 0;
    private long _shift;
    private long? _previous;
    private long _lastRaw;
    private int _repeats;
    private bool _stuck;
    private bool _back;

    /// <summary>Whether the elapsed time began again: what follows has no known place.</summary>
    internal bool HasRestarted { get; private set; }

    /// <summary>Places a row.</summary>
    /// <param name="raw">Its time as written: since midnight, or since 1 January 0001 with a date, or elapsed.</param>
    /// <param name="kind">What that is.</param>
    /// <param name="hasHalf">Whether AM or PM was written.</param>
    /// <param name="line">Its line.</param>
    /// <param name="time">The time that only grows.</param>
    /// <returns>False for a row that has no place: a repeated one, or one that goes back in time.</returns>
    internal bool Place(long raw, TimeKind kind, bool hasHalf, int line, out long time)
    {
        if (_previous is null)
        {
            if (layout.HalfOfDay == HalfOfDay.Afternoon && !hasHalf && raw % StampReading.Day < 12 * Hour) _shift = 12 * Hour;
            return Accept(raw, out time);
        }
        if (HasRestarted) { time = 0; return false; }
        if (raw == _lastRaw && _step is > 0 and < StampReading.Second && raw % StampReading.Second == 0)
        {
            // Stamps in whole seconds, several rows a second.
            time = raw + _shift + (++_repeats * _step);
            if (_repeats * _step >= StampReading.Second) { tally.Duplicates.Add(line); return false; }
            _previous = time;
            return true;
        }
        var step = raw + _shift - _previous.Value;
        if (step == 0)
        {
            (_back ? tally.Backwards : tally.Duplicates).Add(line);
            time = 0;
            return false;
        }
        if (step < 0 && !Back(raw, step, kind, hasHalf, line)) { time = 0; return false; }
        if (step > 0) Forward(raw, step, kind, line);
        return Accept(raw, out time);
    }

    private bool Accept(long raw, out long time)
    {
        time = raw + _shift;
        if (_previous is { } before && _step > 0)
        {
            var steps = (double)(time - before) / _step;
            if (steps > 1.5) tally.MissingRows.Add(tally.LastRowLine, default, (long)Math.Round(steps) - 1);
            // A quarter of the interval, or the resolution of the stamps if that is coarser.
            if (Math.Abs(steps - Math.Max(1, Math.Round(steps))) > 0.25 && Math.Abs(time - before - _step) > 20_000) tally.Irregular.Add(tally.LastRowLine);
        }
        (_previous, _lastRaw, _repeats, _back) = (time, raw, 0, false);
        return true;
    }

    private void Forward(long raw, long step, TimeKind kind, int line)
    {
        if (_stuck && IsAbout(step, StampReading.Day + _step)) { _shift -= StampReading.Day; _stuck = false; return; }
        // Clocks go forward at night only; by day a missing hour is a missing hour.
        if (kind == TimeKind.Elapsed || _step == 0 || !IsAbout(step, Hour + _step) || raw % StampReading.Day is < Hour or > 4 * Hour) return;
        tally.HourForward.Add(line);
        if (layout.ClockChange == ClockChange.SummerTime) _shift -= Hour;
    }

    private bool Back(long raw, long step, TimeKind kind, bool hasHalf, int line)
    {
        if (kind == TimeKind.Elapsed)
        {
            tally.Restarts.Add(line);
            HasRestarted = true;
            return false;
        }
        if (kind == TimeKind.Clock && step < -20 * Hour)
        {
            _shift += StampReading.Day;
            tally.Midnights.Add(line);
            return true;
        }
        if (kind == TimeKind.Dated && step < -23 * Hour && step >= -StampReading.Day)
        {
            (_shift, _stuck) = (_shift + StampReading.Day, true);
            tally.StuckDates.Add(line);
            return true;
        }
        if (!hasHalf && step is < -11 * Hour and > -13 * Hour && Math.Max(raw, _lastRaw) % StampReading.Day < 13 * Hour)
        {
            _shift += 12 * Hour;
            tally.HalfDayWraps.Add(line);
            return true;
        }
        if (_step > 0 && IsAbout(step, _step - Hour) && layout.ClockChange != ClockChange.Gap)
        {
            _shift += Hour;
            tally.HourBack.Add(line);
            return true;
        }
        tally.Backwards.Add(line);
        _back = true;
        return false;
    }

    private bool IsAbout(long step, long expected) => Math.Abs(step - expected) <= (_step / 4) + 1000;
}

/// <summary>What the time of a row is.</summary>
internal enum TimeKind
{
    /// <summary>Date and time of day.</summary>
    Dated,

    /// <summary>Time of day alone.</summary>
    Clock,

    /// <summary>Since the log began.</summary>
    Elapsed,
}
