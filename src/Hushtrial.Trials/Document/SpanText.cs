using System.Globalization;

namespace Hushtrial.Trials.Document;

/// <summary>A time in a recording as people write it, in the document and elsewhere.</summary>
public static class SpanText
{
    /// <summary>The forms, for people.</summary>
    public const string Forms = "seconds (12 or 12.5), m:ss (0:12.5) or h:mm:ss (1:02:03)";

    /// <summary>Seconds from the start of the recording, 0 to 48 h; null when the text is none of <see cref="Forms"/>.</summary>
    public static double? Seconds(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return ScalarReading.Sexagesimal(text.Trim()) is { } seconds && seconds <= SpanShape.MostHours * 3600
            ? double.Parse(seconds.ToString(CultureInfo.InvariantCulture), NumberStyles.Float, CultureInfo.InvariantCulture) : null;
    }
}
