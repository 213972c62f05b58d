using static System.FormattableString;

namespace Hushtrial.Trials.Alignment;

/// <summary>Lays one level curve on another: offset and drift of the clocks from what both heard, with the residual; or a refusal.</summary>
/// <remarks>Coarse: both curves without their slow course are correlated at every offset, for some drifts. Fine: windows of the coarser curve are laid on the
/// finer one in steps of a tenth of a second and below; a line through the windows gives offset and drift, windows that disagree are left out. Checked by simulation
/// (two hours, starts up to an hour apart, ±100 ppm): see the tests.</remarks>
public static class CurveAlignment
{
    /// <summary>The best fit has to stand this many standard deviations above all fits; unrelated curves reach 5 to 6.</summary>
    private const double LeastPeak = 7;

    /// <summary>A second fit at more than this share of the best one makes it ambiguous.</summary>
    private const double MostSecond = 0.7;

    private const double LongestWindow = 60;
    private const double ShortestWindow = 15;
    private const double LeastWindowCorrelation = 0.2;
    private const int FewestPieces = 6;
    private const double LeastShare = 0.5;

    /// <summary>Three times the standard uncertainty must lie below this, s: what a take's edge may be off without harm.</summary>
    private const double MostUncertain = 0.1;

    /// <summary>A drift known worse than this is not taken for one, ppm: watches and recorders rarely do worse than 100.</summary>
    private const double KnownDrift = 30;

    /// <summary>Standard uncertainty of a drift that the curves are too short to show, ppm.</summary>
    private const double UnknownDrift = 50;

    /// <summary>Lays a curve on a reference.</summary>
    /// <param name="reference">The curve whose clock counts.</param>
    /// <param name="other">The curve to be laid on it.</param>
    public static ClockFit Align(LevelCurve reference, LevelCurve other)
    {
        ArgumentNullException.ThrowIfNull(reference);
        ArgumentNullException.ThrowIfNull(other);
        if (reference.Levels.Count(l => !double.IsNaN(l)) < 60 || other.Levels.Count(l => !double.IsNaN(l)) < 60) return ClockFit.Refused("fewer than 60 levels in a curve");
        // Means of the finer curve over the intervals of the coarser one are exact; the other way they are not.
        return reference.UsualLength <= other.UsualLength ? Lay(reference, other) : Lay(other, reference) is { IsAccepted: true } reversed ? reversed.Reversed() : Lay(other, reference);
    }

    private static ClockFit Lay(LevelCurve fine, LevelCurve coarse)
    {
        var (a, b) = (Fluctuation.Prepare(fine), Fluctuation.Prepare(coarse));
        var shorter = Math.Min(fine.Seconds, coarse.Seconds);
        var leastOverlap = Math.Min(Math.Max(120, shorter / 10), 0.8 * shorter);
        if (CoarseMatch.Find(a, fine.Seconds, b, coarse.Seconds, Math.Max(0.5, coarse.UsualLength), leastOverlap) is not { } match) return ClockFit.Refused("the levels do not move, or the curves are too short");
        var evidence = Invariant($"best fit {match.Peak:0.0} standard deviations above all others, the next one {match.Second:0.0}");
        if (match.Peak < LeastPeak) return ClockFit.Refused("the curves have nothing in common that stands out", evidence);
        if (match.Second > MostSecond * match.Peak) return ClockFit.Refused("the curves fit at several offsets nearly as well", evidence);

        var overlap = Math.Min(fine.Seconds, match.Offset + coarse.Seconds) - Math.Max(0, match.Offset);
        var window = Math.Clamp(overlap / 10, ShortestWindow, LongestWindow);
        var values = Fluctuation.Of(coarse);
        var line = new Line(match.Offset, 1 + match.Drift, []);
        // Twice: the second time narrowly around the line of the first.
        foreach (var (reach, step) in new[] { (2.5, 0.2), (0.6, 0.05) })
        {
            var pieces = Windows(a, coarse, values, line, window, reach, step);
            if (pieces.Count < FewestPieces) return ClockFit.Refused(Invariant($"only {pieces.Count} windows of {window:0} s have something to compare"), evidence);
            line = Line.Through(pieces, overlap);
        }
        var used = line.Used;
        (line, var scatter) = Together(a, coarse, values, line, [Math.Max(0, -line.Offset), Math.Min(coarse.Seconds, (fine.Seconds - line.Offset) / line.Rate)]);
        // Few windows know their own scatter badly: about what Student's t adds at three standard deviations.
        var free = Math.Max(1, used.Count - (line.HasSlope ? 2 : 1));
        var uncertainty = scatter * (1 + (4.0 / free));
        var residuals = used.Select(p => p.Place - line.At(p.Time)).ToList();
        var rms = Math.Sqrt(residuals.Sum(r => r * r) / free);
        var refusal = used.Count < FewestPieces ? Invariant($"only {used.Count} windows agree")
            : used.Count < LeastShare * line.Pieces ? Invariant($"only {used.Count} of {line.Pieces} windows agree")
            : 3 * uncertainty > MostUncertain ? Invariant($"known to {3 * uncertainty:0.00} s only") : null;
        return new(line.Offset, (line.Rate - 1) * 1e6, rms, residuals.Max(Math.Abs), uncertainty, line.Pieces, used.Count, overlap, evidence, refusal);
    }

