using System.CommandLine;
using System.Globalization;
using Hushtrial.Cli.Files;
using Hushtrial.Quantities;
using Hushtrial.Reporting.Exports;
using Hushtrial.Reporting.Wording;
using Hushtrial.Store.Files;
using Hushtrial.Trials;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Listening;

namespace Hushtrial.Cli.Commands;

/// <summary>Writes the cabin and what each device leaves of it as sounds.</summary>
internal static class HearCommand
{
    private const string Description = """
        The cabin and what each device leaves of it, as sounds: one loop each, made from the measured band losses, all at one low level.

        Writes 00-cabin.wav, a file for each condition, all-in-order.wav with cue points, and read-first.txt with the caution and the times.
        Speech and bursts that the checks found are left out. The levels are not those of the cabin: never turn up until it sounds as loud.
        Example: hushtrial hear spring-trial --to spring-sounds
        """;

    public static Command Build(Edge edge)
    {
        var trial = new Argument<string>("TRIAL") { Description = "a trial document, or the folder that holds one" };
        var to = new Option<string>("--to") { HelpName = "FOLDER", Required = true, Description = "folder for the sounds: a new or an empty one, or one of earlier sounds" };
        var speech = new Option<bool>("--with-speech") { Description = "leave speech and bursts in; whoever is heard must have agreed, and the local law on recording and passing on radio comes first" };
        var command = new Command("hear", Description) { trial, to, speech };
        command.SetAction((parsed, cancellation) => Task.FromResult(Run(edge, parsed.GetRequiredValue(trial), parsed.GetRequiredValue(to), parsed.GetValue(speech), CommandTree.AsJson(parsed), cancellation)));
        return command;
    }

    private static int Run(Edge edge, string trial, string to, bool withSpeech, bool json, CancellationToken cancellation)
    {
        using var folder = Progressing.Run(edge, "Reading", p => TrialFolder.Open(trial, p));
        if (!folder.Readable) return AnalyseCommand.Unreadable(edge, folder, json);
        var inputs = folder.ToInputs();
        var results = Progressing.Run(edge, "Analysing", p => Analysis.Run(inputs, p, cancellation));
        var set = ResidualSounds.Of(results, id => inputs.Recordings.GetValueOrDefault(id)?.Samples, withSpeech, cancellation);
        IReadOnlyList<ExportFile> files = set is null ? [] : ResidualClips.Files(set, results);
        HeardFolder.Write(to, files);
        List<Problem> problems = [.. results.Problems];
        if (set is null)
            problems.Add(new("HEA-001", Severity.Error, trial, ResidualPlan.Of(results).WhyNot ?? "neither a recording nor a spectrum of the open ear", "band losses, and a recording or band levels of the open ear", "Measure or note bands, and the open ear with them."));
        return new Answer(edge, json).Give(problems, w =>
        {
            w.WriteString("folder", set is null ? null : to);
            w.WriteStartArray("sounds");
            foreach (var (i, sound) in set?.Sounds.Index() ?? [])
            {
                w.WriteStartObject();
                w.WriteString("condition", sound.Condition);
                w.WriteString("file", files[i].Name);
                w.WriteNumber("level_a_re_full_scale", Math.Round(sound.LevelA, 3));
                w.WriteNumber("loss_a_in_this_sound", Math.Round(set!.Sounds[0].LevelA - sound.LevelA, 3));
                w.WriteNumber("largest_deviation_db", Math.Round(sound.WorstDeviation, 3));
                w.WriteNumber("share_from_untrusted_bands", Math.Round(sound.FilledShare, 4));
                w.WriteEndObject();
            }
            w.WriteEndArray();
            w.WriteStartArray("cautions");
            foreach (var caution in ResidualClips.Cautions) w.WriteStringValue(caution);
            w.WriteEndArray();
        }, t =>
        {
            if (set is null) return;
            t.WriteLine($"The sounds are in {to}");
            foreach (var (i, sound) in set.Sounds.Index())
                t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {files[i].Name}  {(sound.Condition == TrialDocument.OpenEar ? "the cabin" : $"{sound.Name}: {set.Sounds[0].LevelA - sound.LevelA:0.0} dB(A) less, bands within {sound.WorstDeviation:0.00} dB of the estimate")}"));
            foreach (var sentence in ResidualClips.Cautions) t.WriteLine(Words.Sentence(sentence));
        });
    }
}
