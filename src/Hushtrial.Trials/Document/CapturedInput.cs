namespace Hushtrial.Trials.Document;

/// <summary>What an input of the workspace's own device may not be able to do, or may not prove: the words that 'captured' of a recording may hold.</summary>
public static class CapturedInput
{
    /// <summary>Automatic gain is on, or not told to be off.</summary>
    public const string AutomaticGain = "automatic-gain";

    /// <summary>Noise suppression is on, or not told to be off.</summary>
    public const string NoiseSuppression = "noise-suppression";

    /// <summary>Echo cancellation is on, or not told to be off.</summary>
    public const string EchoCancellation = "echo-cancellation";

    /// <summary>The samples are not at the input's own rate.</summary>
    public const string Resampled = "resampled";

    /// <summary>The sampling rate is below 44.1 kHz.</summary>
    public const string LowRate = "low-rate";

    /// <summary>What is wrong with the recordings, each as a finding.</summary>
    internal static void Check(Draft draft, DocumentProblems problems)
    {
        foreach (var recording in draft.List("recordings"))
            foreach (var word in recording.List<string>("captured"))
                Found(word, recording, problems);
    }

    private static void Found(string word, BoundMap recording, DocumentProblems problems)
    {
        var (code, found, expected, remedy) = word switch
        {
            Resampled => ("REC-070", "a capture that the browser resampled", "samples at the input's own rate",
                "Levels near half the sampling rate may be wrong. Set the input to the rate at which the browser records, or use another one."),
            LowRate => ("REC-071", "a capture below 44.1 kHz", "44.1 or 48 kHz", "High bands are missing, and the A-weighted level lacks them. Choose a higher rate of the input."),
            NoiseSuppression => Unproved("a capture whose input did not prove noise suppression off"),
            EchoCancellation => Unproved("a capture whose input did not prove echo cancellation off"),
            _ => Unproved("a capture whose input did not prove automatic gain off"),
        };
        problems.Warning(code, recording.PlaceOf("captured"), recording.PathTo("captured"), found, expected, remedy);
    }

    private static (string, string, string, string) Unproved(string found) => ("REC-072", found, "automatic gain, noise suppression and echo cancellation that are told to be off",
        "Prove it with two tones 20 dB apart before and after, or record with another device: automatic gain makes devices look alike.");
}
