using Hushtrial.Cli;

return await CommandTree.RunAsync(args, Edge.OfThisProcess());
