namespace Hushtrial.Trials.Document;

/// <summary>The text of a new trial document.</summary>
public static class TrialDocumentTemplate
{
    /// <summary>The mark at the places a user has to fill in.</summary>
    internal const string FillIn = "FILL IN";
}
