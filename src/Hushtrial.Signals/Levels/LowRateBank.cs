using System.Runtime.CompilerServices;
using Hushtrial.Signals.Filters;

namespace Hushtrial.Signals.Levels;

/// <summary>The bands that run at a reduced rate, and the halvings that feed them; a lane is a chunk, as in <see cref="LaneBank{TOps, TVector}"/>.</summary>
/// <remarks>It takes blocks of frames and hands out each band's energy per step some hundred frames later.</remarks>
internal sealed unsafe class LowRateBank<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    /// <summary>Frames in a block.</summary>
    internal const int Block = 1024;

    /// <summary>Frames before a block that the first halving looks back to.</summary>
    internal const int History = 48;

    // Squares kept from the block before: an edge's shares reach back to at most five.
    private const int Kept = 8;
    private const int StatesOfBand = 7;
    private const int CoefficientsInMemory = 4;

    private readonly ChunkPlan _plan;
    private readonly int _firstColumn;
    private readonly Halving[] _halvings;
    private readonly Group[] _groups;
    private readonly PinnedVectors<TVector> _memory;
    private readonly TVector* _difference;
    private readonly TVector* _taps;
    private readonly TVector* _coefficients;
    private long _next;

    /// <param name="plan">Where the steps lie.</param>
    /// <param name="set">The filters.</param>
    internal LowRateBank(ChunkPlan plan, FilterSet set)
    {
        _plan = plan;
        _firstColumn = Row.Bands + set.FullRate;
        var bands = set.Reduced;
        // The bands come in the order of their factors.
        var factors = new List<int>();
        foreach (var band in bands)
            if (factors.Count == 0 || factors[^1] != band.Factor) factors.Add(band.Factor);
        _halvings = new Halving[factors.Count == 0 ? 0 : (int)Math.Log2(factors[^1])];
        _groups = new Group[factors.Count];
        var vectors = Block + HalfBand.Pairs + CoefficientsInMemory + 1;
        for (var i = 0; i < _halvings.Length; i++) vectors += History + (Block >> (i + 1));
        foreach (var band in bands) vectors += StatesOfBand + 1 + Kept + (Block / band.Factor);
        _memory = new(vectors);
        _difference = _memory.Take(Block);
        _taps = _memory.Take(HalfBand.Pairs);
        _coefficients = _memory.Take(CoefficientsInMemory);
        for (var i = 0; i < _halvings.Length; i++) _halvings[i] = new() { Output = _memory.Take(History + (Block >> (i + 1))) + History };
        for (var i = 0; i < _groups.Length; i++)
        {
            var first = 0;
            while (bands[first].Factor != factors[i]) first++;
            var end = first;
            while (end < bands.Count && bands[end].Factor == factors[i]) end++;
            var members = new LowRateFilter[end - first];
            for (var band = first; band < end; band++) members[band - first] = bands[band];
            _groups[i] = new(factors[i], members, first, new(factors[i]))
            {
                States = _memory.Take(StatesOfBand * members.Length),
                Sums = _memory.Take(members.Length),
                Squares = _memory.Take(members.Length * (Kept + (Block / factors[i]))),
            };
        }
        // The lowest band has forgotten its beginning by 200 dB; the chain runs in a little before.
        var settling = 0;
        foreach (var band in bands) settling = Math.Max(settling, band.Full.SettlingFrames + (4 * History << _halvings.Length));
        Begins = -((settling + Block - 1) / Block * Block);
    }

    /// <summary>The first frame of the warm-up that is heard, from the start of the chunk: a multiple of <see cref="Block"/>.</summary>
    internal long Begins { get; }

    /// <summary>Everything at rest.</summary>
    internal void Reset()
    {
        _memory.Clear();
        for (var i = 0; i < HalfBand.Pairs; i++) _taps[i] = TOps.Spread(HalfBand.Taps[i]);
        _next = Begins;
        foreach (var group in _groups) group.Begin();
        var from = Begins;
        foreach (var halving in _halvings)
        {
            // The middle of every output is an even frame: one in a block whose start is odd looks back one further.
            halving.Lag = HalfBand.Reach + 1 + (int)(from & 1);
            halving.From = from = (from - halving.Lag) / 2;
        }
    }

    /// <summary>Takes a block of frames that follows the one before.</summary>
    /// <param name="frames">The block, with <see cref="History"/> frames before it.</param>
    /// <param name="position">Its first frame, from the start of the chunk.</param>
    /// <param name="chunks">Receive the energies, at the columns behind those of the full-rate bands.</param>
    /// <param name="lengths">Frames in each chunk, 0 in one that does not exist.</param>
    internal void Add(TVector* frames, long position, ChunkRows[] chunks, ReadOnlySpan<long> lengths)
    {
        if (position != _next) return;
        _next += Block;
        var input = frames;
        var (count, factor) = (Block, 1);
        var group = 0;
        foreach (var halving in _halvings)
        {
            (count, factor) = (count / 2, factor * 2);
            // What the next halving and the differences look back to.
            Buffer.MemoryCopy(halving.Output + count - History, halving.Output - History, History * sizeof(TVector), History * sizeof(TVector));
            Halve(input - halving.Lag, halving.Output, count, _taps);
            input = halving.Output;
            if (group < _groups.Length && _groups[group].Factor == factor) Run(_groups[group++], input, count, halving.From, chunks, lengths);
            halving.From += count;
        }
    }

    /// <summary>Whether every step of every chunk has been handed out.</summary>
    internal bool Done(ReadOnlySpan<long> lengths)
    {
        foreach (var group in _groups)
            for (var lane = 0; lane < TOps.Count; lane++)
                if (!group.LaneDone[lane] && group.Step * _plan.StepMilliframes < lengths[lane] * 1000) return false;
        return true;
    }

    /// <summary>Every second value of the low-pass, two outputs at a time: neighbours look at the same frames but two, so that each frame is loaded
    /// once for both. One output at a time waits for loads.</summary>
    /// <param name="x">The frame in the middle of the first output.</param>
    /// <param name="to">Receives the outputs.</param>
    /// <param name="count">How many: an even number.</param>
    /// <param name="taps">Those of <see cref="HalfBand"/>.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Halve(TVector* x, TVector* to, int count, TVector* taps)
    {
        var half = TOps.Spread(0.5);
        TVector t0 = taps[0], t1 = taps[1], t2 = taps[2], t3 = taps[3], t4 = taps[4];
        TVector t5 = taps[5], t6 = taps[6], t7 = taps[7], t8 = taps[8], t9 = taps[9];
        for (var n = 0; n < count; n += 2, x += 4)
        {
            // The first looks from x[0], the second from x[2]; what the first adds on the right is the second's left one tap further out.
            TVector left = x[-1], between = x[1], right = x[3];
            var first = TOps.MultiplyAdd(t0, TOps.Add(left, between), TOps.Multiply(half, x[0]));
            var second = TOps.MultiplyAdd(t0, TOps.Add(between, right), TOps.Multiply(half, x[2]));
            TVector l = x[-3], r = x[5];
            var firstFar = TOps.Multiply(t1, TOps.Add(l, right));
            var secondFar = TOps.Multiply(t1, TOps.Add(left, r));
            (left, right) = (x[-5], x[7]);
            first = TOps.MultiplyAdd(t2, TOps.Add(left, r), first);
            second = TOps.MultiplyAdd(t2, TOps.Add(l, right), second);
            (l, r) = (x[-7], x[9]);
            firstFar = TOps.MultiplyAdd(t3, TOps.Add(l, right), firstFar);
            secondFar = TOps.MultiplyAdd(t3, TOps.Add(left, r), secondFar);
            (left, right) = (x[-9], x[11]);
            first = TOps.MultiplyAdd(t4, TOps.Add(left, r), first);
            second = TOps.MultiplyAdd(t4, TOps.Add(l, right), second);
            (l, r) = (x[-11], x[13]);
            firstFar = TOps.MultiplyAdd(t5, TOps.Add(l, right), firstFar);
            secondFar = TOps.MultiplyAdd(t5, TOps.Add(left, r), secondFar);
            (left, right) = (x[-13], x[15]);
            first = TOps.MultiplyAdd(t6, TOps.Add(left, r), first);
            second = TOps.MultiplyAdd(t6, TOps.Add(l, right), second);
            (l, r) = (x[-15], x[17]);
            firstFar = TOps.MultiplyAdd(t7, TOps.Add(l, right), firstFar);
            secondFar = TOps.MultiplyAdd(t7, TOps.Add(left, r), secondFar);
            (left, right) = (x[-17], x[19]);
            first = TOps.MultiplyAdd(t8, TOps.Add(left, r), first);
            second = TOps.MultiplyAdd(t8, TOps.Add(l, right), second);
            (l, r) = (x[-19], x[21]);
            firstFar = TOps.MultiplyAdd(t9, TOps.Add(l, right), firstFar);
            secondFar = TOps.MultiplyAdd(t9, TOps.Add(left, r), secondFar);
            to[n] = TOps.Add(first, firstFar);
            to[n + 1] = TOps.Add(second, secondFar);
        }
    }

    private void Run(Group group, TVector* x, int count, long from, ChunkRows[] chunks, ReadOnlySpan<long> lengths)
    {
        Difference(x, _difference, count);
        var room = Kept + (Block / group.Factor);
        // Between two edges a block's sum is all that is wanted of it.
        var plain = !EdgeBefore(group, from, from + count, lengths);
        var quiet = plain ? Math.Max(0, count - Kept) : 0;
        for (var band = 0; band < group.Members.Length; band++)
        {
            var squares = group.Squares + (band * room);
            Buffer.MemoryCopy(squares + count, squares, Kept * sizeof(TVector), Kept * sizeof(TVector));
            var sum = Three(group.Members[band], _difference, squares + Kept, group.States + (StatesOfBand * band), _coefficients, count, quiet);
            if (plain && group.Step >= 0) group.Sums[band] = TOps.Add(group.Sums[band], sum);
        }
        if (plain) group.Next = from + count;
        var bound = TOps.Spread(Stillness.Below);
        for (var i = 0; i < StatesOfBand * group.Members.Length; i++) group.States[i] = TOps.ZeroBelow(group.States[i], bound);
        if (!plain) HandOut(group, room, from, from + count, chunks, lengths);
    }

    /// <summary>Whether the next edge shares out values before a place, or values before the block are still to be added.</summary>
    private bool EdgeBefore(Group group, long from, long to, ReadOnlySpan<long> lengths)
    {
        if (group.Step == _plan.StepsPerChunk) return false;
        var (stepBegins, stepEnds) = (group.Step * _plan.StepMilliframes, (group.Step + 1) * _plan.StepMilliframes);
        if (group.Step >= 0 && group.Next != from) return true;
        foreach (var length in lengths)
            if (length * 1000 > stepBegins && length * 1000 < stepEnds && group.Edges.At(length * 1000).First < to) return true;
        return group.Edges.At(stepEnds).First < to;
    }

    /// <summary>(1 − z⁻¹)³.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Difference(TVector* x, TVector* to, int count)
    {
        var minusThree = TOps.Spread(-3);
        TVector x1 = x[-1], x2 = x[-2], x3 = x[-3];
        for (var n = 0; n < count; n++)
        {
            var now = x[n];
            to[n] = TOps.MultiplyAdd(minusThree, TOps.Subtract(x1, x2), TOps.Subtract(now, x3));
            (x3, x2, x1) = (x2, x1, now);
        }
    }

    /// <summary>Filters one band; returns the sum of its squares.</summary>
    /// <param name="p">The filter.</param>
    /// <param name="d">The differences.</param>
    /// <param name="squares">Receives the squares from <paramref name="quiet"/> on: only those near an edge are looked at.</param>
    /// <param name="s">The states.</param>
    /// <param name="m">Room for six coefficients: where there are 16 registers they stay in memory, rather than states of which each value waits for the one before.</param>
    /// <param name="count">Values, an even number.</param>
    /// <param name="quiet">Values of which only the sum is wanted, an even number.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static TVector Three(LowRateFilter p, TVector* d, TVector* squares, TVector* s, TVector* m, int count, int quiet)
    {
        for (var i = 0; i < 3; i++) m[i] = TOps.Spread(p.Feedback2[i]);
        TVector p11 = TOps.Spread(p.Feedback1[0]), p21 = TOps.Spread(p.Feedback1[1]), p31 = TOps.Spread(p.Feedback1[2]);
        TVector b1 = TOps.Spread(p.Numerator[1]), b2 = TOps.Spread(p.Numerator[2]), b3 = TOps.Spread(p.Numerator[3]);
        TVector u11 = s[0], u12 = s[1], u21 = s[2], u22 = s[3], u31 = s[4], u32 = s[5], u33 = s[6], sum = default;
        for (var n = 0; n < quiet; n += 2)
        {
            var y = Value(ref u12, u11, ref u22, u21, ref u32, u31, ref u33, p11, p21, p31, b1, b2, b3, m, d[n]);
            sum = TOps.MultiplyAdd(y, y, sum);
            m[3] = y;
            y = Value(ref u11, u12, ref u21, u22, ref u31, u32, ref u33, p11, p21, p31, b1, b2, b3, m, d[n + 1]);
            sum = TOps.MultiplyAdd(y, y, sum);
            m[3] = y;
        }
        for (var n = quiet; n < count; n += 2)
        {
            var y = Value(ref u12, u11, ref u22, u21, ref u32, u31, ref u33, p11, p21, p31, b1, b2, b3, m, d[n]);
            squares[n] = y = TOps.Multiply(y, y);
            sum = TOps.Add(sum, y);
            y = Value(ref u11, u12, ref u21, u22, ref u31, u32, ref u33, p11, p21, p31, b1, b2, b3, m, d[n + 1]);
            squares[n + 1] = y = TOps.Multiply(y, y);
            sum = TOps.Add(sum, y);
        }
        (s[0], s[1], s[2], s[3], s[4], s[5], s[6]) = (u11, u12, u21, u22, u31, u32, u33);
        return sum;
    }

    /// <summary>One value: three sections, then the numerator on the states of the last.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector Value(ref TVector u12, TVector u11, ref TVector u22, TVector u21, ref TVector u32, TVector u31, ref TVector u33,
        TVector p11, TVector p21, TVector p31, TVector b1, TVector b2, TVector b3, TVector* m, TVector x)
    {
        u12 = TOps.MultiplyAdd(u12, m[0], x);
        var y = TOps.Multiply(u33, b3);
        u12 = TOps.MultiplyAdd(u11, p11, u12);
        u33 = u32;
        u22 = TOps.MultiplyAdd(u22, m[1], u12);
        y = TOps.MultiplyAdd(u32, b2, y);
        u22 = TOps.MultiplyAdd(u21, p21, u22);
        u32 = TOps.MultiplyAdd(u32, m[2], u22);
        y = TOps.MultiplyAdd(u31, b1, y);
        u32 = TOps.MultiplyAdd(u31, p31, u32);
        return TOps.Add(y, u32);
    }

    /// <summary>Adds the new squares to the step they belong to, and ends steps and chunks whose edges they reach.</summary>
    /// <param name="group">The bands of one rate.</param>
    /// <param name="room">Squares of one band.</param>
    /// <param name="from">Index of the first new value.</param>
    /// <param name="to">Index behind the last.</param>
    /// <param name="chunks">Receive the energies.</param>
    /// <param name="lengths">Frames in each chunk.</param>
    private void HandOut(Group group, int room, long from, long to, ChunkRows[] chunks, ReadOnlySpan<long> lengths)
    {
        while (group.Step < _plan.StepsPerChunk)
        {
            var stepEnds = (group.Step + 1) * _plan.StepMilliframes;
            // A chunk that ends inside the step ends with its last frame.
            for (var lane = 0; lane < TOps.Count && group.Step >= 0; lane++)
            {
                var ends = lengths[lane] * 1000;
                if (ends <= group.Step * _plan.StepMilliframes || ends >= stepEnds) continue;
                var (start, part) = group.Edges.At(ends);
                if (start + EdgeShares.Count > to) continue;
                if (group.LaneDone[lane]) continue;
                group.LaneDone[lane] = true;
                for (var band = 0; band < group.Members.Length; band++)
                {
                    var sum = group.Sums[band];
                    Gather(ref sum, group.Squares + (band * room) + Kept - from, group.Next, start, part);
                    Write(chunks[lane], group, band, group.Step, Lane(sum, lane));
                }
            }

            var (first, shares) = group.Edges.At(stepEnds);
            var reached = first + EdgeShares.Count <= to;
            for (var band = 0; band < group.Members.Length; band++)
            {
                var squares = group.Squares + (band * room) + Kept - from;
                ref var sum = ref group.Sums[band];
                if (!reached)
                {
                    // Before the first step nothing counts.
                    if (group.Step >= 0)
                        sum = TOps.Add(sum, Sum(squares, group.Next, Math.Min(to, first)));
                    continue;
                }
                if (group.Step >= 0)
                {
                    Gather(ref sum, squares, group.Next, first, shares);
                    for (var lane = 0; lane < TOps.Count; lane++)
                        if (lengths[lane] * 1000 >= stepEnds) Write(chunks[lane], group, band, group.Step, Lane(sum, lane));
                }
                sum = default;
                for (var j = 0; j < EdgeShares.Count; j++) sum = TOps.MultiplyAdd(TOps.Spread(1 - shares[j]), squares[first + j], sum);
            }
            if (!reached)
            {
                group.Next = Math.Max(group.Next, Math.Min(to, first));
                return;
            }
            group.Next = first + EdgeShares.Count;
            group.Step++;
        }
    }

    /// <summary>Completes a sum up to an edge: the values not added yet whole, those around the edge by their shares.</summary>
    private static void Gather(ref TVector sum, TVector* squares, long next, long first, double[] shares)
    {
        sum = TOps.Add(sum, Sum(squares, next, first));
        for (var j = 0; j < EdgeShares.Count; j++)
            sum = TOps.MultiplyAdd(TOps.Spread(shares[j] - (first + j < next ? 1 : 0)), squares[first + j], sum);
    }

    private static TVector Sum(TVector* squares, long from, long to)
    {
        TVector even = default, odd = default;
        for (; from + 1 < to; from += 2)
        {
            even = TOps.Add(even, squares[from]);
            odd = TOps.Add(odd, squares[from + 1]);
        }
        return from < to ? TOps.Add(TOps.Add(even, odd), squares[from]) : TOps.Add(even, odd);
    }

    private static double Lane(TVector vector, int lane) => Unsafe.Add(ref Unsafe.As<TVector, double>(ref vector), lane);

    private void Write(ChunkRows chunk, Group group, int band, int step, double sum) =>
        chunk.RowOf(step)[_firstColumn + group.FirstBand + band] = Math.Max(0, sum) * group.Factor;

    /// <summary>One halving: its output and what follows it.</summary>
    private sealed class Halving
    {
        internal TVector* Output { get; init; }

        internal int Lag { get; set; }

        /// <summary>Index of the next first output.</summary>
        internal long From { get; set; }
    }

    /// <summary>The bands of one reduced rate.</summary>
    private sealed class Group(int factor, LowRateFilter[] members, int firstBand, EdgeShares edges)
    {
        internal int Factor { get; } = factor;

        internal LowRateFilter[] Members { get; } = members;

        internal int FirstBand { get; } = firstBand;

        internal EdgeShares Edges { get; } = edges;

        internal TVector* States { get; init; }

        internal TVector* Sums { get; init; }

        internal TVector* Squares { get; init; }

        internal bool[] LaneDone { get; } = new bool[TOps.Count];

        /// <summary>The step that is being added up; −1 before the chunk.</summary>
        internal int Step { get; set; }

        /// <summary>The first value that is not in any sum yet.</summary>
        internal long Next { get; set; }

        internal void Begin()
        {
            (Step, Next) = (-1, long.MinValue);
            Array.Clear(LaneDone);
        }
    }
}
