namespace Hushtrial.Trials.Effects;

/// <summary>Something known to be uncertain that does not average out: a calibration, a microphone's response, a noise correction.</summary>
/// <param name="Name">The source, in words for a budget.</param>
/// <param name="StandardUncertainty">Its standard uncertainty, dB.</param>
/// <param name="Everywhere">How a reading moves when the source moves by 1 dB, for all states of the ear that are not named in <paramref name="Particular"/>.</param>
/// <param name="Particular">The same for single conditions, or 'open'.</param>
/// <remarks>The sensitivity of a result follows from those of the levels it is made of. A source that moves all levels alike therefore cancels in
/// an insertion loss by construction; one that moves a single condition does not.</remarks>
public sealed record UncertaintySource(string Name, double StandardUncertainty, double Everywhere, IReadOnlyDictionary<string, double> Particular)
{
    private static readonly Dictionary<string, double> None = [];

    /// <summary>A source that moves every level alike: calibration, gain, response of the one microphone in one band.</summary>
    public static UncertaintySource SharedByAll(string name, double standardUncertainty) => new(name, standardUncertainty, 1, None);

    /// <summary>A source that moves the levels of one condition (or of 'open') only: a noise correction, a cable under the cushion.</summary>
    public static UncertaintySource OfOne(string condition, string name, double standardUncertainty) =>
        new(name, standardUncertainty, 0, new Dictionary<string, double>(StringComparer.Ordinal) { [condition] = 1 });

    /// <summary>A source that moves the reference alone: in a level difference, what is wrong with the outside microphone.</summary>
    public static UncertaintySource OfReference(string name, double standardUncertainty) => OfOne(Document.TrialDocument.OpenEar, name, standardUncertainty);

    /// <summary>A source that moves every covered level alike and the open ear not at all: drift of gain between open and device, a cable under every cushion.</summary>
    public static UncertaintySource OfCovered(string name, double standardUncertainty) =>
        new(name, standardUncertainty, 1, new Dictionary<string, double>(StringComparer.Ordinal) { [Document.TrialDocument.OpenEar] = 0 });

    /// <summary>Sensitivity of a level.</summary>
    /// <param name="condition">The condition, or 'open'.</param>
    public double SensitivityOf(string condition) => Particular.TryGetValue(condition, out var s) ? s : Everywhere;

    /// <summary>Standard uncertainty that the source gives to a combination of levels, dB, with the sign of its sensitivity.</summary>
    public double ContributionTo(LevelContrast contrast) => StandardUncertainty * contrast.Weights.Sum(w => w.Value * SensitivityOf(w.Key));
}

/// <summary>What is known about one quantity from elsewhere than its readings.</summary>
/// <param name="Sources">Uncertainties that do not average out.</param>
/// <param name="TakeScatterFloor">Lower bound of the scatter of a take, dB, from the level history inside takes; 0: none.</param>
public sealed record QuantityKnowledge(IReadOnlyList<UncertaintySource> Sources, double TakeScatterFloor = 0)
{
    /// <summary>Nothing known.</summary>
    public static QuantityKnowledge None { get; } = new([]);
}
