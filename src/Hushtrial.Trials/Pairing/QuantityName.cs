using System.Globalization;
using Hushtrial.Quantities;

namespace Hushtrial.Trials.Pairing;

/// <summary>Names of the quantities that go through the estimator, each on its own.</summary>
public static class QuantityName
{
    /// <summary>A-weighted level.</summary>
    public const string A = "LA";

    /// <summary>A-weighted level referred to the diffuse field.</summary>
    public const string FieldA = "LA field";

    /// <summary>C-weighted level referred to the diffuse field.</summary>
    public const string FieldC = "LC field";

    /// <summary>C-weighted level.</summary>
    public const string C = "LC";

    /// <summary>Level of the noise within a twelfth of an octave of a frequency, tones left out, for example 'N 125'.</summary>
    public static string Near(double hertz) => string.Create(CultureInfo.InvariantCulture, $"N {hertz:0.###}");

    /// <summary>Unweighted level of one band, for example 'B3rd 125'.</summary>
    public static string Of(Band band) => string.Create(CultureInfo.InvariantCulture, $"B{(band.Fraction == BandFraction.Octave ? "oct" : "3rd")} {band.NominalHertz}");
}
