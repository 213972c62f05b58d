using Hushtrial.Store;
using Hushtrial.Store.Library;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Web.Pages;

/// <summary>Brings a demo trial into the library, with its recordings made from their stated truth.</summary>
internal static class DemoTrial
{
    /// <summary>Makes the recordings, imports the folder and gives the trial's identity.</summary>
    public static Guid Bring(TrialLibrary library, SyntheticTrial demo)
    {
        using var folder = TemporaryFolder.Create() ?? throw new WrongUseException("no temporary folder can be made.");
        SyntheticFiles.Write(demo.Recordings, folder.Path);
        Output.Write(Path.Combine(folder.Path, TrialFolder.DocumentName), TrialDocumentWriter.Write(demo.Document));
        var outcome = library.ImportFolder(folder.Path);
        return outcome.Trial?.Id ?? throw new InvalidOperationException($"The demo could not be brought in: {string.Join(' ', outcome.Problems)}");
    }
}
