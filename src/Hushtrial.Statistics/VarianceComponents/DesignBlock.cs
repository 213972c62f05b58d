namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>Observations that no kernel connects with any other: their covariance is factored on its own.</summary>
internal sealed class DesignBlock
{
    private DesignBlock(int[] members, int[] columns, double[] design, KernelEntry[][] kernels, double[] perReplicate)
    {
        Members = members;
        Columns = columns;
        Design = design;
        Kernels = kernels;
        PerReplicate = perReplicate;
    }

    /// <summary>Indices of the observations.</summary>
    public int[] Members { get; }

    /// <summary>Positions, among the factored columns, of those that are not zero here.</summary>
    public int[] Columns { get; }

    /// <summary>Those columns, one after another.</summary>
    public double[] Design { get; }

    /// <summary>By component, the entries of the lower triangle that are not zero.</summary>
    public KernelEntry[][] Kernels { get; }

    /// <summary>1 / count of every observation.</summary>
    public double[] PerReplicate { get; }

    /// <summary>Number of observations.</summary>
    public int Size => Members.Length;

    public static List<DesignBlock> Split(double[,] columns, int[] factored, IReadOnlyList<VarianceComponent> components, ReplicateScatter replicates)
    {
        var m = columns.GetLength(0);
        var label = Enumerable.Range(0, m).ToArray();
        foreach (var component in components)
            for (var i = 0; i < m; i++)
                for (var j = 0; j < i; j++)
                    if (component.Kernel[i, j] != 0) Join(label, i, j);
        return [.. Enumerable.Range(0, m).GroupBy(i => label[i]).Select(g => Build([.. g], columns, factored, components, replicates))];
    }

    private static void Join(int[] label, int i, int j)
    {
        int from = Math.Max(label[i], label[j]), to = Math.Min(label[i], label[j]);
        if (from == to) return;
        for (var k = 0; k < label.Length; k++)
            if (label[k] == from) label[k] = to;
    }

    private static DesignBlock Build(int[] members, double[,] columns, int[] factored, IReadOnlyList<VarianceComponent> components, ReplicateScatter replicates)
    {
        var present = Enumerable.Range(0, factored.Length).Where(c => members.Any(i => columns[i, factored[c]] != 0)).ToArray();
        var design = new double[present.Length * members.Length];
        for (var c = 0; c < present.Length; c++)
            for (var i = 0; i < members.Length; i++) design[c * members.Length + i] = columns[members[i], factored[present[c]]];
        var kernels = components.Select(component =>
        {
            var entries = new List<KernelEntry>();
            for (var i = 0; i < members.Length; i++)
                for (var j = 0; j <= i; j++)
                    if (component.Kernel[members[i], members[j]] is var value and not 0) entries.Add(new(i * members.Length + j, value));
            return entries.ToArray();
        }).ToArray();
        return new(members, present, design, kernels, [.. members.Select(i => 1.0 / replicates.Counts[i])]);
    }
}

/// <summary>One entry of a kernel's lower triangle: row × size + column, and the value.</summary>
internal readonly record struct KernelEntry(int Position, double Value);
