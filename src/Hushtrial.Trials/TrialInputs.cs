using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Logs;
using Hushtrial.Trials.Results;
using Hushtrial.Trials.Screening;

namespace Hushtrial.Trials;

/// <summary>What the edge opened for an analysis: the document, its recordings and what was wrong with them.</summary>
/// <param name="Document">The trial document, read without errors.</param>
/// <param name="Recordings">Opened recordings by their identity in the document; one that could not be read is absent.</param>
/// <param name="Files">Every input file with its hash, the document first.</param>
/// <param name="Problems">Problems of the document and of the recordings.</param>
/// <param name="Version">Version of the program, printed with the results.</param>
public sealed record TrialInputs(TrialDocument Document, IReadOnlyDictionary<string, Recording> Recordings, IReadOnlyList<InputFile> Files,
    IReadOnlyList<Problem> Problems, string Version)
{
    /// <summary>Opened level logs by their identity in the document; one that could not be read is absent.</summary>
    public IReadOnlyDictionary<string, LevelLog> Logs { get; init; } = new Dictionary<string, LevelLog>(StringComparer.Ordinal);

    /// <summary>What was kept of recordings whose sound was discarded, by their identity in the document.</summary>
    public IReadOnlyDictionary<string, KeptRecording> Kept { get; init; } = new Dictionary<string, KeptRecording>(StringComparer.Ordinal);
}
