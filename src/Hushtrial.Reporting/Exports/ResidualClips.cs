using System.Text;
using Hushtrial.Reporting.Wording;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Listening;
using Hushtrial.Trials.Results;

namespace Hushtrial.Reporting.Exports;

/// <summary>The cabin and what each device leaves of it as files for a talk: one loop each, all in order with cue points, and a text that says what they are.</summary>
public static class ResidualClips
{
    private const string WaveType = "audio/wav";
    private const double GapSeconds = 0.5, FadeSeconds = 0.05;

    /// <summary>What has to be read with every one of them.</summary>
    public static IReadOnlyList<string> Cautions { get; } =
    [
        "The levels are not those of the cabin: everything is played far below, at one common gain. Only the differences between the sounds are real.",
        "Never turn up until it sounds as loud as the cabin: that level harms hearing.",
        "Headphones and loudspeakers colour what is played, small ones leave out the lows; the ear hears low tones weaker at a low level than in the cabin.",
        "What is heard is the average of the fits that were made; a bad fit sounds louder.",
        "It says nothing of whether a radio call or a warning is heard.",
    ];

    /// <summary>One sound as a WAVE file of 24 bits, a loop without a gap.</summary>
    public static byte[] Wave(ResidualSounds set, ResidualSound sound) => Written(set, sound.Samples, $"{Name(sound)}", []);

    /// <summary>All files. The same set gives the same bytes.</summary>
    /// <param name="set">The rendered set.</param>
    /// <param name="results">The results it was rendered from.</param>
    public static IReadOnlyList<ExportFile> Files(ResidualSounds set, TrialResults results)
    {
        ArgumentNullException.ThrowIfNull(set);
        ArgumentNullException.ThrowIfNull(results);
        var single = set.Sounds.Select((s, i) => (Sound: s, File: FormattableString.Invariant($"{i:00}-{(i == 0 ? "cabin" : s.Condition)}.wav"))).ToList();
        return
        [
            .. single.Select(s => new ExportFile(s.File, WaveType, Wave(set, s.Sound))),
            new("all-in-order.wav", WaveType, InOrder(set, out var starts)),
            new("read-first.txt", "text/plain", Encoding.UTF8.GetBytes(Text(set, results, single.ConvertAll(s => s.File), starts))),
        ];
    }

    private static byte[] InOrder(ResidualSounds set, out IReadOnlyList<double> starts)
    {
        var (gap, fade) = ((int)(GapSeconds * set.SampleRate), (int)(FadeSeconds * set.SampleRate));
        var (all, markers) = (new List<double>(), new List<Marker>());
        foreach (var sound in set.Sounds)
        {
            if (all.Count > 0) all.AddRange(new double[gap]);
            markers.Add(new(all.Count, Name(sound)));
            var n = sound.Samples.Length;
            all.AddRange(sound.Samples.Select((x, i) => x * Math.Min(1, Math.Min(i, n - 1 - i) / (double)fade)));
        }
        starts = [.. markers.Select(m => m.Frame / (double)set.SampleRate)];
        return Written(set, [.. all], string.Join(", ", markers.Select(m => m.Label)), markers);
    }

    private static byte[] Written(ResidualSounds set, double[] samples, string title, IReadOnlyList<Marker> markers)
    {
        using var file = new MemoryStream();
        using (var writer = new WaveWriter(file, set.SampleRate, 1, WaveSampleFormat.Integer24)) writer.Write(samples);
        WaveNotes.Append(file, title, string.Join(' ', Cautions.Take(2).Select(Phrasebook.Say)), markers);
        return file.ToArray();
    }

    private static string Text(ResidualSounds set, TrialResults results, List<string> files, IReadOnlyList<double> starts)
    {
        var lines = new List<string> { results.Document.Identity.Title, "" };
        lines.AddRange(Cautions.Select(Phrasebook.Say));
        lines.AddRange(["", Phrasebook.Say(Source(set, results)), Phrasebook.Say(Rendering), ""]);
        foreach (var (i, sound) in set.Sounds.Index())
            lines.Add($"{files[i]}\t{Words.Clock(starts[i])}\t{Name(sound)}{(sound.Planned is { LossA: { } loss } ? "\t" + Phrasebook.Say($"{Words.Decibels(loss)}(A) less") : "")}");
        lines.Add("");
        foreach (var sound in set.Sounds.Where(s => s.Planned is not null))
            lines.AddRange(Remarks(sound.Planned!).Select(r => $"{sound.Name}: {Phrasebook.Say(r)}"));
        if (set.WithSpeech) lines.AddRange(["", Phrasebook.Say(SpeechCaution)]);
        return string.Join('\n', lines) + "\n";
    }

    /// <summary>How the sounds were made, in a sentence.</summary>
    public const string Rendering = "Each residual is the cabin through a filter of linear phase whose gain is the estimated loss by band, smooth in between on a logarithmic frequency axis and in decibels; what lies below 16 Hz is left out of all.";

    /// <summary>What goes with speech that was left in.</summary>
    public const string SpeechCaution = "Speech was left in: whoever is heard must have agreed, and the local law on recording and passing on radio comes first.";

    /// <summary>Where the cabin was taken from, in a sentence.</summary>
    public static string Source(ResidualSounds set, TrialResults results) => set.Span is not { } span
        ? "The cabin is random noise with the band levels of the open ear: there is no recording to play, so tones and beats of the cabin are missing."
        : FormattableString.Invariant($"The cabin is take {span.Take}, {span.Pieces.Sum(p => p.To - p.From):0.0} s from {Words.Clock(span.Pieces[0].From)} on, made into a loop of {set.Seconds:0.0} s.")
            + (set.WithSpeech ? "" : span.LeftOut > 0 ? FormattableString.Invariant($" Speech and bursts, {span.LeftOut:0.0} s of the take, were left out.") : " No speech or bursts were found in this take.");

    /// <summary>What has to be said of one residual: bands that are not known, published losses.</summary>
    public static IEnumerable<string> Remarks(PlannedResidual planned)
    {
        ArgumentNullException.ThrowIfNull(planned);
        if (planned.Predicted) yield return "Made from published losses, not measured here.";
        if (planned.AtLeast.Count > 0) yield return $"The microphone’s own noise was reached at {Words.Bands(planned.AtLeast)}: there it may be quieter than it sounds.";
        if (planned.Filled.Count > 0) yield return $"No trusted loss at {Words.Bands(planned.Filled)}: there the curve goes on smoothly from its neighbours.";
    }

    private static string Name(ResidualSound sound) => sound.Planned is null ? Phrasebook.Say("The cabin") : Phrasebook.Say(sound.Name);
}
