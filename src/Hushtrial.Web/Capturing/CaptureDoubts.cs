using System.Globalization;
using Hushtrial.Store.Captures;
using Hushtrial.Trials.Document;
using Hushtrial.Web.Language;

namespace Hushtrial.Web.Capturing;

/// <summary>What the device of a capture cannot do or does not prove, as words that the trial document keeps with the recording; the findings say them.</summary>
internal static class CaptureDoubts
{
    private const int LeastRate = 44_100;

    /// <summary>The words for a source, processing first.</summary>
    public static IReadOnlyList<string> Of(CaptureSource source)
    {
        var doubts = new List<string>();
        foreach (var (setting, word) in new[] { ("autoGainControl", CapturedInput.AutomaticGain), ("noiseSuppression", CapturedInput.NoiseSuppression), ("echoCancellation", CapturedInput.EchoCancellation) })
            if (source.Settings.GetValueOrDefault(setting) is not "false") doubts.Add(word);
        if (source.Settings.TryGetValue("sampleRate", out var told) && int.TryParse(told, NumberStyles.None, CultureInfo.InvariantCulture, out var rate) && rate != source.SampleRate) doubts.Add(CapturedInput.Resampled);
        if (source.SampleRate < LeastRate) doubts.Add(CapturedInput.LowRate);
        return doubts;
    }

    /// <summary>A word as a sentence for the card.</summary>
    public static string Word(Tongue t, string doubt) => doubt switch
    {
        CapturedInput.AutomaticGain => t["Automatic gain is not proved off."],
        CapturedInput.NoiseSuppression => t["Noise suppression is not proved off."],
        CapturedInput.EchoCancellation => t["Echo cancellation is not proved off."],
        CapturedInput.Resampled => t["The browser resamples the input."],
        _ => t["The sampling rate is below 44.1 kHz: high bands are missing."],
    };
}
