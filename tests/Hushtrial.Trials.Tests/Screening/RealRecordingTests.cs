using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Tests.Screening;

/// <summary>Recordings from elsewhere must not be flagged beyond what is true of them: those of the Debian package alsa-utils (48 kHz, 16 bit), seven voices that
/// name loudspeakers and one noise, which the project's test command installs.</summary>
public sealed class RealRecordingTests
{
    private const string Sounds = "/usr/share/sounds/alsa";

    /// <summary>A voice between pauses is unsteady, has bursts over its pauses, nothing below its pitch (as after a low-cut filter), moments 30 dB below the rest and (two of them) digital silence; nobody clipped, limited or disturbed it.</summary>
    [Theory]
    [InlineData("Front_Center.wav")]
    [InlineData("Front_Left.wav")]
    [InlineData("Front_Right.wav")]
    [InlineData("Rear_Center.wav")]
    [InlineData("Rear_Left.wav")]
    [InlineData("Side_Left.wav")]
    [InlineData("Side_Right.wav")]
    public void A_voice_is_called_unsteady_and_nothing_worse(string file)
    {
        string[] trueOfSpeech = ["TAK-011", "TAK-012", "TAK-018", "TAK-019", "TAK-020", "TAK-023"];
        Assert.Empty(Codes(file).Except(trueOfSpeech));
    }

    /// <summary>Steady noise is what takes are: nothing may be found but that no quiet recording exists, and its low cut, which it has: scipy 1.10.1's welch gives
    /// −38 dB in the band at 160 Hz, −50 at 100 Hz, −63 at 63 Hz, −88 at 31.5 Hz and −116 dB at 20 Hz, some 25 dB per octave.</summary>
    [Fact]
    public void A_steady_noise_is_flagged_for_its_low_cut_alone() => Assert.Equal(["TAK-020", "TAK-023"], Codes("Noise.wav"));

    private static List<string> Codes(string file)
    {
        using var recording = Recording.Open(new BufferedBytes(File.ReadAllBytes(Path.Combine(Sounds, file))), file);
        var document = new TrialDocument
        {
            Schema = 1, Identity = new("Sounds from elsewhere", null, null, null, null, null, null, null), Quantity = MeasuredQuantity.InsertionLoss, Design = TrialDesign.Sequential,
            Channels = [new("ear", false, "left", 1, [])], Recordings = [new("r", file, 0, "R")], Devices = [], Conditions = [], Runs = [new("R", null, [])],
            Takes = [new("T1", "R", null, TrialDocument.OpenEar, null, "r", 0, recording.Duration.TotalSeconds - 0.001, null, null, [], null, null, null, null, "")],
        };
        return [.. Analysis.Findings(new TrialInputs(document, new Dictionary<string, Recording> { ["r"] = recording }, [], [], "0"), null, TestContext.Current.CancellationToken).Select(p => p.Code).Distinct().Order()];
    }
}
