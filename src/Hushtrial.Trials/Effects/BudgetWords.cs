namespace Hushtrial.Trials.Effects;

/// <summary>The sources of scatter in words for a budget.</summary>
internal static class BudgetWords
{
    public static string Of(string scatter) => scatter switch
    {
        Priors.Occasion => "occasion: the same device on another flight",
        Priors.Wander => "drift and wander of the noise between takes",
        Priors.Episode => "microphone put back in place",
        Priors.Take => "sampling inside takes",
        Priors.Wearer => "differences between wearers",
        Priors.ActiveFit => "the active part differing from donning to donning",
        Priors.Flight => "outside microphone put back between flights",
        Priors.Switching => "changes inside a donning beside the switching",
        Priors.Fit => "putting the device on (donning)",
        _ => "putting the device on (donning):" + scatter[Priors.Fit.Length..],
    };
}
