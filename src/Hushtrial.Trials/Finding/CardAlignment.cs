using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Finding;

/// <summary>A place on a card: a condition of a row, or (without a card) a condition by itself.</summary>
/// <param name="Condition">Identity of the condition, or 'open'.</param>
/// <param name="Device">Identity of the device; null for the open ear.</param>
/// <param name="Row">Number of the row; null without a card.</param>
internal sealed record CardPlace(string Condition, string? Device, int? Row);

/// <summary>How probable it is that each span belongs to each place of a card, with skipped, repeated, exchanged rows and spans that are
/// none of the card's: the forward and backward sums over all alignments.</summary>
internal static class CardAlignment
{
    // Relative weights of what people do to a card (common practice, no source; the confidence is calibrated afterwards).
    private const double Again = 0.3, SkipOne = 0.06, SkipTwo = 0.03, SkipMore = 0.012, BackOne = 1e-4, BackMore = 1e-5;
    private const double NotOnCard = 0.04, Around = 1, OpenedInDonning = 0.03, OpenedAgain = 0.2, NeverOpened = 0.03;

    /// <summary>The places of a card; equal conditions in a row of a row are one place.</summary>
    public static IReadOnlyList<CardPlace> Places(OrderCard card, TrialDocument document)
    {
        var places = new List<CardPlace>();
        foreach (var row in card.Rows)
            foreach (var condition in row.Conditions)
                if (places.Count == 0 || places[^1].Row != row.Number || places[^1].Condition != condition)
                    places.Add(new(condition, document.Conditions.FirstOrDefault(c => c.Id == condition) is { } c ? DonnedAs(c) : null, row.Number));
        return places;
    }

    /// <summary>What is put on: the device and what is worn with it.</summary>
    public static string DonnedAs(Condition condition) => condition.WornWith.Count == 0 ? condition.Device : $"{condition.Device}-{string.Join('-', condition.WornWith)}";

    /// <summary>Aligns spans with places.</summary>
    /// <param name="places">The places, at least one.</param>
    /// <param name="ordered">Whether their order counts.</param>
    /// <param name="logDensities">By span: logarithm of the density at each place, then that of anything else.</param>
    /// <param name="opened">By span: whether the ear was open between it and the span before.</param>
    /// <returns>By span: probability of each place, then of none of them.</returns>
    public static double[][] Probabilities(IReadOnlyList<CardPlace> places, bool ordered, IReadOnlyList<double[]> logDensities, IReadOnlyList<bool> opened)
    {
        var (n, k) = (logDensities.Count, places.Count);
        if (n == 0) return [];
        // States: at place i (0…k−1), or at something else after place i (k + i; 2k: before any place).
        var states = (2 * k) + 1;
        var step = new[] { new Steps(places, ordered, opened: false), new Steps(places, ordered, opened: true) };
        var density = logDensities.Select(l => { var top = l.Max(); return l.Select(x => Math.Exp(x - top)).ToArray(); }).ToArray();
        var forward = new double[n][];
        var backward = new double[n][];
        for (var j = 0; j < n; j++)
        {
            var row = forward[j] = new double[states];
            if (j == 0) for (var s = 0; s < states; s++) row[s] = Start(s, k, ordered);
            else step[opened[j] ? 1 : 0].Forward(forward[j - 1], row);
            for (var s = 0; s < states; s++) row[s] *= density[j][Math.Min(s, k)];
            Normalise(row);
        }
        for (var j = n - 1; j >= 0; j--)
        {
            var row = backward[j] = new double[states];
            if (j == n - 1) for (var s = 0; s < states; s++) row[s] = End(s, k, ordered);
            else step[opened[j + 1] ? 1 : 0].Backward([.. backward[j + 1].Select((x, r) => x * density[j + 1][Math.Min(r, k)])], row);
            Normalise(row);
        }
        var result = new double[n][];
        for (var j = 0; j < n; j++)
        {
            var at = result[j] = new double[k + 1];
            for (var s = 0; s < states; s++) at[Math.Min(s, k)] += forward[j][s] * backward[j][s];
            Normalise(at);
        }
        return result;
    }

    // Weights from every state to every place, and to the one state 'something else' that each leads to.
    private sealed class Steps
    {
        private readonly int _k;
        private readonly double[][] _toPlaces;
        private readonly int[] _else;
        private readonly double[] _toElse;

        public Steps(IReadOnlyList<CardPlace> places, bool ordered, bool opened)
        {
            _k = places.Count;
            var states = (2 * _k) + 1;
            (_toPlaces, _else, _toElse) = (new double[states][], new int[states], new double[states]);
            for (var from = 0; from < states; from++)
            {
                var at = from < _k ? from : from == 2 * _k ? -1 : from - _k;
                _toPlaces[from] = [.. Enumerable.Range(0, _k).Select(to => Order(to - at, ordered) * (from < _k ? Change(places[from], places[to], from == to, opened) : 1))];
                _else[from] = at < 0 ? 2 * _k : _k + at;
                // Before the first and after the last row anything may be heard: start, climb, landing.
                _toElse[from] = at < 0 || at == _k - 1 ? Around : NotOnCard * (from < _k ? 1 : 5);
            }
        }

        public void Forward(double[] before, double[] after)
        {
            for (var from = 0; from < before.Length; from++)
            {
                var x = before[from];
                if (x < 1e-200) continue;
                var weights = _toPlaces[from];
                for (var to = 0; to < weights.Length; to++) after[to] += x * weights[to];
                after[_else[from]] += x * _toElse[from];
            }
        }

        public void Backward(double[] after, double[] before)
        {
            for (var from = 0; from < before.Length; from++)
            {
                var weights = _toPlaces[from];
                var sum = after[_else[from]] * _toElse[from];
                for (var to = 0; to < weights.Length; to++) sum += weights[to] * after[to];
                before[from] = sum;
            }
        }
    }

    private static double Order(int ahead, bool ordered) => !ordered ? 1 : ahead switch
    {
        1 => 1, 0 => Again, 2 => SkipOne, 3 => SkipTwo, > 3 => SkipMore, -1 => BackOne, _ => BackMore,
    };

    // From one device to another the ear is open for a moment; between modes of a donning it is not.
    private static double Change(CardPlace from, CardPlace to, bool same, bool opened)
    {
        if (from.Device is null || to.Device is null) return 1;
        var sameDonning = from.Row == to.Row && from.Device == to.Device;
        if (opened) return same ? OpenedAgain : sameDonning ? OpenedInDonning : 1;
        return sameDonning ? 1 : NeverOpened;
    }

    private static double Start(int state, int k, bool ordered) => state == 2 * k ? Around : state >= k ? 0 : !ordered ? 1 : state == 0 ? 1 : NotOnCard * Order(state + 1, true);

    // A card that was not finished costs as much as rows skipped.
    private static double End(int state, int k, bool ordered)
    {
        if (!ordered || state == 2 * k) return ordered ? SkipMore : 1;
        return Order((k - 1) - (state % k) + 1, true);
    }

    private static void Normalise(double[] values)
    {
        var sum = values.Sum();
        if (sum > 0) for (var i = 0; i < values.Length; i++) values[i] /= sum;
    }
}
