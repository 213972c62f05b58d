namespace Hushtrial.Trials.Document;

/// <summary>How readers are told of a condition.</summary>
public static class ConditionName
{
    /// <summary>Device, and in brackets its mode and what is worn with it: 'Birch (active)', 'Alder (with spectacles)'. The mode is left
    /// out where the device is only passive.</summary>
    public static string Of(TrialDocument document, Condition condition)
    {
        var device = document.Devices.First(d => d.Id == condition.Device);
        var several = document.Conditions.Where(c => c.Device == condition.Device).Select(c => c.Mode).Distinct(StringComparer.Ordinal).Count() > 1;
        List<string> remarks = several || condition.Mode != "passive" ? [condition.Mode] : [];
        if (condition.WornWith.Count > 0) remarks.Add($"with {string.Join(" and ", condition.WornWith)}");
        return remarks.Count > 0 ? $"{device.Name} ({string.Join(", ", remarks)})" : device.Name;
    }
}
