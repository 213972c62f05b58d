using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Document;

/// <summary>What a document says about automatic gain, in a person's own words.</summary>
public sealed class StatedGainTests
{
    [Theory]
    [InlineData("automatic gain on", GainStatement.On)]
    [InlineData("On", GainStatement.On)]
    [InlineData("limiter off; AGC on", GainStatement.On)]
    [InlineData("all off; shown by a 94 dB tone before and after", GainStatement.Off)]
    [InlineData("automatic gain off, limiter on", GainStatement.Off)]
    [InlineData("none", GainStatement.Off)]
    [InlineData("no automatic functions on this recorder", GainStatement.Off)]
    [InlineData("not known", GainStatement.Unknown)]
    [InlineData("unknown", GainStatement.Unknown)]
    [InlineData(null, GainStatement.Unknown)]
    public void Words_are_read(string? words, GainStatement stated)
    {
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("t", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.ReadingsOnly,
            Devices = [], Conditions = [], Runs = [], Takes = [], Chain = words is null ? [new("recorder", "portable")] : [new("automatic_functions", words)],
        };
        Assert.Equal(stated, StatedGain.Of(document));
    }
}
