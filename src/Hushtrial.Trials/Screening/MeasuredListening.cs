using System.Globalization;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Screening;

/// <summary>A device in a quiet room as measured: mean of the ear channels, dB re 20 µPa or, uncalibrated, re full scale.</summary>
/// <param name="Condition">Identity of the condition with the electronics on.</param>
/// <param name="On">Band levels with the electronics on.</param>
/// <param name="Off">Band levels with them off.</param>
public sealed record QuietLevels(string Condition, IReadOnlyDictionary<Band, double> On, IReadOnlyDictionary<Band, double> Off);

/// <summary>The recorded warning sounds and quiet spans of a trial.</summary>
/// <param name="Warnings">One-third-octave levels by identity of the warning, its background taken off; one that could not be measured is absent.</param>
/// <param name="Quiet">The quiet pairs that could be measured.</param>
/// <param name="Problems">What could not, and why.</param>
public sealed record MeasuredListening(IReadOnlyDictionary<string, IReadOnlyDictionary<Band, double>> Warnings, IReadOnlyList<QuietLevels> Quiet, IReadOnlyList<Problem> Problems)
{
    /// <summary>Bands in which a warning stands less than this over its background say nothing about it; the rule of own noise (see <c>OwnNoise</c>).</summary>
    private const double LeastGap = 3;

    /// <summary>One-third-octave levels of warnings under devices on the ground, their background taken off, by warning and condition.</summary>
    public IReadOnlyDictionary<(string Warning, string Condition), IReadOnlyDictionary<Band, double>> Under { get; init; } = new Dictionary<(string, string), IReadOnlyDictionary<Band, double>>();

    /// <summary>Nothing to measure.</summary>
    public static MeasuredListening None { get; } = new(new Dictionary<string, IReadOnlyDictionary<Band, double>>(StringComparer.Ordinal), [], []);

    /// <summary>Measures what the document names.</summary>
    /// <param name="inputs">The document and its opened recordings.</param>
    /// <param name="fullScale">Level of 0 dB re full scale by channel, dB; 0 where nothing was calibrated.</param>
    public static MeasuredListening Of(TrialInputs inputs, IReadOnlyDictionary<string, double> fullScale)
    {
        if (inputs.Document.Listening is not { } plan) return None;
        var problems = new List<Problem>();
        var warnings = new Dictionary<string, IReadOnlyDictionary<Band, double>>(StringComparer.Ordinal);
        foreach (var warning in plan.Warnings.Where(w => w.Span is not null))
            if (Sound(warning.Span!, warning.Background, $"warning {warning.Id}", inputs, fullScale, problems) is { } levels) warnings[warning.Id] = levels;
        var under = new Dictionary<(string, string), IReadOnlyDictionary<Band, double>>();
        foreach (var (warning, there) in plan.Warnings.SelectMany(w => w.Under.Where(u => u.Sound is not null).Select(u => (w, u))))
            if (Sound(there.Sound!, there.Background, $"warning {warning.Id} under {there.Condition}", inputs, fullScale, problems) is { } levels) under[(warning.Id, there.Condition)] = levels;
        var quiet = new List<QuietLevels>();
        foreach (var pair in plan.Quiet)
        {
            var on = Levels(pair.On, $"quiet span of {pair.Condition}, on", inputs, fullScale, problems);
            var off = Levels(pair.Off, $"quiet span of {pair.Condition}, off", inputs, fullScale, problems);
            if (on is not null && off is not null) quiet.Add(new(pair.Condition, on, off));
        }
        return new(warnings, quiet, problems) { Under = under };
    }

    /// <summary>A sound less its background, in the bands in which it stands over it; null when it cannot be measured or stands over it nowhere.</summary>
    private static Dictionary<Band, double>? Sound(NamedSpan span, NamedSpan? quiet, string what, TrialInputs inputs, IReadOnlyDictionary<string, double> fullScale, List<Problem> problems)
    {
        var sound = Levels(span, what, inputs, fullScale, problems);
        var background = quiet is { } b ? Levels(b, $"background of {what}", inputs, fullScale, problems) : null;
        if (sound is null) return null;
        // No warning speaks below 100 Hz, and there a few seconds leave more than 1 dB of a band to chance.
        var left = sound.Where(s => s.Key.ExactMidband.Hertz > 95).Select(s => (s.Key, Level: background is not null && background.TryGetValue(s.Key, out var floor) ? Without(s.Value, floor) : s.Value))
            .Where(s => s.Level is not null).ToDictionary(s => s.Key, s => s.Level!.Value);
        if (left.Count > 0) return left;
        problems.Add(new("LIS-012", Severity.Warning, what, "no band in which the sound stands 3 dB over its background", "a sound that stands over the background",
            "Record it again on the ground with everything else off, or nearer to where it sounds."));
        return null;
    }

    private static double? Without(double level, double floor) => level - floor < LeastGap ? null : 10 * Math.Log10(Math.Pow(10, level / 10) - Math.Pow(10, floor / 10));

    /// <summary>Mean band levels of the ear channels over a span, dB; null when it cannot be measured.</summary>
    private static Dictionary<Band, double>? Levels(NamedSpan span, string what, TrialInputs inputs, IReadOnlyDictionary<string, double> fullScale, List<Problem> problems)
    {
        if (inputs.Kept.TryGetValue(span.Recording, out var kept))
        {
            var there = inputs.Document.ChannelsOf(inputs.Document.Recordings.First(r => r.Id == span.Recording)).Where(c => !c.Outside).Select(c => kept.Span(c.Number, span.From, span.To)?.With(fullScale.GetValueOrDefault(c.Id)).Bands).OfType<IReadOnlyDictionary<Band, double>>().ToList();
            if (there.Count == 0) problems.Add(KeptSound.OtherSpan(what, span.From, span.To, kept));
            return there.Count == 0 ? null : Mean(there);
        }
        // A recording that could not be opened has a problem of its own already.
        if (!inputs.Recordings.TryGetValue(span.Recording, out var recording) || recording.Samples is not { } samples) return null;
        var first = (long)Math.Round(span.From * samples.SampleRate);
        var count = (long)Math.Round((span.To - span.From) * samples.SampleRate);
        var ears = inputs.Document.ChannelsOf(inputs.Document.Recordings.First(r => r.Id == span.Recording)).Where(c => !c.Outside && c.Number <= samples.Channels).ToList();
        if (first + count > samples.Frames)
        {
            problems.Add(new("LIS-010", Severity.Error, what, string.Create(CultureInfo.InvariantCulture, $"a span from {span.From:0.###} s to {span.To:0.###} s of {recording.Name}"),
                string.Create(CultureInfo.InvariantCulture, $"a span inside the recording, which is {(double)samples.Frames / samples.SampleRate:0.######} s long"), "Correct the two times."));
            return null;
        }
        if (ears.Count == 0)
        {
            problems.Add(new("LIS-011", Severity.Error, what, $"{recording.Name} without the channel of an ear microphone", "a recording with the ear microphone", "Name a recording made with the microphone at the ear."));
            return null;
        }
        var each = ears.Select(c => TakeMeasurement.Levels(c.Id, LevelAnalysis.Measure(samples, c.Number - 1, first, count, new LevelSettings { Octaves = false }), fullScale.GetValueOrDefault(c.Id)).Bands).ToList();
        return Mean(each);
    }

    private static Dictionary<Band, double> Mean(List<IReadOnlyDictionary<Band, double>> each) => each[0].Keys.Where(b => each.All(e => e.ContainsKey(b))).ToDictionary(b => b, b => each.Average(e => e[b]));
}
