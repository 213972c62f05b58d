namespace Hushtrial.Trials.Synthesis;

/// <summary>How the cabin's level moves during a run: an offset, a trend, a slow and a fast wander, below and above 250 Hz partly together.</summary>
/// <remarks>Ornstein–Uhlenbeck processes; deviations and correlation times as in docs/guide/demo.md.</remarks>
public sealed class LevelWander
{
    private const double Together = 0.8;
    private readonly double[] _low;
    private readonly double[] _high;
    private readonly double _step;
    private readonly double _start;

    /// <summary>Draws the wander of one run.</summary>
    /// <param name="seconds">Length of the run, s.</param>
    /// <param name="step">Time between values, s.</param>
    /// <param name="normal">Standard normal draws.</param>
    /// <param name="slowDeviation">Standard deviation of the slow wander (correlation time 120 s), dB.</param>
    /// <param name="fastDeviation">Standard deviation of the fast wander (correlation time 2 s), dB.</param>
    public LevelWander(double seconds, double step, Func<double> normal, double slowDeviation, double fastDeviation)
    {
        _step = step;
        var n = (int)Math.Ceiling(seconds / step) + 2;
        var offset = 0.8 * normal();
        var trend = 0.8 * normal() / Math.Max(seconds, 60);
        var common = Wander(n);
        var low = Wander(n);
        var high = Wander(n);
        var own = Math.Sqrt(1 - (Together * Together));
        _low = new double[n];
        _high = new double[n];
        for (var i = 0; i < n; i++)
        {
            var drift = offset + (trend * ((i * step) - (seconds / 2)));
            _low[i] = drift + (Together * common[i]) + (own * low[i]);
            _high[i] = drift + (Together * common[i]) + (own * high[i]);
        }

        double[] Wander(int count)
        {
            var slow = Process(count, slowDeviation, 120);
            var fast = Process(count, fastDeviation, 2);
            for (var i = 0; i < count; i++) slow[i] += fast[i];
            return slow;
        }

        double[] Process(int count, double deviation, double correlationTime)
        {
            var keep = Math.Exp(-step / correlationTime);
            var fresh = deviation * Math.Sqrt(1 - (keep * keep));
            var x = new double[count];
            x[0] = deviation * normal();
            for (var i = 1; i < count; i++) x[i] = (keep * x[i - 1]) + (fresh * normal());
            return x;
        }
    }

    private LevelWander(LevelWander run, double start) => (_low, _high, _step, _start) = (run._low, run._high, run._step, run._start + start);

    /// <summary>The same wander with its clock set to 0 at a later time.</summary>
    /// <param name="seconds">The later time, s.</param>
    public LevelWander From(double seconds) => new(this, seconds);

    /// <summary>Level change below 250 Hz at a time, dB.</summary>
    public double Low(double seconds) => _low[Index(seconds)];

    /// <summary>Level change above 250 Hz at a time, dB.</summary>
    public double High(double seconds) => _high[Index(seconds)];

    private int Index(double seconds) => Math.Clamp((int)((seconds + _start) / _step), 0, _low.Length - 1);
}
