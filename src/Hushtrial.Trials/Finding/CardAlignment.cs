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
        var step = new[] { Transitions(places, ordered, opened: false), Transitions(places, ordered, opened: true) };
        var density = logDensities.Select(l => { var top = l.Max(); return l.Select(x => Math.Exp(x - top)).ToArray(); }).ToArray();
        var forward = new double[n][];
        var backward = new double[n][];
        for (var j = 0; j < n; j++)
        {
            var row = forward[j] = new double[states];
            for (var s = 0; s < states; s++)
            {
                var reach = 0.0;
                if (j == 0) reach = Start(s, k, ordered);
                else for (var r = 0; r < states; r++) reach += forward[j - 1][r] * step[opened[j] ? 1 : 0][r, s];
                row[s] = reach * density[j][Math.Min(s, k)];
            }
            Normalise(row);
        }
        for (var j = n - 1; j >= 0; j--)
        {
            var row = backward[j] = new double[states];
            for (var s = 0; s < states; s++)
            {
                if (j == n - 1) { row[s] = End(s, k, ordered); continue; }
                for (var r = 0; r < states; r++) row[s] += step[opened[j + 1] ? 1 : 0][s, r] * density[j + 1][Math.Min(r, k)] * backward[j + 1][r];
            }
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

    private static double[,] Transitions(IReadOnlyList<CardPlace> places, bool ordered, bool opened)
    {
        var k = places.Count;
        var weights = new double[(2 * k) + 1, (2 * k) + 1];
        for (var from = 0; from <= 2 * k; from++)
        {
            var at = from < k ? from : from == 2 * k ? -1 : from - k;
            for (var to = 0; to < k; to++)
                weights[from, to] = Order(to - at, ordered) * (from < k ? Change(places[from], places[to], from == to, opened) : 1);
            // Before the first and after the last row anything may be heard: start, climb, landing.
            weights[from, at < 0 ? 2 * k : k + at] = at < 0 || at == k - 1 ? Around : NotOnCard * (from < k ? 1 : 5);
        }
        return weights;
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
