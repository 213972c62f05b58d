using Spectre.Console;

namespace Hushtrial.Cli;

/// <summary>Shows progress on standard error while long work runs, and only where somebody watches.</summary>
internal static class Progressing
{
    /// <summary>Runs the work; it reports the share that is done, 0 to 1.</summary>
    public static T Run<T>(Edge edge, string words, Func<IProgress<double>?, T> work)
    {
        if (!edge.ErrorIsTerminal) return work(null);
        var console = AnsiConsole.Create(new AnsiConsoleSettings { Out = new AnsiConsoleOutput(Console.Error) });
        return console.Progress().AutoClear(true).Start(context =>
        {
            var task = context.AddTask(Markup.Escape(words), maxValue: 1);
            return work(new Direct(share => task.Value = share));
        });
    }

    private sealed class Direct(Action<double> report) : IProgress<double>
    {
        public void Report(double value) => report(value);
    }
}
