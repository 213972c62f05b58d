using System.Globalization;
using System.Text;
using Hushtrial.Cli.Files;
using Hushtrial.Store;
using Hushtrial.Store.Files;
using Hushtrial.Trials.Synthesis;

namespace Hushtrial.Cli.Commands;

/// <summary>Makes the demo of whole flights: recordings, a document without takes, and what was really heard when.</summary>
internal static class ContinuousDemo
{
    /// <summary>Name of the file that says what was really heard.</summary>
    public const string TruthName = "truth-spans.csv";

    public static int Run(Edge edge, string path, string scenario, ulong seed, bool json, CancellationToken cancellation)
    {
        if (scenario != "helicopter") throw new WrongUseException("--continuous belongs to the helicopter; the tractor has noted readings only.");
        var (document, recordings, truth) = ContinuousFlights.Make(seed);
        var place = DemoFolder.Of(path, document, recordings);
        Progressing.Run(edge, "Making the recordings", p => { place.Write(p, cancellation); return 0; });
        var file = place.DocumentPath;
        Output.Write(Path.Combine(path, TruthName), Truth(truth));
        return new Answer(edge, json).Give([], w =>
        {
            w.WriteString("folder", path);
            w.WriteString("document", file);
            w.WriteString("truth", Path.Combine(path, TruthName));
            w.WriteBoolean("written_anew", place.IsThere);
        }, t =>
        {
            t.WriteLine($"Trial      {file}, three flights recorded from start to landing, no take marked{(place.IsThere ? DemoCommand.Anew : "")}");
            t.WriteLine($"Truth      {Path.Combine(path, TruthName)}");
            t.WriteLine($"Next       hushtrial find {path}");
        });
    }

    private static string Truth(IReadOnlyList<FlightScript> flights)
    {
        var text = new StringBuilder("run,from_s,to_s,condition,donning,card_row\n");
        foreach (var flight in flights)
            foreach (var t in flight.Truth)
                text.Append(CultureInfo.InvariantCulture, $"{flight.Run},{t.From:0.000},{t.To:0.000},{t.Condition},{t.Donning},{t.Row}\n");
        return text.ToString();
    }
}
