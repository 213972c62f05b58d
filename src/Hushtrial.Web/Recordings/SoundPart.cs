using Hushtrial.Trials.Document;

namespace Hushtrial.Web.Recordings;

/// <summary>What a trial says of its recordings, microphones and calibrations, read on its own: one can calibrate while the rest of the trial is still to be written.</summary>
internal static class SoundPart
{
    private const string Stand = "stand-in";

    // The least that a trial document needs; none of it is shown or stored.
    private const string Frame = """
        hushtrial: 1
        trial: { title: sound, quantity: insertion-loss, design: sequential }
        channels: [{ id: stand-in, where: ear, number: 64 }]
        devices: [{ id: any, kind: over-ear }]
        conditions: [{ id: any, device: any }]
        runs: [{ id: any }]
        takes: []
        """;

    /// <summary>A document with exactly the recordings, channels, calibrations and cabins that can be read; one that cannot is left out, not all of them with it.</summary>
    public static TrialDocument Of(TrialDraft draft)
    {
        if (draft.Read().Document is { } whole) return whole;
        var part = TrialDraft.FromText(Frame, draft.DisplayName).Draft ?? throw new InvalidOperationException("The frame of a document is no tree.");
        var document = part.Read().Document ?? throw new InvalidOperationException("The frame of a document cannot be read.");
        foreach (var section in new[] { "recordings", "channels", "calibrations", "cabins" })
            foreach (var entry in draft.Ids(section))
            {
                // The run belongs to what is left out.
                List<KeyValuePair<string, string>> fields = [.. draft.Fields($"{section}[{entry}]").Where(f => f.Key is not ("run" or "starts" or "clock_offset_s" or "clock_drift_ppm"))];
                if (part.Apply(new DraftEdit.Add(section, fields)).Draft is not { } next || next.Read().Document is not { } better) continue;
                (part, document) = (next, better);
            }
        return document with { Channels = [.. document.Channels.Where(c => c.Id != Stand)] };
    }
}
