using Hushtrial.Cli;
using Hushtrial.Signals.Levels;

// The engine is compiled while the arguments are read and the file is opened: a fifth of a short command.
if (args is ["levels", _, ..]) _ = Task.Run(EngineStart.Prepare);
return await CommandTree.RunAsync(args, Edge.OfThisProcess());
