using System.Runtime.InteropServices;
using Hushtrial.Store.Captures;
using Hushtrial.Store.Library;

namespace Hushtrial.Store.Victim;

/// <summary>A capture that goes on until it is killed, and says after every quarter of a second how much is kept.</summary>
public static class VictimCapture
{
    /// <summary>Sampling rate, Hz.</summary>
    public const int Rate = 48_000;

    /// <summary>Frames sent at once.</summary>
    public const int Piece = Rate / 4;

    /// <summary>The two channels of the frames from one on, as they are sent.</summary>
    public static byte[] Frames(long from, int count)
    {
        var samples = new float[2 * count];
        for (var i = 0; i < samples.Length; i++) samples[i] = (float)Math.Sin((2 * from) + i + 1) / 2;
        return MemoryMarshal.AsBytes(samples.AsSpan()).ToArray();
    }

    /// <summary>Goes on with a capture, or begins it when the identity is empty.</summary>
    public static void Run(string folder, Guid trial, Guid capture)
    {
        using var library = TrialLibrary.Open(folder, TimeProvider.System);
        using var shelf = new CaptureShelf(library, TimeProvider.System);
        using var output = new StreamWriter(Console.OpenStandardOutput()) { AutoFlush = true };
        var state = capture == Guid.Empty ? shelf.Begin(trial, "flight", new(Rate, 2, "test", new Dictionary<string, string>(StringComparer.Ordinal))) : shelf.Find(capture)!;
        output.WriteLine($"begun {state.Id}");
        while (true)
        {
            (_, var next) = shelf.Append(state.Id, state.Frames, Frames(state.Frames, Piece));
            state = next!;
            _ = shelf.Note(state.Id, new("event", state.Frames, null, null, null, "bump"));
            output.WriteLine(FormattableString.Invariant($"kept {state.Frames}"));
        }
    }
}
