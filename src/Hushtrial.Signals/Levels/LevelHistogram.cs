using System.Numerics;
using System.Runtime.InteropServices;

namespace Hushtrial.Signals.Levels;

/// <summary>How long each level lasted, in classes of 0.05 dB: percentile levels of a recording of any length in 40 kB.</summary>
internal sealed class LevelHistogram
{
    /// <summary>Width of a class, dB.</summary>
    internal const double ClassWidth = 0.05;

    // Below −200 dB re full scale² lies nothing that was recorded: such times count as silence. Above +50 dB no float file goes sensibly.
    private const double Floor = -200;
    private const int Classes = 5000;
    private const double DecibelsPerOctave = 3.0102999566398119521;

    private readonly double[] _weights = new double[Classes];
    private double _silence;
    private double _total;

    /// <summary>Counts mean squares, each for the time since the one before.</summary>
    /// <param name="meanSquares">0 or more; overwritten.</param>
    /// <param name="endsAt">When each ends, in any unit, from 0.</param>
    internal void Add(Span<double> meanSquares, ReadOnlySpan<int> endsAt)
    {
        // Logarithms of several at once: they were a tenth of the whole analysis one by one.
        var whole = MemoryMarshal.Cast<double, Vector<double>>(meanSquares);
        for (var i = 0; i < whole.Length; i++) whole[i] = Vector.Log2(whole[i]);
        for (var i = whole.Length * Vector<double>.Count; i < meanSquares.Length; i++) meanSquares[i] = Math.Log2(meanSquares[i]);
        var last = 0;
        for (var i = 0; i < meanSquares.Length; i++)
        {
            var duration = endsAt[i] - last;
            last = endsAt[i];
            _total += duration;
            var index = ((DecibelsPerOctave * meanSquares[i]) - Floor) / ClassWidth;
            if (index >= 0) _weights[Math.Min((int)index, Classes - 1)] += duration;
            else _silence += duration;
        }
    }

    /// <summary>The mean square exceeded for a share of the time, 0…1; linear inside a class; 0 when that is silence.</summary>
    internal double Exceeded(double share)
    {
        var wanted = share * _total;
        var above = 0.0;
        for (var i = Classes - 1; i >= 0; i--)
        {
            if (_weights[i] <= 0) continue;
            if (above + _weights[i] >= wanted)
                return Math.Pow(10, (Floor + (ClassWidth * (i + 1 - ((wanted - above) / _weights[i])))) / 10);
            above += _weights[i];
        }
        return 0;
    }
}
