using System.Text.RegularExpressions;

namespace Hushtrial.Trials.Document;

/// <summary>What is stated about automatic gain.</summary>
public enum GainStatement
{
    /// <summary>Nothing, or that it is not known.</summary>
    Unknown,

    /// <summary>Off, or that there is none.</summary>
    Off,

    /// <summary>On.</summary>
    On,
}

/// <summary>Reads what a document says about automatic functions of the measuring chain: words of a person, so that what is not understood counts as not known.</summary>
public static partial class StatedGain
{
    private const string Key = "automatic_functions";

    /// <summary>What the document states.</summary>
    public static GainStatement Of(TrialDocument document)
    {
        ArgumentNullException.ThrowIfNull(document);
        var clauses = document.Chain.Where(c => c.Key == Key).SelectMany(c => c.Value.Split([';', ',', '.', ':', '\n'], StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)).ToList();
        if (clauses.Exists(c => WholeOn().IsMatch(c) || (Subject().IsMatch(c) && On().IsMatch(c) && !Negated().IsMatch(c)))) return GainStatement.On;
        return clauses.Exists(c => Off().IsMatch(c) && !Doubt().IsMatch(c)) ? GainStatement.Off : GainStatement.Unknown;
    }

    [GeneratedRegex("^(on|yes)$", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture)]
    private static partial Regex WholeOn();

    [GeneratedRegex(@"\b(automatic|automatik|auto|agc|alc|all|everything)\b", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture)]
    private static partial Regex Subject();

    // Not the 'on' of 'on the recorder'.
    [GeneratedRegex(@"\b(on(?! (the|a|this|my|its|both|either)\b| \d)|enabled|eingeschaltet)\b", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture)]
    private static partial Regex On();

    [GeneratedRegex(@"\b(off|no|none|not|never|without|absent|disabled|aus|kein\w*|unknown)\b", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture)]
    private static partial Regex Negated();

    [GeneratedRegex(@"\b(off|no|none|never|without|absent|disabled|fixed|manual|aus|ausgeschaltet|kein\w*)\b", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture)]
    private static partial Regex Off();

    [GeneratedRegex(@"\b(not|unknown|unsure|unklar|nicht|no idea|perhaps|probably)\b|\?", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture)]
    private static partial Regex Doubt();
}
