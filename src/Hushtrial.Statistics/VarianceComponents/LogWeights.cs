namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>Weights of nodes from logarithms.</summary>
internal static class LogWeights
{
    /// <summary>Weights that sum to 1; the largest logarithm is taken out first, so nothing overflows.</summary>
    public static double[] Normalise(double[] logs)
    {
        var top = logs.Max();
        var weights = new double[logs.Length];
        var sum = 0.0;
        for (var i = 0; i < logs.Length; i++) sum += weights[i] = Math.Exp(logs[i] - top);
        for (var i = 0; i < logs.Length; i++) weights[i] /= sum;
        return weights;
    }

    /// <summary>Adds the priors (nodes are equally spaced in ln sd, hence the Jacobian ln sd) and the part of the replicates about their means.</summary>
    public static void AddPriorAndWithin(MixedDesign design, Response response, ScaleGrid grid, double[] logs)
    {
        var terms = new double[grid.Axes.Length][];
        for (var k = 0; k < terms.Length; k++)
        {
            var last = k == design.Components.Count;
            var prior = last ? design.Replicates.Prior : design.Components[k].Prior;
            terms[k] = [.. grid.Axes[k].Select(s => prior.LogDensity(Math.Exp(s)) + s + (last ? Within(design, response, s) : 0))];
        }
        for (var g = 0; g < logs.Length; g++)
            for (var k = 0; k < terms.Length; k++) logs[g] += terms[k][grid.Along(k, g)];
    }

    private static double Within(MixedDesign design, Response response, double logSd)
    {
        var variance = Math.Exp(2 * logSd) + design.Replicates.KnownVariance;
        var term = -0.5 * design.WithinDegreesOfFreedom * Math.Log(variance) - response.WithinSumOfSquares / (2 * variance);
        if (response.ReplicateFloor > 0)
        {
            var below = Math.Max(0, Math.Log(response.ReplicateFloor) - logSd);
            term -= 32 * below * below;
        }
        return term;
    }
}
