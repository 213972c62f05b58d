namespace Hushtrial.Trials.Document;

/// <summary>How readers are told of a condition.</summary>
public static class ConditionName
{
    /// <summary>Device, mode and what is worn with it; the mode is left out where the device is only passive.</summary>
    public static string Of(TrialDocument document, Condition condition)
    {
        var device = document.Devices.First(d => d.Id == condition.Device);
        var several = document.Conditions.Where(c => c.Device == condition.Device).Select(c => c.Mode).Distinct(StringComparer.Ordinal).Count() > 1;
        var name = several || condition.Mode != "passive" ? $"{device.Name}, {condition.Mode}" : device.Name;
        return condition.WornWith.Count > 0 ? $"{name}, with {string.Join(" and ", condition.WornWith)}" : name;
    }
}
