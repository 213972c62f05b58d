using System.Text.Encodings.Web;
using System.Text.RegularExpressions;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;
using Hushtrial.Web.Language;

namespace Hushtrial.Web.Pages;

/// <summary>A formula as it stands on the page of a number.</summary>
/// <param name="Text">The formula, in symbols.</param>
/// <param name="Words">What it says, in English: a key of the texts.</param>
/// <param name="Source">Where it comes from.</param>
internal sealed partial record Formula(string Text, string Words, string Source)
{
    /// <summary>The formula as markup: what follows '_' stands below, what follows '^' in parentheses above the line.</summary>
    public string Markup
    {
        get
        {
            var markup = Index().Replace(HtmlEncoder.Default.Encode(Text), "<sub>${index}</sub>");
            for (var at = markup.IndexOf("^(", StringComparison.Ordinal); at >= 0; at = markup.IndexOf("^(", StringComparison.Ordinal))
            {
                var (end, depth) = (at + 2, 1);
                for (; depth > 0; end++) depth += markup[end] switch { '(' => 1, ')' => -1, _ => 0 };
                markup = $"{markup[..at]}<sup>{markup[(at + 2)..(end - 1)]}</sup>{markup[end..]}";
            }
            return markup;
        }
    }

    [GeneratedRegex("_(?<index>[A-Za-z]+)", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex Index();
}

/// <summary>The formulas behind a number, in the order of the work.</summary>
internal static class Formulas
{
    private static readonly Formula _energy = new("L = 10 lg( 1/T ∫ p² dt / p₀² )", Tongue.Key("Inside a take levels are energy means, always."), Tongue.Key("IEC 61672-1:2013."));
    private static readonly Formula _band = new("31 bands, G = 10^(3/10)", Tongue.Key("Bands are one-third octaves of class 1 with base-ten midband frequencies."), Tongue.Key("IEC 61260-1:2014, 5.2 to 5.5."));
    private static readonly Formula _model = new("y = a_f + b_f (t − t̄_f) − IL_c + h_c F + O + w(t) + E + e", Tongue.Key("All takes enter one linear mixed model in decibels: the course of the flight, the condition, and a scatter each for the fit, the occasion, the wander of the noise, the episode and the take. Their sizes are integrated out over weakly informative priors; the interval is the posterior's."), Tongue.Key("JCGM 101:2008 for the idea of propagating distributions; Kenward and Roger 1997 for the check beside it."));

    /// <summary>Those of a measured or predicted number.</summary>
    public static IEnumerable<Formula> Of(TrialResults results, bool predicted, bool band)
    {
        if (predicted)
        {
            yield return new("R = −10 lg Σ p_b 10^(−(m_b + s_b z)/10)", Tongue.Key("From published means and standard deviations, with one common z over all bands for one wearer: it is a prediction, not a measurement."), Tongue.Key("ISO 4869-2:2018 for the assumption of full correlation; p_b is the band's share of the energy in this noise."));
            yield break;
        }
        yield return results.Document.Quantity switch
        {
            MeasuredQuantity.LevelDifference => new("D = L_out − L_ear", Tongue.Key("Outside microphone minus ear microphone at the same moment."), Tongue.Key("Not an insertion loss: the head's own effect is in it.")),
            MeasuredQuantity.ActivePart => new("G = L_off − L_on", Tongue.Key("Electronics off minus on in the same fit."), Tongue.Key("ISO 4869-6:2019 for the idea.")),
            _ => results.Document.Design == TrialDesign.OutsideChannel
                ? new("IL = (L_ear − L_out)_open − (L_ear − L_out)_covered", Tongue.Key("Open minus covered, each less the outside microphone at the same moment, so that a change of the noise cancels."), Tongue.Key("ISO 11904-1:2002 for the microphone in a real ear."))
                : new("IL = L_open(t) − L_covered(t)", Tongue.Key("Open minus covered at the same ear; the open level at the time of the covered take follows from the open-ear takes around it."), Tongue.Key("ISO 11904-1:2002 for the microphone in a real ear.")),
        };
        yield return _energy;
        if (band) yield return _band;
        else yield return new("L_A = 10 lg Σ 10^((L + A)/10)", Tongue.Key("A-weighted levels are measured through the weighting filter, not added up from bands."), Tongue.Key("IEC 61672-1:2013, Annex E."));
        yield return _model;
    }
}