    /// <summary>Moves a line so that all windows on it together correlate best, and tells how uncertain it is at the worst of some times.</summary>
    /// <remarks>Newton's steps on the sum of the windows' correlations; what their slopes scatter over its curvature gives the uncertainty (the sandwich of robust
    /// estimation). Sharper than a line through the windows' own best places, of which each is bounded by its own noise.</remarks>
    private static (Line Line, double Uncertainty) Together(Fluctuation fine, LevelCurve coarse, double[] values, Line line, IReadOnlyList<double> times)
    {
        var used = line.Used;
        var middle = used.Average(p => p.Time);
        var scale = Math.Max(1, Math.Sqrt(used.Average(p => (p.Time - middle) * (p.Time - middle))));
        var uncertainty = double.PositiveInfinity;
        foreach (var step in new[] { 0.4, 0.25, 0.25 })
        {
            double s0 = 0, s1 = 0, h00 = 0, h01 = 0, h11 = 0, j00 = 0, j01 = 0, j11 = 0;
            foreach (var piece in used)
            {
                var (below, here, above) = (At(-step), At(0), At(step));
                if (double.IsNaN(below + here + above)) continue;
                var (slope, bend, x) = ((above - below) / (2 * step), -(above - (2 * here) + below) / (step * step), line.HasSlope ? (piece.Time - middle) / scale : 0);
                (s0, s1) = (s0 + slope, s1 + (slope * x));
                (h00, h01, h11) = (h00 + bend, h01 + (bend * x), h11 + (bend * x * x));
                (j00, j01, j11) = (j00 + (slope * slope), j01 + (slope * slope * x), j11 + (slope * slope * x * x));

                double At(double lag) => Common(fine, coarse, values, piece.From, piece.To, line, lag).Covariance;
            }
            var determinant = line.HasSlope ? (h00 * h11) - (h01 * h01) : h00;
            if (!(h00 > 0) || !(determinant > 0)) return (line, double.PositiveInfinity);
            // The inverse of the curvature, row by row.
            var (i00, i01, i11) = line.HasSlope ? (h11 / determinant, -h01 / determinant, h00 / determinant) : (1 / h00, 0, 0);
            var (shift, tilt) = ((i00 * s0) + (i01 * s1), (i01 * s0) + (i11 * s1));
            uncertainty = times.Max(t =>
            {
                var x = line.HasSlope ? (t - middle) / scale : 0;
                var (a, b) = (i00 + (i01 * x), i01 + (i11 * x));
                var drift = line.HasSlope ? 0 : UnknownDrift * 1e-6 * (t - middle);
                return Math.Sqrt(Math.Max(0, (a * a * j00) + (2 * a * b * j01) + (b * b * j11)) + (drift * drift));
            });
            if (Math.Abs(shift) > 0.3 || Math.Abs(tilt) > 0.3) return (line, double.PositiveInfinity);
            line = line.Moved(shift - (tilt * middle / scale), tilt / scale);
        }
        return (line, uncertainty);
    }

    /// <summary>Where each window of the coarser curve lies on the finer one.</summary>
    private static List<Piece> Windows(Fluctuation fine, LevelCurve coarse, double[] values, Line line, double window, double reach, double step)
    {
        var found = new List<Piece>();
        var lags = (int)Math.Round(reach / step);
        var fits = new double[(2 * lags) + 1];
        for (var i = 0; i < values.Length;)
        {
            var start = coarse.Starts[i];
            var end = i;
            while (end < values.Length && coarse.Starts[end] < start + window) end++;
            double spread = 0, own = 0, counted = 0;
            for (var lag = -lags; lag <= lags; lag++)
            {
                (fits[lag + lags], var others, own) = Common(fine, coarse, values, i, end, line, lag * step);
                if (!double.IsNaN(others)) (spread, counted) = (spread + others, counted + 1);
            }
            var whole = Math.Sqrt(spread / counted * own);
            var best = 0;
            for (var k = 1; k < fits.Length; k++)
                if (fits[k] > fits[best] || double.IsNaN(fits[best])) best = k;
            if (best > 0 && best < fits.Length - 1 && fits[best] >= LeastWindowCorrelation * whole && !double.IsNaN(fits[best - 1] + fits[best + 1]))
            {
                // The top of a parabola through the three highest.
                var bend = fits[best - 1] - (2 * fits[best]) + fits[best + 1];
                var top = bend < 0 ? 0.5 * (fits[best - 1] - fits[best + 1]) / bend : 0;
                var time = (start + coarse.Starts[end - 1] + coarse.Lengths[end - 1]) / 2;
                found.Add(new(i, end, time, line.At(time) + ((best - lags + top) * step)));
            }
            i = end;
        }
        return found;
    }

