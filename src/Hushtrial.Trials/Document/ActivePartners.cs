namespace Hushtrial.Trials.Document;

/// <summary>Which condition with the electronics on belongs to which one with them off: the same device, worn with the same things.</summary>
public static class ActivePartners
{
    /// <summary>The mode that is the reference of an active part.</summary>
    public const string Off = "passive";

    /// <summary>By condition with the electronics on, the condition with them off; one without such a partner is absent.</summary>
    public static IReadOnlyDictionary<string, string> Of(TrialDocument document)
    {
        var partners = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (var on in document.Conditions.Where(c => c.Mode != Off))
            if (document.Conditions.FirstOrDefault(c => c.Mode == Off && c.Device == on.Device && c.WornWith.ToHashSet(StringComparer.Ordinal).SetEquals(on.WornWith)) is { } off) partners[on.Id] = off.Id;
        return partners;
    }
}
