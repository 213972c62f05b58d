using Hushtrial.Cli;

var r = await CommandTree.RunAsync(args, Edge.OfThisProcess());
if (Environment.GetEnvironmentVariable("JITI") is not null) Console.Error.WriteLine($"jit {System.Runtime.JitInfo.GetCompiledMethodCount()} methods, {System.Runtime.JitInfo.GetCompilationTime().TotalMilliseconds:F0} ms, this thread {System.Runtime.JitInfo.GetCompilationTime(true).TotalMilliseconds:F0}; up {(DateTime.Now - System.Diagnostics.Process.GetCurrentProcess().StartTime).TotalMilliseconds:F0}");
return r;