    /// <summary>What a window of the coarser curve and its place on the finer one have in common: covariance, and the squares of both.</summary>
    /// <remarks>Not divided by the squares of the finer curve: at a fraction of its step its noise is averaged, and a correlation would prefer such places.</remarks>
    private static (double Covariance, double Fine, double Coarse) Common(Fluctuation fine, LevelCurve coarse, double[] values, int from, int to, Line line, double lag)
    {
        double n = 0, a = 0, b = 0, aa = 0, ab = 0, bb = 0;
        for (var i = from; i < to; i++)
        {
            if (double.IsNaN(values[i])) continue;
            var mean = fine.Mean(line.At(coarse.Starts[i]) + lag, line.At(coarse.Starts[i] + coarse.Lengths[i]) + lag);
            if (double.IsNaN(mean)) continue;
            (n, a, b, aa, ab, bb) = (n + 1, a + mean, b + values[i], aa + (mean * mean), ab + (mean * values[i]), bb + (values[i] * values[i]));
        }
        return n < 0.8 * (to - from) || n < 8 ? (double.NaN, double.NaN, double.NaN) : (ab - (a * b / n), aa - (a * a / n), bb - (b * b / n));
    }

    /// <summary>A window of the coarser curve: its intervals, its middle, and where that lies on the finer one, s.</summary>
    private readonly record struct Piece(int From, int To, double Time, double Place);

    /// <summary>A line through places: robust, with what lies on it.</summary>
    private sealed record Line(double Offset, double Rate, IReadOnlyList<Piece> Used)
    {
        private const double MostDrift = 600e-6;
        private const double OnLine = 0.1;

        public int Pieces { get; private init; }

        public bool HasSlope { get; private init; } = true;

        public double At(double time) => Offset + (Rate * time);

        public static Line Through(List<Piece> places, double overlap)
        {
            var slopes = new List<double>();
            for (var i = 0; i < places.Count; i++)
                for (var j = 0; j < i; j++)
                    if (places[i].Time - places[j].Time > overlap / 4 && (places[i].Place - places[j].Place) / (places[i].Time - places[j].Time) is var slope && Math.Abs(slope - 1) < MostDrift) slopes.Add(slope);
            var rate = slopes.Count == 0 ? 1 : Median(slopes);
            var line = new Line(Median(places.ConvertAll(p => p.Place - (rate * p.Time))), rate, places);
            for (var round = 0; round < 4; round++)
            {
                var sizes = places.ConvertAll(p => Math.Abs(p.Place - line.At(p.Time)));
                var most = Math.Max(OnLine, 3 * 1.4826 * Median([.. line.Used.Select(p => Math.Abs(p.Place - line.At(p.Time)))]));
                var on = places.Where((_, i) => sizes[i] <= most).ToList();
                if (on.Count < 2) return line with { Pieces = places.Count, Used = on.Count == 0 ? places : on };
                line = Fitted(on);
            }
            return line with { Pieces = places.Count };
        }

        public Line Moved(double offset, double rate) => this with { Offset = Offset + offset, Rate = Rate + rate };

        private static Line Fitted(List<Piece> on)
        {
            var (mean, place) = (on.Average(p => p.Time), on.Average(p => p.Place));
            var spread = on.Sum(p => (p.Time - mean) * (p.Time - mean));
            var rate = spread > 0 ? on.Sum(p => (p.Time - mean) * (p.Place - place)) / spread : 1;
            var rms = Math.Sqrt(on.Sum(p => Math.Pow(p.Place - place - (rate * (p.Time - mean)), 2)) / Math.Max(1, on.Count - 2));
            var has = spread > 0 && rms / Math.Sqrt(spread) * 1e6 < KnownDrift;
            if (!has) rate = 1;
            return new(place - (rate * mean), rate, on) { HasSlope = has };
        }

        private static double Median(IReadOnlyList<double> values)
        {
            var sorted = values.Order().ToArray();
            return (sorted[(sorted.Length - 1) / 2] + sorted[sorted.Length / 2]) / 2;
        }
    }
}
