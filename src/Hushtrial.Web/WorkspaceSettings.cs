namespace Hushtrial.Web;

/// <summary>How the workspace is opened.</summary>
/// <param name="Folder">The folder of the library: its database, its recordings, its key.</param>
/// <param name="Port">TCP port on the loopback interface; 0 for a free one.</param>
/// <param name="Clock">The clock that revisions are stamped with.</param>
public sealed record WorkspaceSettings(string Folder, int Port, TimeProvider Clock)
{
    /// <summary>Receives one line per event for the person at the terminal; null for silence.</summary>
    public TextWriter? Log { get; init; }
}
