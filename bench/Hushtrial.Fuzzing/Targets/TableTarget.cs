using System.Text;
using Hushtrial.Fuzzing.Mutation;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Effects;

namespace Hushtrial.Fuzzing.Targets;

/// <summary>Small tables and lists: readings for the estimator, cabin noises as a table and as YAML.</summary>
internal static class TableTarget
{
    private const string Readings1 = """
        # hand-noted readings, tractor in the vineyard
        flight,clock_s,episode,donning,condition,take,LA,LC,1000
        F1,10,e1,,open,1,86.2,99.1,80.0
        F1,40,e1,d1,alder,2,70.1,88.0,61.5
        F1,70,e2,d2,birch,3,72.9,,NA
        F2,15,e1,d3,alder,4,69.0,87.5,60.0
        F2,45,e1,,open,5,85.8,98.7,79.1
        """;

    private const string Readings2 = "wearer;condition;LA;remarks\nw1;open;86,2;\nw1;alder;70,1 dB;first\n\nw2;OPEN;\"85,9\";\nw2;\"al\"\"der\";-;x\n";

    private const string Cabin1 = "cabin;hz;level\nhover;31.5;102,5\nhover;63;104\nhover;125;101\ncruise;1000;88\ncruise;1250;87\n";

    private const string Cabin2 = "hz,level\n125,100.5\n250,98\n500,95\n1000,92\n";

    private const string CabinList = """
        hushtrial_cabins: 1
        cabins:
          - id: hover
            name: Hover, doors shut
            bands: { 63: 104, 125: 101, 250: 97, 500: 93, 1000: 88 }
            level_a: 94
          - { id: cruise, fraction: third, bands: { 1000: 88, 1250: 87.5 }, uncertainty_db: 1 }
        """;

    private static readonly string[] _words = ["flight", "clock_s", "episode", "donning", "condition", "take", "wearer", "LA", "LC", "1000", "open", "alder", "birch", "remarks", "NA", "cabin", "hz", "midband_hz", "level", "level_db", "F1", "-", "\"", "\"\"", "#"];

    public static FuzzTarget Readings { get; } = new("readings", 4096, _ => [Encoding.UTF8.GetBytes(Readings1), Encoding.UTF8.GetBytes(Readings2)], new TextMutation(_words).Mutate, ReadReadings);

    public static FuzzTarget Cabins { get; } = new("cabins", 2048, _ => [Encoding.UTF8.GetBytes(Cabin1), Encoding.UTF8.GetBytes(Cabin2)], new TextMutation(_words).Mutate, ReadCabins);

    public static FuzzTarget CabinLists { get; } = new("cabin-lists", 4096, _ => [Encoding.UTF8.GetBytes(CabinList)], new TextMutation(DocumentTarget.Words).Mutate, ReadCabinList);

    private static bool ReadReadings(byte[] input)
    {
        using var text = new StreamReader(new DocumentTarget.Trickle(input));
        var read = ReadingsCsv.Read(text, "t.csv");
        Places.Check(read.Problems, input.Length, Places.LinesIn(input));
        BrokenPropertyException.Unless(read.Readings.Count == read.Lines.Count, "readings without lines");
        BrokenPropertyException.Unless(read.Lines.Zip(read.Lines.Skip(1)).All(p => p.First < p.Second), "lines out of order");
        BrokenPropertyException.Unless(read.Readings.Count > 0 || read.Problems.Count > 0, "no reading, and no reason");
        foreach (var r in read.Readings)
            BrokenPropertyException.Unless(r.Condition.Length > 0 && r.Episode.Length > 0 && (r.Clock is null || double.IsFinite(r.Clock.Value)) && r.Values.All(v => read.Quantities.Contains(v.Key) && v.Value is >= -120 and <= 180), $"the reading {r}");
        return read.Readings.Count > 0;
    }

    private static bool ReadCabins(byte[] input)
    {
        var (cabins, problems) = CabinTable.Read(Encoding.UTF8.GetString(input), "t.csv", "t");
        Places.Check(problems, input.Length, Places.LinesIn(input));
        CheckCabins(cabins, problems);
        return cabins.Count > 0;
    }

    private static bool ReadCabinList(byte[] input)
    {
        using var stream = new DocumentTarget.Trickle(input);
        var (cabins, problems) = CabinListReader.ReadYaml(stream, "t.yaml");
        Places.Check(problems, input.Length, Places.LinesIn(input));
        CheckCabins(cabins, problems);
        return !problems.Any(p => p.Code is "DOC-001" or "DOC-002" or "DOC-003" or "DOC-004" or "DOC-005" or "DOC-006" or "DOC-007" or "DOC-008");
    }

    private static void CheckCabins(IReadOnlyList<CabinEntry> cabins, IReadOnlyList<Problem> problems)
    {
        BrokenPropertyException.Unless(cabins.Count > 0 != problems.Any(p => p.Severity == Severity.Error), "cabins and an error, or neither");
        foreach (var c in cabins)
            BrokenPropertyException.Unless(c.Id.Length > 0 && c.Levels.All(l => double.IsFinite(l.Value) && l.Value is >= -100 and <= 200), $"the cabin {c.Id}");
    }
}
