using System.Globalization;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Verdicts;

/// <summary>A verdict in one plain sentence with its interval.</summary>
internal static class PairSentence
{
    public static string Of(string first, string second, EstimateScope scope, VerdictKind verdict, double mean, double low95, double high95, double low90, double high90, double margin,
        MeasuredQuantity quantity = MeasuredQuantity.InsertionLoss)
    {
        var (more, less) = mean >= 0 ? (first, second) : (second, first);
        var (low, high) = mean >= 0 ? (low95, high95) : (-high95, -low95);
        var where = scope == EstimateScope.AsWorn ? "as worn in this trial" : "in general";
        return verdict switch
        {
            VerdictKind.Different => Text($"{more} {QuantityWords.MoreThan(quantity)} {less} {where}: by {Math.Abs(mean):0.0} dB ({low:0.0} to {high:0.0} dB)."),
            VerdictKind.DifferentWithinMargin => Text($"{more} {QuantityWords.MoreThan(quantity)} {less} {where}, but by less than the margin of {margin:0.#} dB: {Math.Abs(mean):0.0} dB ({low:0.0} to {high:0.0} dB)."),
            VerdictKind.Equivalent => Text($"{first} and {second} are equivalent within ±{margin:0.#} dB {where}: the difference lies between {Signed(low90)} and {Signed(high90)} dB."),
            _ => Text($"{first} and {second} {where}: not resolved: differences from {Signed(low95)} to {Signed(high95)} dB remain possible."),
        };
    }

    private static string Signed(double value) => (value < 0 ? "−" : "+") + Math.Abs(value).ToString("0.0", CultureInfo.InvariantCulture);

    private static string Text(FormattableString text) => FormattableString.Invariant(text);
}
