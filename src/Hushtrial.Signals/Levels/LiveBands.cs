using System.Runtime.CompilerServices;
using Hushtrial.Signals.Filters;

namespace Hushtrial.Signals.Levels;

/// <summary>Band filters for samples that arrive one after the other: a lane is a band.</summary>
internal abstract class LiveBands
{
    /// <summary>Most frames in one call.</summary>
    internal const int MostFrames = 256;

    /// <summary>Energies of the frames of the last call, in the order of the filters, without their gains.</summary>
    internal abstract ReadOnlySpan<double> Energies { get; }

    /// <summary>The filters of a set, as wide as the processor likes it.</summary>
    internal static LiveBands Of(IReadOnlyList<BandFilter> filters) => VectorWidth.Lanes switch
    {
        8 => new LiveBands<EightLanes, System.Runtime.Intrinsics.Vector512<double>>(filters),
        4 => new LiveBands<FourLanes, System.Runtime.Intrinsics.Vector256<double>>(filters),
        _ => new LiveBands<TwoLanes, System.Runtime.Intrinsics.Vector128<double>>(filters),
    };

    /// <summary>Filters frames that follow those of the last call.</summary>
    /// <param name="x">At most <see cref="MostFrames"/>.</param>
    internal abstract void Run(ReadOnlySpan<double> x);
}

/// <summary>The same with a vector width.</summary>
internal sealed unsafe class LiveBands<TOps, TVector> : LiveBands
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    private const int LookBack = 6;

    // Room for the frames looked back to; a whole line, so that what follows begins on one.
    private const int Before = 8;
    private const int Coefficients = 8;
    private const int States = 6;

    private readonly int _count;
    private readonly int _commonGroups;
    private readonly int _groups;
    private readonly int[] _places;
    private readonly double[] _energies;
    private readonly PinnedVectors<TVector> _memory;
    private readonly TVector* _coefficients;
    private readonly TVector* _states;
    private readonly TVector* _sums;
    private readonly double* _input;
    private readonly double* _difference;
    private readonly double* _plainDifference;

    internal LiveBands(IReadOnlyList<BandFilter> filters)
    {
        _count = filters.Count;
        _energies = new double[_count];
        _places = new int[_count];
        var common = filters.Count(f => f.Numerator is null);
        _commonGroups = (common + TOps.Count - 1) / TOps.Count;
        _groups = _commonGroups + ((_count - common + TOps.Count - 1) / TOps.Count);
        _memory = new(_groups * (Coefficients + States + 1), Before + (3 * MostFrames));
        _coefficients = _memory.Take(_groups * Coefficients);
        _states = _memory.Take(_groups * States);
        _sums = _memory.Take(_groups);
        _input = _memory.TakeNumbers(Before + MostFrames) + Before;
        _difference = _memory.TakeNumbers(MostFrames);
        _plainDifference = _memory.TakeNumbers(MostFrames);
        var (next, nextFitted) = (0, _commonGroups * TOps.Count);
        for (var i = 0; i < _count; i++)
        {
            var filter = filters[i];
            _places[i] = filter.Numerator is null ? next++ : nextFitted++;
            var (group, lane) = (_places[i] / TOps.Count, _places[i] % TOps.Count);
            double[] values = [.. filter.Feedback1, .. filter.Feedback2, filter.Numerator?[1] ?? 0, filter.Numerator?[2] ?? 0];
            for (var c = 0; c < Coefficients; c++) ((double*)_coefficients)[(((group * Coefficients) + c) * TOps.Count) + lane] = values[c];
        }
    }

    internal override ReadOnlySpan<double> Energies => _energies;

    internal override void Run(ReadOnlySpan<double> x)
    {
        x.CopyTo(new(_input, MostFrames));
        for (var n = 0; n < x.Length; n++)
        {
            var v = _input + n;
            _difference[n] = v[0] - v[-6] - (3 * (v[-2] - v[-4]));
            _plainDifference[n] = v[0] - v[-3] - (3 * (v[-1] - v[-2]));
        }
        for (var group = 0; group < _groups; group++)
            _sums[group] = Three(_coefficients + (group * Coefficients), _states + (group * States), group < _commonGroups ? _difference : _plainDifference, x.Length);
        for (var i = -LookBack; i < 0; i++) _input[i] = _input[x.Length + i];
        var bound = TOps.Spread(Stillness.Below);
        for (var i = 0; i < _groups * States; i++) _states[i] = TOps.ZeroBelow(_states[i], bound);
        for (var i = 0; i < _count; i++) _energies[i] = ((double*)_sums)[_places[i]];
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static TVector Three(TVector* p, TVector* s, double* d, int frames)
    {
        TVector p11 = p[0], p21 = p[1], p31 = p[2], p12 = p[3], p22 = p[4], p32 = p[5], b1 = p[6], b2 = p[7];
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], sum = default;
        for (var n = 0; n < frames; n++)
        {
            var w = TOps.MultiplyAdd(p11, u11, TOps.MultiplyAdd(p12, u12, TOps.Spread(d[n])));
            (u12, u11) = (u11, w);
            w = TOps.MultiplyAdd(p21, u21, TOps.MultiplyAdd(p22, u22, w));
            (u22, u21) = (u21, w);
            w = TOps.MultiplyAdd(p31, u31, TOps.MultiplyAdd(p32, u32, w));
            var y = TOps.MultiplyAdd(b1, u31, TOps.MultiplyAdd(b2, u32, w));
            (u32, u31) = (u31, w);
            sum = TOps.MultiplyAdd(y, y, sum);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5]) = (u11, u12, u21, u22, u31, u32);
        return sum;
    }
}
