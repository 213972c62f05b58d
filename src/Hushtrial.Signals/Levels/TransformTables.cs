namespace Hushtrial.Signals.Levels;

/// <summary>What <see cref="PowerTransform{TOps, TVector}"/>s of one length share: how the transform is cut into passes, the window and the factors. Read only.</summary>
internal sealed unsafe class TransformTables<TOps, TVector>
    where TOps : struct, ILanes<TVector>
    where TVector : unmanaged
{
    private readonly PinnedVectors<TVector> _memory;

    /// <param name="points">Frames of a segment, a power of two from 256 on.</param>
    internal TransformTables(int points)
    {
        (Points, Rows) = (points, points / TOps.Count);
        RowsOfBlock = Rows / 8;
        // Rows that lie a multiple of 4096 bytes apart would fall into the same few lines of the first cache.
        Stride = RowsOfBlock * sizeof(TVector) % 4096 == 0 ? RowsOfBlock + Math.Max(1, 64 / sizeof(TVector)) : RowsOfBlock;
        Passes = PassesOf(Rows);
        Lines = new int[Rows];
        for (var row = 0; row < Rows; row++) Lines[row] = LineOf(row);
        var factors = Passes[^1].Table + (2 * (Passes[^1].Radix - 1) * Passes[^1].Stride);
        var acrossLanes = 2 * (Rows / TOps.Count) * TurnedLanes;
        _memory = new((4 * Stride) + acrossLanes, factors);
        Window = _memory.Take(4 * Stride);
        LaneFactors = _memory.Take(acrossLanes);
        Factors = _memory.TakeNumbers(factors);
        Fill();
    }

    /// <summary>Whether what follows the transform over the rows happens in registers (<see cref="FourAcross"/>).</summary>
    internal static bool InRegisters => TOps.Count == 4 && FourAcross.IsSupported;

    /// <summary>Lanes for which factors are kept, from lane 1 on; lane 0 is not turned.</summary>
    internal static int TurnedLanes => InRegisters ? 1 : TOps.Count - 1;

    /// <summary>Frames of a segment.</summary>
    internal int Points { get; }

    /// <summary>Vectors of a segment.</summary>
    internal int Rows { get; }

    /// <summary>An eighth of them: what the first pass takes together.</summary>
    internal int RowsOfBlock { get; }

    /// <summary>Vectors from one eighth to the next in memory.</summary>
    internal int Stride { get; }

    /// <summary>The passes of the transform over the rows: how many rows a butterfly takes, how far apart, and where its factors are.</summary>
    internal (int Radix, int Stride, int Table)[] Passes { get; }

    /// <summary>The line that comes to lie in a row.</summary>
    internal int[] Lines { get; }

    /// <summary>The first half of the Hann window, in four rows <see cref="Stride"/> apart.</summary>
    internal TVector* Window { get; }

    /// <summary>Factors of the lanes 1… for as many rows as there are lanes, real and imaginary.</summary>
    internal TVector* LaneFactors { get; }

    /// <summary>Factors of the passes, real and imaginary.</summary>
    internal double* Factors { get; }

    private static (int Radix, int Stride, int Table)[] PassesOf(int rows)
    {
        var passes = new List<(int, int, int)>();
        var table = 0;
        while (rows > 1)
        {
            // 8 as long as a 4 or two can end it.
            var radix = rows % 8 == 0 && rows != 16 ? 8 : 4;
            passes.Add((radix, rows / radix, table));
            table += 2 * (radix - 1) * (rows / radix);
            rows /= radix;
        }
        return [.. passes];
    }

    private void Fill()
    {
        var inRow = Points / 8;
        for (var i = 0; i < Points / 2; i++) ((double*)(Window + (i / inRow * Stride)))[i % inRow] = 0.5 - (0.5 * Math.Cos(2 * Math.PI * i / Points));
        foreach (var (radix, stride, table) in Passes)
            for (var j = 0; j < stride; j++)
                for (var q = 1; q < radix; q++)
                {
                    var to = Factors + table + (2 * (((radix - 1) * j) + q - 1));
                    (to[1], to[0]) = Math.SinCos(-2 * Math.PI * (j * q) / (radix * stride));
                }
        var lanes = (double*)LaneFactors;
        // Behind the transposition a vector holds one lane of as many rows.
        for (var row = 0; row < Rows; row++)
            for (var lane = 1; lane <= TurnedLanes; lane++)
            {
                var to = lanes + (((2 * ((row / TOps.Count * TurnedLanes) + lane - 1)) * TOps.Count) + (row % TOps.Count));
                (to[TOps.Count], to[0]) = Math.SinCos(-2 * Math.PI * ((long)lane * Lines[row]) / Points);
            }
    }

    private int LineOf(int row)
    {
        var (line, weight) = (0, 1);
        foreach (var (radix, stride, _) in Passes)
        {
            line += weight * (row / stride);
            row %= stride;
            weight *= radix;
        }
        return line;
    }
}
