namespace Hushtrial.Trials.Results;

/// <summary>The A-weighted answers without any assumed scatter: restricted maximum likelihood with Kenward-Roger degrees of freedom.</summary>
/// <param name="Scatters">Estimated standard deviations by name, dB.</param>
/// <param name="Losses">Loss by identity of the condition.</param>
/// <param name="Pairs">Differences, first minus second, in the order of the trial's pairs.</param>
public sealed record PriorFreeResult(IReadOnlyList<KeyValuePair<string, double>> Scatters, IReadOnlyList<PriorFreeRow> Losses, IReadOnlyList<PriorFreeRow> Pairs);

/// <summary>One answer of the prior-free check.</summary>
/// <param name="First">The condition, or the first of a pair.</param>
/// <param name="Second">The second of a pair; null for a loss.</param>
/// <param name="Value">Estimate, dB.</param>
/// <param name="StandardError">Kenward-Roger standard error, dB.</param>
/// <param name="DegreesOfFreedom">Kenward-Roger degrees of freedom.</param>
/// <param name="Low">Lower 95 % limit, dB.</param>
/// <param name="High">Upper 95 % limit, dB.</param>
public sealed record PriorFreeRow(string First, string? Second, double Value, double StandardError, double DegreesOfFreedom, double Low, double High);
