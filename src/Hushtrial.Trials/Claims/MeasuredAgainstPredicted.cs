using Hushtrial.Hearing.Claims;
using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Results;
using static System.FormattableString;

namespace Hushtrial.Trials.Claims;

/// <summary>Measured conditions beside devices that no microphone fits inside, which enter by their published octave data alone (method 2.4, last row): the difference of
/// the two distributions for one wearer, the measured one in the general scope.</summary>
internal static class MeasuredAgainstPredicted
{
    public static IReadOnlyList<PredictedPair> Of(TrialDocument document, TrialEffects effects, IReadOnlyList<ConditionResult> conditions, OpenNoise noise)
    {
        if (noise.Bands is not { } spectrum || !Band.Octaves.Any(o => spectrum[o] is not null || o.Thirds.All(t => spectrum[t] is not null))) return [];
        var pairs = new List<PredictedPair>();
        foreach (var predicted in conditions.Where(c => c.Predicted))
        {
            if (PublishedOctaves.Of(document.Devices.First(d => d.Id == predicted.Device.Id).Published) is not { } published) continue;
            var prediction = WearerPrediction.Of(spectrum, published);
            foreach (var measured in conditions.Where(c => !c.Predicted))
                if (new TestedQuantity(effects, measured, null).A is { } loss) pairs.Add(Pair(measured, predicted, loss, ClaimCheck.AgainstPublished(loss, prediction), prediction));
        }
        return pairs;
    }

    private static PredictedPair Pair(ConditionResult measured, ConditionResult predicted, MeasuredLoss loss, PublishedComparison c, WearerPrediction prediction)
    {
        var difference = new Estimate(c.Difference.Decibels, c.Low.Decibels, c.High.Decibels, (c.High - c.Low).Decibels / 3.92, null,
            [new("measured loss", loss.StandardDeviation.Decibels), new("spread over wearers as published", prediction.Reduction.StandardUncertainty)]);
        var words = c.Standing switch
        {
            PublishedStanding.Above => "takes more off than the published data let expect of the other for one wearer",
            PublishedStanding.Below => "takes less off than the published data let expect of the other for one wearer",
            _ => "cannot be told from it: published data predict one wearer only loosely",
        };
        return new(measured.Condition.Id, measured.Name, predicted.Condition.Id, predicted.Name, difference, 1 - c.ProbabilityBelow,
            Invariant($"{measured.Name}, measured, beside {predicted.Name}, predicted and not measured: {words} (difference {difference.Value:0.0} dB, 95 %: {difference.Low:0.0} to {difference.High:0.0})."));
    }
}
