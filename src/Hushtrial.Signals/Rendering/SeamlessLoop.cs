namespace Hushtrial.Signals.Rendering;

/// <summary>A steady sound made into a loop without a click: pieces joined, and the end joined to the beginning, by crossfades at the place where both agree best.</summary>
/// <remarks>The weights of a crossfade are cosine and sine, divided by what their sum of two sounds of this correlation makes of the power, so that neither a hiss
/// dips nor a tone swells in it.</remarks>
public static class SeamlessLoop
{
    /// <summary>Length of a crossfade, s.</summary>
    public const double FadeSeconds = 0.25;

    // Two periods of the lowest tones of rotors and propellers.
    private const double SearchSeconds = 0.1;
    private const int Stride = 4;

    /// <summary>Seconds that the joins of so many pieces take from their sum, at most.</summary>
    public static double Taken(int pieces) => pieces * (FadeSeconds + SearchSeconds);

    /// <summary>Makes the loop.</summary>
    /// <param name="pieces">Stretches of one channel in order, each at least twice as long as a crossfade and its search.</param>
    /// <param name="sampleRate">Hz.</param>
    /// <param name="mostSeconds">Longest loop; it may come out shorter by the search.</param>
    /// <exception cref="ArgumentException">There is no piece, or one is too short.</exception>
    public static double[] Of(IReadOnlyList<double[]> pieces, int sampleRate, double mostSeconds)
    {
        ArgumentNullException.ThrowIfNull(pieces);
        var (fade, search) = ((int)(FadeSeconds * sampleRate), (int)(SearchSeconds * sampleRate));
        if (pieces.Count == 0 || pieces.Any(p => p.Length < 2 * (fade + search))) throw new ArgumentException("At least one piece, and none shorter than two crossfades, is wanted.", nameof(pieces));
        var whole = pieces[0].ToList();
        foreach (var piece in pieces.Skip(1))
        {
            // The place in the new piece at which it goes on best from the end of what there is.
            var tail = whole[^fade..].ToArray();
            var (lag, correlation) = Best(tail, piece, search);
            for (var i = 0; i < fade; i++) whole[whole.Count - fade + i] = Mixed(tail[i], piece[lag + i], (i + 0.5) / fade, correlation);
            whole.AddRange(piece[(lag + fade)..]);
        }
        // The loop ends where the sound behind its end is most like its beginning.
        var head = whole[..fade].ToArray();
        var latest = Math.Min(whole.Count - fade, (int)(mostSeconds * sampleRate));
        var region = whole[(latest - search)..(latest + fade)].ToArray();
        var (back, agreement) = Best(head, region, search);
        var end = latest - search + back;
        var loop = whole[..end].ToArray();
        for (var i = 0; i < fade; i++) loop[i] = Mixed(whole[end + i], head[i], (i + 0.5) / fade, agreement);
        return loop;
    }

    /// <summary>The lag at which a longer stretch agrees best with a shorter one, with the correlation there.</summary>
    private static (int Lag, double Correlation) Best(ReadOnlySpan<double> shorter, ReadOnlySpan<double> longer, int most)
    {
        var (best, correlation) = (0, double.NegativeInfinity);
        for (var lag = 0; lag <= most && lag + shorter.Length <= longer.Length; lag++)
        {
            var (ab, aa, bb) = (0.0, 0.0, 0.0);
            for (var i = 0; i < shorter.Length; i += Stride)
            {
                var (a, b) = (shorter[i], longer[lag + i]);
                (ab, aa, bb) = (ab + (a * b), aa + (a * a), bb + (b * b));
            }
            var here = aa > 0 && bb > 0 ? ab / Math.Sqrt(aa * bb) : 0;
            if (here > correlation) (best, correlation) = (lag, here);
        }
        return (best, Math.Max(0, correlation));
    }

    private static double Mixed(double leaving, double coming, double share, double correlation)
    {
        var (rise, fall) = Math.SinCos(share * Math.PI / 2);
        return ((leaving * fall) + (coming * rise)) / Math.Sqrt(1 + (2 * fall * rise * correlation));
    }
}
