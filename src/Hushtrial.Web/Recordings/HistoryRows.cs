using System.Buffers.Binary;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;

namespace Hushtrial.Web.Recordings;

/// <summary>The level history of one channel as bytes: a head of 32 bytes, then one row of 35 numbers per step. Little-endian.</summary>
/// <remarks>
/// Head: 'HUSHLEV1' · step in µs (int32) · start in µs (int64) · steps (int32) · numbers per row (int32) · length of the last step in µs (int32).
/// Row: A, C, Z, A with F at the end of the step, then the 31 one-third-octave bands 20 Hz…20 kHz unweighted; each a level in hundredths
/// of a decibel re full scale (mean square 1) as int16. <see cref="NoLevel"/> stands for digital silence, a band that does not exist at the rate, and
/// samples that are no numbers. Levels re full scale hold whatever becomes of the calibration; the page adds the level of full scale.
/// </remarks>
internal static class HistoryRows
{
    /// <summary>Length of the head, bytes.</summary>
    public const int HeadBytes = 32;

    /// <summary>Numbers in a row.</summary>
    public const int RowNumbers = 4 + 31;

    /// <summary>Length of a row, bytes.</summary>
    public const int RowBytes = 2 * RowNumbers;

    /// <summary>Stands where there is no level.</summary>
    public const short NoLevel = short.MinValue;

    private static readonly int _firstBand = Band.ThirdOctaves[0].Index;

    /// <summary>Writes the head.</summary>
    public static void WriteHead(Span<byte> to, double stepSeconds, double startSeconds, int steps, double lastStepSeconds)
    {
        "HUSHLEV1"u8.CopyTo(to);
        BinaryPrimitives.WriteInt32LittleEndian(to[8..], (int)Math.Round(stepSeconds * 1e6));
        BinaryPrimitives.WriteInt64LittleEndian(to[12..], (long)Math.Round(startSeconds * 1e6));
        BinaryPrimitives.WriteInt32LittleEndian(to[20..], steps);
        BinaryPrimitives.WriteInt32LittleEndian(to[24..], RowNumbers);
        BinaryPrimitives.WriteInt32LittleEndian(to[28..], (int)Math.Round(lastStepSeconds * 1e6));
    }

    /// <summary>Writes the rows of a measured stretch.</summary>
    public static void Write(Span<byte> to, BlockHistory history)
    {
        Fill(to, history.Count);
        Column(to, 0, history.MeanSquareA);
        Column(to, 1, history.MeanSquareC);
        Column(to, 2, history.MeanSquareZ);
        Column(to, 3, history.FastA);
        for (var i = 0; i < history.Bands.Count; i++) Column(to, 4 + history.Bands[i].Index - _firstBand, history.Third(i));
    }

    /// <summary>Writes rows without any level.</summary>
    public static void Fill(Span<byte> to, int rows)
    {
        for (var i = 0; i < rows * RowNumbers; i++) BinaryPrimitives.WriteInt16LittleEndian(to[(2 * i)..], NoLevel);
    }

    private static void Column(Span<byte> to, int place, IReadOnlyList<float> meanSquares)
    {
        for (var step = 0; step < meanSquares.Count; step++)
            BinaryPrimitives.WriteInt16LittleEndian(to[((step * RowBytes) + (2 * place))..], Hundredths(meanSquares[step]));
    }

    /// <summary>A mean square in hundredths of a decibel; −320 dB and below is silence.</summary>
    private static short Hundredths(float meanSquare) => meanSquare > 1e-32f && float.IsFinite(meanSquare)
        ? (short)Math.Min(Math.Round(1000 * Math.Log10(meanSquare)), short.MaxValue) : NoLevel;
}
