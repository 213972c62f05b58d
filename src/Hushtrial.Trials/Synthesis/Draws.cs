using Hushtrial.Statistics.Distributions;

namespace Hushtrial.Trials.Synthesis;

/// <summary>Random draws that depend on a seed alone and can be started again.</summary>
/// <param name="seed">The seed.</param>
public sealed class Draws(ulong seed)
{
    private readonly SeededGenerator _generator = new(seed);

    /// <summary>The seed they began with.</summary>
    public ulong Seed => seed;

    /// <summary>A standard normal draw.</summary>
    public double Normal() => _generator.NextNormal();

    /// <summary>A draw between 0 and 1.</summary>
    public double Uniform() => _generator.NextUniform();

    /// <summary>Draws of their own, for something that is rendered later or elsewhere.</summary>
    public Draws Split() => new(_generator.NextBits());

    /// <summary>The same draws from their beginning.</summary>
    public Draws Copy() => new(seed);
}
