using Hushtrial.Signals.Recordings;
using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;

namespace Hushtrial.Store.Tests.Library;

/// <summary>A library in a folder of its own, with what tests put into it.</summary>
internal sealed class LibraryFixture : IDisposable
{
    public LibraryFixture(LibraryLimits? limits = null) => (Limits, Library) = (limits, TrialLibrary.Open(At("library"), TimeProvider.System, limits));

    public string Folder { get; } = Directory.CreateTempSubdirectory("library-").FullName;

    public TrialLibrary Library { get; private set; }

    private LibraryLimits? Limits { get; }

    public void Dispose()
    {
        Library.Dispose();
        Directory.Delete(Folder, recursive: true);
    }

    public string At(string name) => Path.Combine(Folder, name);

    public void Reopen()
    {
        Library.Dispose();
        Library = TrialLibrary.Open(At("library"), TimeProvider.System, Limits);
    }

    public StoredTrial Create(string title = "Two on a tractor") => Library.Create(TrialDraft.Empty(title), "Begun", "me");

    public StoredTrial Edit(StoredTrial trial, DraftEdit edit) => Assert.IsType<EditOutcome.Saved>(Library.Edit(trial.Id, trial.Revision, edit, "me")).Trial;

    /// <summary>A recording of noise: a WAV of two channels and 24 bits.</summary>
    public static byte[] Recording(int frames = 4800, uint seed = 7)
    {
        using var bytes = new MemoryStream();
        using (var writer = new WaveWriter(bytes, 48000, 2, WaveSampleFormat.Integer24))
        {
            var samples = new double[2 * frames];
            for (var n = 0; n < samples.Length; n++)
            {
                seed = (1664525 * seed) + 1013904223;
                samples[n] = ((int)seed >> 10) / 8388608.0;
            }
            writer.Write(samples);
        }
        return bytes.ToArray();
    }

    public UploadState Upload(Guid trial, string name, byte[] bytes)
    {
        var ticket = Library.BeginUpload(trial, name, bytes.Length, "me");
        Assert.True(ticket.Upload is not null, ticket.Problem?.ToString());
        return Append(ticket.Upload.Value, 0, bytes);
    }

    public UploadState Append(Guid upload, long offset, byte[] bytes) => Library.AppendAsync(upload, offset, new MemoryStream(bytes), CancellationToken.None).GetAwaiter().GetResult()!;
}
