using System.Globalization;
using Hushtrial.Fuzzing;

// Attacks the readers with damaged input, guided by the branches that an input takes. Arguments:
//   TARGET [--executions N] [--seconds S] [--seed N] [--corpus FOLDER] [--findings FOLDER] [--keep FILE.zip]
//   list
// Exit code 0: nothing found; 1: something was found; 2: wrong use.
// Before anything else in the copy: instrumented code writes into the map from its first branch on.
if (Instrumentation.IsCopy) EdgeMap.Instance.Clear();
if (args.Length == 0 || args[0] == "list" || FuzzTarget.All.FirstOrDefault(t => t.Name == args[0]) is not { } target)
{
    foreach (var t in FuzzTarget.All) Console.WriteLine(t.Name);
    return args is ["list"] ? 0 : 2;
}
string Option(string name, string otherwise) => Array.IndexOf(args, name) is > 0 and var at && at + 1 < args.Length ? args[at + 1] : otherwise;
if (!Instrumentation.IsCopy) return Instrumentation.RunCopy(args);
var run = new FuzzRun(target, ulong.Parse(Option("--seed", "1"), CultureInfo.InvariantCulture), Option("--findings", "findings"));
run.Run(Option("--corpus", "corpus"), long.Parse(Option("--executions", "100000"), CultureInfo.InvariantCulture), TimeSpan.FromSeconds(double.Parse(Option("--seconds", "1e6"), CultureInfo.InvariantCulture)));
if (Option("--keep", "") is { Length: > 0 } keep) KeptCorpus.Write(keep, run.Corpus);
return run.Found.Count == 0 ? 0 : 1;
