namespace Hushtrial.Trials.Document;

/// <summary>The keys of the comfort log.</summary>
internal static class ComfortShape
{
    /// <summary>The key of the section.</summary>
    public const string Key = "comfort";

    /// <summary>One entry.</summary>
    public static MapShape Entry { get; } = new("a word on comfort",
    [
        Must("condition", new ReferenceShape("conditions"), "The condition worn."),
        Can("fit", new ReferenceShape("fits"), "The fit (one putting-on), as takes name it."),
        Can("wearer", new ReferenceShape("wearers"), "The wearer, when there are several."),
        Can("run", new ReferenceShape("runs"), "The run whose clock it was noted by; may be left out when there is one."),
        Can("at", new ClockShape(), "Clock time, on the clock of the run."),
        Can("worn_min", new NumberShape(0, 1440, "min"), "Minutes since it was put on."),
        Can("end_of_day", new YesNoShape(), "yes when it speaks of the whole day. Default no."),
        Can("discomfort", new NumberShape(0, ComfortEntry.MostDiscomfort, ""), "0 for nothing noticed to 10 for could not be borne; the same scale for all devices, said before anybody sees a result."),
        Can("hot_spot", new TextShape(), "Where it pressed: crown, left temple, behind the ear."),
        Can("hot_spot_min", new NumberShape(0, 1440, "min"), "Minutes until that was noticed."),
        Can("glasses", new YesNoShape(), "Whether spectacles were worn."),
        Can("remarks", new TextShape(), "Anything else: heat, weight, noise of the cable."),
    ]);

    private static Field Must(string key, Shape shape, string meaning) => new(key, shape, meaning, Required: true);

    private static Field Can(string key, Shape shape, string meaning) => new(key, shape, meaning);
}
