using System.Text;
using Hushtrial.Store;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Cli.Files;

/// <summary>The work was stopped, and what is left of it is worth a word.</summary>
internal sealed class StoppedException(string message) : OperationCanceledException(message);

/// <summary>The folder of a demo: written where no trial is, and over the very same demo.</summary>
internal sealed class DemoFolder
{
    private readonly string _folder, _text;
    private readonly IReadOnlyList<SyntheticRecording> _recordings;

    private DemoFolder(string folder, string text, IReadOnlyList<SyntheticRecording> recordings) => (_folder, _text, _recordings) = (folder, text, recordings);

    /// <summary>Whether this very demo, its document unchanged, was there before.</summary>
    public bool IsThere { get; private init; }

    /// <summary>Path of the document.</summary>
    public string DocumentPath => Path.Combine(_folder, TrialFolder.DocumentName);

    /// <summary>Looks what is in the folder; writes nothing.</summary>
    /// <exception cref="WrongUseException">Another trial is there, or a recording of a name that the demo needs.</exception>
    public static DemoFolder Of(string folder, TrialDocument document, IReadOnlyList<SyntheticRecording> recordings)
    {
        var text = TrialDocumentWriter.Write(document);
        var path = Path.Combine(folder, TrialFolder.DocumentName);
        var there = new FileInfo(path) is { Exists: true } or { LinkTarget: not null };
        // A text that is longer is another one.
        if (there && Encoding.UTF8.GetString(SmallFile.ReadBeginning(path, (4 * text.Length) + 1)) != text)
            throw new WrongUseException($"'{path}' exists already and is not what this demo writes; nothing was written. Name another folder.");
        if (!there && recordings.Select(r => Path.Combine(folder, r.File)).FirstOrDefault(File.Exists) is { } sound)
            throw new WrongUseException($"'{sound}' exists already; nothing was written. Name another folder.");
        return new(folder, text, recordings) { IsThere = there };
    }

    /// <summary>Writes document and recordings.</summary>
    /// <exception cref="WrongUseException">The folder cannot be written.</exception>
    /// <exception cref="StoppedException">It was stopped.</exception>
    public void Write(IProgress<double>? progress, CancellationToken cancellation)
    {
        // The document goes first: by it the next demo knows the beginnings of this one.
        Output.Write(DocumentPath, _text);
        Stoppable(() => { SyntheticFiles.Write(_recordings, _folder, progress, cancellation); return 0; });
    }

    /// <summary>Does a part of the work; who stops it is told where its beginnings lie.</summary>
    /// <exception cref="StoppedException">It was stopped.</exception>
    public T Stoppable<T>(Func<T> work)
    {
        try
        {
            return work();
        }
        catch (OperationCanceledException)
        {
            throw new StoppedException($"stopped; the beginnings of the demo lie in '{_folder}'. Run the same command again, or delete the folder.");
        }
    }
}
