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
    internal const int History = 16;

    // Squares kept from the block before: an edge's shares reach back to at most seven.
    private const int Kept = 8;
    private static readonly int _first = HalvingFilter.First.Weights.Length;
    private static readonly int _later = HalvingFilter.Later.Weights.Length;
    private const int StatesOfBand = LowRateLoops<TOps, TVector>.States;

    private readonly ChunkPlan _plan;
    private readonly int _firstColumn;
    private readonly Halving[] _halvings;
    private readonly Group[] _groups;
    private readonly PinnedVectors<TVector> _memory;
    private readonly TVector* _firstTaps;
    private readonly TVector* _laterTaps;
    private readonly TVector* _carried;
    private readonly TVector* _unread;
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
        var vectors = _first + _later + LowRateLoops<TOps, TVector>.Carried + 1;
        for (var i = 0; i < _halvings.Length; i++) vectors += History + (Block >> (i + 1));
        foreach (var band in bands) vectors += LowRateLoops<TOps, TVector>.CoefficientsOfBand + StatesOfBand + 1 + Kept + (Block / band.Factor);
        _memory = new(vectors);
        _firstTaps = _memory.Take(_first);
        _laterTaps = _memory.Take(_later);
        _carried = _memory.Take(LowRateLoops<TOps, TVector>.Carried);
        _unread = _memory.Take(1);
        for (var i = 0; i < _halvings.Length; i++) _halvings[i] = new(i == 0 ? HalvingFilter.First : HalvingFilter.Later) { Output = _memory.Take(History + (Block >> (i + 1))) + History };
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
                Coefficients = _memory.Take(LowRateLoops<TOps, TVector>.CoefficientsOfBand * members.Length),
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
        for (var i = 0; i < _first; i++) _firstTaps[i] = TOps.Spread(HalvingFilter.First.Weights[i]);
        for (var i = 0; i < _later; i++) _laterTaps[i] = TOps.Spread(HalvingFilter.Later.Weights[i]);
        _next = Begins;
        foreach (var group in _groups)
        {
            for (var band = 0; band < group.Members.Length; band++)
                LowRateLoops<TOps, TVector>.Coefficients(group.Members[band], group.Coefficients + (LowRateLoops<TOps, TVector>.CoefficientsOfBand * band));
            group.Begin();
        }
        var from = Begins;
        foreach (var halving in _halvings)
        {
            // Of the values whose every frame is there when the block is, the last belongs to it.
            halving.From = (from + 1 + HalvingFilter.Delay - halving.Filter.Reach) >> 1;
            halving.Middle = (int)((2 * halving.From) - HalvingFilter.Delay - from);
            from = halving.From;
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
            if (factor == 2) LowRateLoops<TOps, TVector>.HalveFirst(input + halving.Middle, halving.Output, count, _firstTaps, _carried);
            else LowRateLoops<TOps, TVector>.Halve(input + halving.Middle, halving.Output, count, _laterTaps);
            input = halving.Output;
            if (group < _groups.Length && _groups[group].Factor == factor)
            {
                if (halving.From + count > _groups[group].Begins) Run(_groups[group], input, count, halving.From, chunks, lengths);
                group++;
            }
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

    private void Run(Group group, TVector* x, int count, long from, ChunkRows[] chunks, ReadOnlySpan<long> lengths)
    {
        var room = Kept + (Block / group.Factor);
        // Between two edges a block's sum is all that is wanted of it.
        var plain = !EdgeBefore(group, from, from + count, lengths);
        var quiet = plain ? count : 0;
        for (var band = 0; band < group.Members.Length && !plain; band++)
        {
            var squares = group.Squares + (band * room);
            Buffer.MemoryCopy(squares + count, squares, Kept * sizeof(TVector), Kept * sizeof(TVector));
        }
        var counts = plain && group.Step >= 0;
        for (var band = 0; band < group.Members.Length; band += 2)
        {
            const int width = LowRateLoops<TOps, TVector>.CoefficientsOfBand;
            TVector* a = group.Coefficients + (width * band), s = group.States + (StatesOfBand * band), squares = group.Squares + (band * room) + Kept;
            if (band + 1 < group.Members.Length)
            {
                var (sum, other) = LowRateLoops<TOps, TVector>.Two(a, a + width, x, squares, squares + room, s, s + StatesOfBand, _unread, count, quiet);
                if (!counts) continue;
                group.Sums[band] = TOps.Add(group.Sums[band], sum);
                group.Sums[band + 1] = TOps.Add(group.Sums[band + 1], other);
            }
            else
            {
                var sum = LowRateLoops<TOps, TVector>.One(a, x, squares, s, _unread, count, quiet);
                if (counts) group.Sums[band] = TOps.Add(group.Sums[band], sum);
            }
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
        if (group.Step >= 0 && group.Next != from) return true;
        return (group.Edge ??= NextEdge(group, lengths)) < to;
    }

    /// <summary>The first value that the next edge shares out: that of the step, or of a chunk that ends inside it.</summary>
    private long NextEdge(Group group, ReadOnlySpan<long> lengths)
    {
        var (stepBegins, stepEnds) = (group.Step * _plan.StepMilliframes, (group.Step + 1) * _plan.StepMilliframes);
        var first = group.Edges.At(stepEnds).First;
        foreach (var length in lengths)
            if (length * 1000 > stepBegins && length * 1000 < stepEnds) first = Math.Min(first, group.Edges.At(length * 1000).First);
        return first;
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
            group.Edge = null;
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
    private sealed class Halving(HalvingFilter filter)
    {
        internal HalvingFilter Filter { get; } = filter;

        internal TVector* Output { get; init; }

        /// <summary>The frame in the middle of a block's first output, from the block's first.</summary>
        internal int Middle { get; set; }

        /// <summary>Index of the next first output.</summary>
        internal long From { get; set; }
    }

    /// <summary>The bands of one reduced rate.</summary>
    private sealed class Group(int factor, LowRateFilter[] members, int firstBand, EdgeShares edges)
    {
        internal int Factor { get; } = factor;

        internal LowRateFilter[] Members { get; } = members;

        /// <summary>The first value of the warm-up that the group has to hear.</summary>
        internal long Begins { get; } = -members.Max(Settling) / factor;

        internal int FirstBand { get; } = firstBand;

        internal EdgeShares Edges { get; } = edges;

        internal TVector* Coefficients { get; init; }

        internal TVector* States { get; init; }

        internal TVector* Sums { get; init; }

        internal TVector* Squares { get; init; }

        internal bool[] LaneDone { get; } = new bool[TOps.Count];

        /// <summary>The step that is being added up; −1 before the chunk.</summary>
        internal int Step { get; set; }

        /// <summary>The first value that the next edge shares out; null until it is looked for.</summary>
        internal long? Edge { get; set; }

        /// <summary>The first value that is not in any sum yet.</summary>
        internal long Next { get; set; }

        /// <summary>Frames after which a band has forgotten by 200 dB that it began in the middle of a sound. The common numerator is in its input
        /// already: without its own past it takes the sound for one without, louder by what the numerator takes away at the band.</summary>
        private static long Settling(LowRateFilter band)
        {
            var taken = 60 * Math.Log10(band.Full.Rate / (4 * Math.PI * band.Full.Band.LowerEdge.Hertz));
            return (long)(band.Full.SettlingFrames * (1 + (Math.Max(0, taken) / 200)));
        }

        internal void Begin()
        {
            (Step, Next, Edge) = (-1, long.MinValue, null);
            Array.Clear(LaneDone);
        }
    }
}
