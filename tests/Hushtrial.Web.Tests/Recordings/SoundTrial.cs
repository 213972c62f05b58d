using Hushtrial.Signals.Recordings;

namespace Hushtrial.Web.Tests.Recordings;

/// <summary>A small trial with a recording: open ear and a device by turns, 15 s each, in steady noise; a calibrator's tone in a second one.</summary>
internal static class SoundTrial
{
    /// <summary>Seconds of one state.</summary>
    public const int Turn = 15;

    /// <summary>Takes that give a result: the open ear and the device, twice each.</summary>
    public const string FourTakes = "[{ id: T01, condition: open, recording: flight, from: 0:01, to: 0:13 }, { id: T02, condition: alder, fit: A1, recording: flight, from: 0:16, to: 0:28 }, "
        + "{ id: T03, condition: open, recording: flight, from: 0:31, to: 0:43 }, { id: T04, condition: alder, fit: A2, recording: flight, from: 0:46, to: 0:58 }, { id: T05, condition: open, recording: flight, from: 1:01, to: 1:13 }]";

    /// <summary>Brings it into the workspace.</summary>
    /// <param name="workspace">The workspace.</param>
    /// <param name="takes">Lines of 'takes:'; "[]" for none.</param>
    /// <param name="flight">More fields of the flight's recording, from ", " on.</param>
    /// <param name="seat">The entry of a second recorder's recording, 'seat.wav'; null for none.</param>
    /// <param name="comfort">Lines of 'comfort:'; "[]" for none.</param>
    public static Guid Bring(OpenedWorkspace workspace, string takes = "[]", string flight = "", string? seat = null, string comfort = "[]")
    {
        var folder = Directory.CreateTempSubdirectory("hushtrial-sound-");
        try
        {
            Write(Path.Combine(folder.FullName, "flight.wav"), Flight());
            Write(Path.Combine(folder.FullName, "tone.wav"), [.. Enumerable.Range(0, 8 * 48_000).Select(n => 0.05 * Math.Sqrt(2) * Math.Sin(2 * Math.PI * 1000 * n / 48_000.0))]);
            if (seat is not null) Write(Path.Combine(folder.FullName, "seat.wav"), new double[48_000]);
            File.WriteAllText(Path.Combine(folder.FullName, "trial.yaml"), $$"""
                hushtrial: 1
                trial: { title: Alder in a loud cabin, quantity: insertion-loss, design: sequential }
                channels: [{ id: left, where: ear, ear: left, number: 1 }]
                recordings:
                  - { id: flight, file: flight.wav, run: F1, starts: 10:05:00{{flight}} }
                  - { id: tone, file: tone.wav }
                {{(seat is null ? "" : "  - " + seat)}}
                calibrations: [{ channel: left, kind: tone, recording: tone, from: 0:01, to: 0:07, level_db: 94, hertz: 1000, when: before }]
                devices: [{ id: alder, name: Alder, kind: over-ear }]
                conditions: [{ id: alder, device: alder }]
                runs: [{ id: F1, name: First flight }]
                comfort: {{comfort}}
                takes: {{takes}}
                """);
            var outcome = workspace.Workspace.Library.ImportFolder(folder.FullName);
            return outcome.Trial?.Id ?? throw new InvalidOperationException(string.Join(' ', outcome.Problems));
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    /// <summary>Open, Alder, open, Alder, open. Under the device the high end is gone and the rest 15 dB lower.</summary>
    public static double[] Flight()
    {
        var random = new Random(3);
        var samples = new double[5 * Turn * 48_000];
        double low = 0, pink = 0;
        for (var n = 0; n < samples.Length; n++)
        {
            var white = (2 * random.NextDouble()) - 1;
            pink = (0.98 * pink) + (0.02 * white);
            low = (0.93 * low) + (0.07 * white);
            var covered = n / (Turn * 48_000) % 2 == 1;
            samples[n] = covered ? 0.18 * ((1.2 * pink) + (0.05 * low)) : (0.9 * pink) + (0.12 * white);
        }
        return samples;
    }

    /// <summary>Writes one channel as 16-bit WAV.</summary>
    public static void Write(string path, double[] samples)
    {
        using var stream = File.Create(path);
        using var writer = new WaveWriter(stream, 48_000, 1, WaveSampleFormat.Integer16);
        writer.Write(samples);
    }
}
