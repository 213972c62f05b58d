using System.CommandLine;
using System.Text;
using System.Text.Json;
using Hushtrial.Cli;
using Hushtrial.Cli.Calculations;
using Hushtrial.Fuzzing.Mutation;
using Hushtrial.Quantities;
using Hushtrial.Store;

namespace Hushtrial.Fuzzing.Targets;

/// <summary>Numbers for one calculation, CSV or JSON on standard input, through the whole command. The first byte chooses the command.</summary>
internal static class CalculationTarget
{
    private static readonly string[][] _commands =
    [
        ["rating", "--subjects", "16"], ["claim", "--value", "15", "--at", "125", "--active-up-to", "500"], ["exposure"], ["loudness"], ["speech", "--procedure", "octave"], ["audible"], ["speech"], ["rating"],
    ];

    private static readonly string[] _texts =
    [
        "0hz,mean,sd,noise\n63,7.4,3.3,75\n125,10.0,3.6,84\n250,14.4,3.6,86\n500,19.6,4.6,88\n1000,22.8,4.0,97\n2000,29.6,6.2,99\n4000,38.8,7.4,97\n8000,34.1,5.2,96\n",
        "0{\"hz\":[125,250,500,1000,2000,4000,8000],\"mean\":[10,14,20,23,30,39,34],\"sd\":[3,3,4,4,6,7,5]}",
        "1hz,noise,passive\n63,104,9\n125,108,11\n250,100,18\n500,94,26\n1000,88,31\n",
        "2name,hours,level,outside,off_minutes\nstart,0.5,84,98,2\ncruise,3,78,96,6\n",
        "2{\"segments\":[{\"name\":\"start\",\"hours\":0.5,\"level\":84},{\"hours\":3,\"level\":78,\"uncertainty\":1}],\"rules\":\"niosh\"}",
        "3hz;level\n25;60,5\n31.5;61\n40;62\n50;63\n63;64\n80;65\n100;66\n125;66\n160;65\n200;64\n250;63\n315;62\n400;61\n500;60\n630;59\n800;58\n1000;57\n1250;56\n1600;55\n2000;54\n2500;53\n3150;52\n4000;51\n5000;50\n6300;49\n8000;48\n10000;47\n12500;46\n",
        "4hz,speech,noise\n250,50,70\n500,40,65\n1000,40,45\n2000,30,25\n4000,20,1\n8000,0,-15\n",
        "5hz,signal,noise,loss\n500,60,80,26\n1000,95,75,31\n2000,70,70,34\n",
        "6{\"hz\":[160,200,250,315,400,500,630,800,1000,1250,1600,2000,2500,3150,4000,5000,6300,8000],\"speech\":[50,50,50,48,47,46,45,44,43,42,41,40,38,36,34,32,30,28],\"noise\":[60,60,58,57,55,54,53,52,51,50,48,47,46,45,44,43,42,41]}",
        "7{\"bands\":[{\"hz\":500,\"mean\":19.6,\"sd\":4},{\"hz\":1000,\"mean\":22,\"sd\":4}]}",
        "0[{\"hz\":500,\"mean\":19.6},{\"hz\":1000,\"mean\":22}]",
    ];

    private static readonly string[] _words = ["hz", "midband_hz", "frequency", "mean", "sd", "noise", "level", "hours", "off_minutes", "outside", "signal", "loss", "speech", "passive", "threshold", "name", "rules", "null", "true", "{}", "[]", "\"\\ud800\"", "\"hz\":[1]", "1e999", "63", "125", "250", "500", "1000", "2000", "4000", "8000"];

    // One tree for all executions: to build it costs more than a calculation.
    private static readonly MemoryStream _output = new();
    private static readonly StringWriter _error = new();
    private static readonly Given _input = new();
    private static readonly Edge _edge = new(_output, _error, _input, TimeProvider.System, ErrorIsTerminal: false);
    private static readonly RootCommand _root = CommandTree.Build(_edge);

    public static FuzzTarget Target { get; } = new("calculations", 2048, _ => Seeds(), new TextMutation(_words).Mutate, Execute);

    private static byte[][] Seeds()
    {
        byte[][] seeds = [.. _texts.Select(Encoding.UTF8.GetBytes)];
        // The first execution of a command compiles it, which is no fault of the input.
        foreach (var seed in seeds) _ = Execute(seed);
        return seeds;
    }

    public static bool Execute(byte[] input)
    {
        if (input.Length == 0) return false;
        var command = _commands[input[0] % _commands.Length];
        var text = Encoding.UTF8.GetString(input.AsSpan(1));
        var parsed = CalculationInput.Parse(text, "t", "XYZ");
        foreach (var name in (string[])["hours", "value", "bands", "rules"])
        {
            BrokenPropertyException.Unless(parsed.Number(name) is not { } number || double.IsFinite(number), $"'{name}' is no finite number");
            _ = (parsed.Text(name), parsed.Numbers(name), parsed.Map(name));
        }
        foreach (var (band, value) in parsed.Bands("bands", parsed.Fraction("bands"), "level", "mean", "noise", "speech"))
            BrokenPropertyException.Unless(double.IsFinite(value), $"{value} at {band}");
        Places.Check(parsed.Problems, long.MaxValue, Places.LinesIn(input));
        _output.SetLength(0);
        _error.GetStringBuilder().Clear();
        _input.Text = new StringReader(text);
        int code;
        try
        {
            code = _root.Parse([.. command, "--format", "json"]).InvokeAsync(new InvocationConfiguration { Output = _edge.Out, Error = _error, EnableDefaultExceptionHandler = false }).GetAwaiter().GetResult();
        }
        // As the program says it at the command line: a wish that makes no sense with these numbers.
        catch (WrongUseException)
        {
            return false;
        }
        BrokenPropertyException.Unless(code is ExitCode.Done or ExitCode.Problems, $"{command[0]} ends with {code}: {_error.ToString().Split('\n')[0]}");
        using var json = JsonDocument.Parse(_output.ToArray());
        var told = json.RootElement.GetProperty("problems").EnumerateArray().Any(p => p.GetProperty("severity").GetString() == "error");
        BrokenPropertyException.Unless(told == (code == ExitCode.Problems), $"{command[0]} ends with {code} and {(told ? "an" : "no")} error");
        return code == ExitCode.Done;
    }

    /// <summary>Standard input of the execution at hand.</summary>
    private sealed class Given : TextReader
    {
        public TextReader Text { get; set; } = Null;

        public override int Read() => Text.Read();

        public override int Peek() => Text.Peek();

        public override string ReadToEnd() => Text.ReadToEnd();
    }
}
