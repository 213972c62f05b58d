namespace Hushtrial.Signals.Levels;

/// <summary>The places of the quantities in one row of numbers: what one step of one chunk has come to.</summary>
/// <remarks>Energies are sums of squares over the frames of the step. F and S sums u = Σ d^(n−i)·x² become mean squares by (1 − d).
/// All of A, C and Z are before their gains (<see cref="FilterSet.PowerGain"/>).</remarks>
internal static class Row
{
    /// <summary>Energies of A, C and Z.</summary>
    internal const int Energy = 0;

    /// <summary>Largest F and S sums, in the order AF, AS, CF, CS, ZF, ZS.</summary>
    internal const int Largest = 3;

    /// <summary>F and S sums after the last whole frame of the step, in the same order.</summary>
    internal const int Last = 9;

    /// <summary>Largest square of C.</summary>
    internal const int SquaredPeakC = 15;

    /// <summary>Energies of the bands.</summary>
    internal const int Bands = 16;

    /// <summary>Number of F and S sums.</summary>
    internal const int Sums = 6;
}
