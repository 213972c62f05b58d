using System.Text;
using Hushtrial.Quantities;
using Hushtrial.Store;
using Hushtrial.Store.Files;

namespace Hushtrial.Cli.Files;

/// <summary>Changes the text of a trial document in its file, and leaves what it does not touch as its writer left it.</summary>
internal static class DocumentChange
{
    private const int LargestDocument = 5_000_000;

    /// <summary>Reads the document, changes its text and writes it; nothing is written when the change is refused.</summary>
    /// <param name="path">The document.</param>
    /// <param name="what">What is to be written, for people: 'takes can be added'.</param>
    /// <param name="change">The new text, or why there is none.</param>
    /// <returns>Why it was refused; null when it is written.</returns>
    /// <exception cref="WrongUseException">The file cannot be read or written, or is not in UTF-8.</exception>
    public static Problem? Write(string path, string what, Func<string, (string? Text, Problem? Problem)> change)
    {
        string before;
        try
        {
            before = new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(SmallFile.Read(path, LargestDocument));
        }
        catch (DecoderFallbackException)
        {
            throw new WrongUseException($"'{path}' is not in UTF-8; {what} to UTF-8 text only. Save it as UTF-8 first.");
        }
        var (after, problem) = change(before);
        if (after is not null) Output.Write(path, after);
        return problem;
    }
}
