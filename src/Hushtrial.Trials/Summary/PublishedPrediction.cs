using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;
using Hushtrial.Statistics.Distributions;
using Hushtrial.Trials.Claims;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Summary;

/// <summary>What published octave data promise one wearer in this cabin, for a device that no microphone fits inside. Never a measurement, and marked so.</summary>
internal static class PublishedPrediction
{
    /// <summary>The condition as predicted; null when the device publishes no octave means with deviations, or the cabin's spectrum is not known.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="condition">A condition of a device that cannot be measured.</param>
    /// <param name="open">The trial's mean open spectrum, one-third octaves, dB; in relative mode re full scale: only its shape matters.</param>
    /// <param name="openA">A-weighted level of the open ear; null in relative mode.</param>
    /// <param name="openField">The same referred to the field; null where it cannot be.</param>
    public static ConditionResult? Of(TrialDocument document, Condition condition, IReadOnlyDictionary<Band, double> open, Effect? openA, Effect? openField = null)
    {
        var device = document.Devices.First(d => d.Id == condition.Device);
        if (device.Published is not { } published || PublishedOctaves.Of(published) is not { } attenuation) return null;
        if (!Band.Octaves.Any(o => o.Thirds.All(open.ContainsKey))) return null;
        var noise = Spectrum.Of(open.Select(b => KeyValuePair.Create(b.Key, Level.FromDecibels(b.Value))));
        var prediction = WearerPrediction.Of(noise, attenuation).Reduction;
        var loss = new Estimate(prediction.Mean, prediction.Quantile(0.025), prediction.Quantile(0.975), prediction.StandardUncertainty, null,
            [new("spread over wearers as published, fully correlated over bands", prediction.StandardUncertainty)]);
        var reason = $"predicted from published threshold data{(published.Source is { } s ? $" ({s})" : "")}; not measured";
        var people = published.Subjects ?? WearerPrediction.AssumedPeople;
        var wide = StudentT.Quantile(0.975, people - 1) * Math.Sqrt(1 + (1.0 / people));
        var bands = published.Bands.Select(b => new BandEffect(b.Band, new Effect(null, new Estimate(b.Mean, b.Mean - (wide * b.StandardDeviation!.Value),
            b.Mean + (wide * b.StandardDeviation.Value), b.StandardDeviation.Value, people - 1, []), reason), Valid: true, "published, not measured")).ToList();
        return new(condition, device, ConditionName.Of(document, condition), 0, 0, new(new Effect(null, loss, reason), null, bands),
            openA?.General is { } level ? new(new Effect(null, Left(level, loss), reason), null, []) : null, null, [], Predicted: true)
        {
            FieldLevel = openField?.General is { } field ? new(new Effect(null, Left(field, loss), reason), null, []) : null,
        };
    }

    private static Estimate Left(Estimate open, Estimate loss)
    {
        // Independent contributions; the limits keep the skew of the prediction.
        var value = open.Value - loss.Value;
        return new(value, value - Root(open.Value - open.Low, loss.High - loss.Value), value + Root(open.High - open.Value, loss.Value - loss.Low),
            Root(open.StandardUncertainty, loss.StandardUncertainty), null,
            [new("level of the open ear", open.StandardUncertainty), new("spread over wearers as published, fully correlated over bands", loss.StandardUncertainty)]);
    }

    private static double Root(double a, double b) => Math.Sqrt((a * a) + (b * b));
}
