namespace Hushtrial.Statistics.VarianceComponents;

/// <summary>What is believed about a standard deviation before the data: a density and the range it is integrated over.</summary>
public abstract record ScalePrior
{
    private protected ScalePrior() { }

    /// <summary>Lowest standard deviation of the range; the range is part of the definition.</summary>
    public abstract double Low { get; }

    /// <summary>Highest standard deviation of the range.</summary>
    public abstract double High { get; }

    /// <summary>Logarithm of the density of the standard deviation, up to a constant.</summary>
    public abstract double LogDensity(double sd);

    /// <summary>The same prior with every length multiplied by <paramref name="factor"/>.</summary>
    public abstract ScalePrior Scaled(double factor);
}

/// <summary>Half-t prior: weakly informative about small components (Gelman 2006). Range 0.06 to 8 scales.</summary>
/// <param name="Scale">Scale, in the unit of the data.</param>
/// <param name="DegreesOfFreedom">Degrees of freedom; 3 leaves a heavy tail.</param>
public sealed record HalfT(double Scale, double DegreesOfFreedom = 3) : ScalePrior
{
    /// <inheritdoc/>
    public override double Low => 0.06 * Scale;

    /// <inheritdoc/>
    public override double High => 8 * Scale;

    /// <inheritdoc/>
    public override double LogDensity(double sd)
    {
        var z = sd / Scale;
        return -0.5 * (DegreesOfFreedom + 1) * Math.Log(1 + z * z / DegreesOfFreedom);
    }

    /// <inheritdoc/>
    public override ScalePrior Scaled(double factor) => this with { Scale = Scale * factor };
}

/// <summary>Lognormal prior. Range ±3.2 standard deviations of the logarithm.</summary>
/// <param name="Median">Median, in the unit of the data.</param>
/// <param name="LogSd">Standard deviation of the natural logarithm.</param>
public sealed record LogNormalScale(double Median, double LogSd) : ScalePrior
{
    /// <inheritdoc/>
    public override double Low => Median * Math.Exp(-3.2 * LogSd);

    /// <inheritdoc/>
    public override double High => Median * Math.Exp(3.2 * LogSd);

    /// <inheritdoc/>
    public override double LogDensity(double sd)
    {
        var z = Math.Log(sd / Median) / LogSd;
        return -0.5 * z * z - Math.Log(sd);
    }

    /// <inheritdoc/>
    public override ScalePrior Scaled(double factor) => this with { Median = Median * factor };
}
