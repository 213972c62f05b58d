using System.CommandLine;
using Hushtrial.Trials.Document;
using Hushtrial.Store.Files;
using Hushtrial.Store;

namespace Hushtrial.Cli.Commands;

/// <summary>Writes an empty trial document with every field explained.</summary>
internal static class NewCommand
{
    public static Command Build(Edge edge)
    {
        var folder = new Argument<string>("FOLDER") { Description = "folder for the new trial; made when it does not exist" };
        var command = new Command("new", "Write an empty trial document with every field explained. Example: hushtrial new spring-trial") { folder };
        command.SetAction(parsed => Run(edge, parsed.GetRequiredValue(folder), CommandTree.AsJson(parsed)));
        return command;
    }

    /// <summary>A name as a shell takes it for one word.</summary>
    private static string Quoted(string name) => name.All(c => char.IsLetterOrDigit(c) || c is '-' or '_' or '.' or '/' or '\\' or ':') ? name : name.Contains('"', StringComparison.Ordinal) ? $"'{name}'" : $"\"{name}\"";

    private static int Run(Edge edge, string folder, bool json)
    {
        var path = Path.Combine(folder, TrialFolder.DocumentName);
        if (File.Exists(path)) throw new WrongUseException($"'{path}' exists already; nothing was written.");
        Output.Write(path, TrialDocumentTemplate.Text());
        return new Answer(edge, json).Give(BelongingFiles.Proposals(folder, null),
            w => w.WriteString("document", path),
            t => t.WriteLine($"{path} is written. Fill it in, put the recordings beside it, then: hushtrial check {Quoted(folder)}"));
    }
}
