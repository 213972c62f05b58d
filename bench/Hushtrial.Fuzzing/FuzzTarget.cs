using Hushtrial.Fuzzing.Mutation;

namespace Hushtrial.Fuzzing;

/// <summary>One reader under attack.</summary>
/// <param name="Name">Its name on the command line and in the kept corpus.</param>
/// <param name="MostBytes">Inputs grow no longer than this.</param>
/// <param name="Seeds">Inputs to begin with, from the corpus of the project.</param>
/// <param name="Mutate">Changes one input; may take parts of another.</param>
/// <param name="Execute">Reads the input and checks what must hold of any answer. True when the input passed the first door: a known signature, a tree, a table,
/// an archive. Throws <see cref="BrokenPropertyException"/> where an answer cannot be right; any other exception is a finding too.</param>
internal sealed record FuzzTarget(string Name, int MostBytes, Func<string, IReadOnlyList<byte[]>> Seeds, Mutator Mutate, Func<byte[], bool> Execute)
{
    public static IReadOnlyList<FuzzTarget> All { get; } =
    [
        Targets.RecordingTarget.Target, Targets.DocumentTarget.Target, Targets.DraftTarget.Target, Targets.LogTarget.Target, Targets.TableTarget.Readings, Targets.TableTarget.Cabins,
        Targets.TableTarget.CabinLists, Targets.ArchiveTarget.Target, Targets.HistoryTarget.Target,
        Targets.CalculationTarget.Target, Targets.CardTarget.Target, Targets.CalibrationTarget.Documents, Targets.CalibrationTarget.Sounds,
    ];
}

/// <summary>An answer that cannot be right.</summary>
internal sealed class BrokenPropertyException(string message) : Exception(message)
{
    public static void Unless(bool holds, string message)
    {
        if (!holds) throw new BrokenPropertyException(message);
    }
}
