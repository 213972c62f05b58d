using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;
using Hushtrial.Trials.Pairing;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Trials.Tests.Effects;

public sealed class KnownUncertaintiesTests
{
    [Fact]
    public void Readings_relative_to_an_outside_channel_have_the_response_uncertainty_of_the_sound_itself()
    {
        double Open(Band b) => 90 - (0.8 * b.Index);
        double Covered(Band b) => Open(b) - 15 - b.Index;
        double Outside(Band b) => 95 - (1.5 * b.Index);
        var heard = Response(Open, Covered, _ => 0);
        Assert.True(heard > 0.05, "Without a loss that depends on frequency the response would cancel and nothing were tested.");
        // The same sound, noted relative to the outside microphone: equal but for rounding.
        Assert.Equal(heard, Response(b => Open(b) - Outside(b), b => Covered(b) - Outside(b), Outside), 1e-9);
    }

    private static double Response(Func<Band, double> open, Func<Band, double> covered, Func<Band, double> ambient)
    {
        Reading Of(string condition, Func<Band, double> level) => new("F", null, 0, condition, condition == TrialDocument.OpenEar ? null : "D", condition,
            Band.ThirdOctaves.ToDictionary(QuantityName.Of, level, StringComparer.Ordinal));
        var table = new ReadingTable([Of(TrialDocument.OpenEar, open), Of("oak", covered)], Band.ThirdOctaves,
            new Dictionary<(string, Band), (OwnNoiseEffect, double)>(), new Dictionary<string, double>())
        {
            Ambient = Band.ThirdOctaves.ToDictionary(QuantityName.Of, ambient, StringComparer.Ordinal),
        };
        var sources = KnownUncertainties.Of(HelicopterTrial.Make(1).Document, table, 0.2)[QuantityName.A].Sources;
        return Math.Sqrt(sources.Where(s => s.Name == MicrophoneResponse.SourceName).Sum(s => Math.Pow(s.ContributionTo(LevelContrast.Loss("oak")), 2)));
    }
}
