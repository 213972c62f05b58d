namespace Hushtrial.Trials.Document;

/// <summary>The part of the table of the trial document that says what has to be heard.</summary>
internal static class ListeningShape
{
    /// <summary>Its key in the document.</summary>
    public const string Key = "listening";

    private static readonly WordShape _fraction = new([("octave", "octave bands"), ("third", "one-third-octave bands")]);

    public static MapShape Speech { get; } = new("the speech",
    [
        new("way", new WordShape([("headset", "through the headset's electronics: the device's loss does not act on it"), ("air", "spoken in the cabin: it loses what the noise loses")]),
            "How the speech comes to the ear.", Required: true),
        new("level_db", Db(20, 130), "A-weighted level while somebody talks, dB(A): under the device, or for speech through the air at the open ear. Without it the bands or the vocal effort say it."),
        new("effort", new WordShape([("normal", "normal voice"), ("raised", "raised voice"), ("loud", "loud voice"), ("shout", "shouted")]),
            "Vocal effort: the standard spectrum that gives the shape, and through the air also the level at 1 m when none is stated. Default raised."),
        new("bands", new BandsShape(-20, 130, WithDeviation: false), "Band levels of the speech, without weighting, where its spectrum is known: { 250: 60, 500: 66 }."),
        new("fraction", _fraction, "Width of these bands. Default octave."),
        new("low_hz", new NumberShape(20, 20_000, "Hz"), "Lower end of the radio's pass band. Default 300 through the headset, none through the air."),
        new("high_hz", new NumberShape(20, 20_000, "Hz"), "Upper end of the radio's pass band. Default 3400 through the headset, none through the air."),
        new("uncertainty_db", Db(0.1, 20), "Standard uncertainty of the level. Default 2."),
        new("rule", new WordShape([("fixed-volume", "the volume stays as set"), ("fixed-ratio", "set again until speech stands as far over the noise as before"),
            ("follows-noise", "follows the noise by 0.42 dB for each dB, as field data show")]), "What becomes of the speech level under another device. Default fixed-volume."),
        new("set_under", new ReferenceShape("conditions", OrOpen: true), "The condition, or open, under which the level was set and stated."),
        new("source", new TextShape(), "How the level is known."),
    ]);

    public static MapShape UnderDevice { get; } = new("a warning sound under a device, on the ground",
    [
        new("condition", new ReferenceShape("conditions"), "The condition worn.", Required: true),
        new("sound", Span("the sound under the device"), "Span with the sound, recorded with the ear microphone under the device, on the ground."),
        new("background", Span("the quiet before it"), "Span without the sound, the device left on as it was."),
        new("heard", new WordShape([("clearly", "heard clearly"), ("faintly", "heard faintly, or not every time"), ("not", "not heard")]), "What somebody who wore it heard, by ear."),
        new("by", new TextShape(), "Who listened, how often, and with the electronics on or off."),
    ]);

    public static MapShape Warnings { get; } = new("a warning sound",
    [
        new("id", new IdentityShape(), "Short name.", Required: true), new("name", new TextShape(), "Name for readers. Default the short name."),
        new("place", new TextShape(), "Where it sounds, and where it was recorded or measured."),
        new("way", new WordShape([("air", "through the air of the cabin"), ("headset", "through the headset's electronics")]), "How it comes to the ear. Default air."),
        new("recording", new ReferenceShape("recordings"), "A recording of it with the ear microphone: at the open ear, or for a sound of the headset under the device."),
        new("from", new SpanShape(), "Start of it in the recording."), new("to", new SpanShape(), "End of it."),
        new("background_from", new SpanShape(), "Start of a span of the same recording without it."), new("background_to", new SpanShape(), "End of that span."),
        new("bands", new BandsShape(-20, 160, WithDeviation: false), "Its band levels, without weighting, where it was not recorded: { 2000: 84, 4000: 78 }."),
        new("fraction", _fraction, "Width of these bands. Default octave."),
        new("uncertainty_db", Db(0.1, 20), "Standard uncertainty of its level. Default 1 when recorded, 2 when stated."),
        new("under", new ListShape(UnderDevice), "The same sound under devices, on the ground: as recorded there, and what was heard by ear. What was recorded counts before what the loss of the device would leave of it."),
    ]);

    public static MapShape Quiet { get; } = new("a device in a quiet room",
    [
        new("condition", new ReferenceShape("conditions"), "The condition with the electronics on.", Required: true),
        new("on", Span("the span with the electronics on"), "Span with the electronics on.", Required: true),
        new("off", Span("the span with the electronics off"), "Span with the electronics off, in the same fit.", Required: true),
    ]);

    public static MapShape Listening { get; } = new("what has to be heard",
    [
        new("speech", Speech, "Radio, intercom or spoken words, to be understood under each device."),
        new("warnings", new ListShape(Warnings), "Warning sounds, to be heard under each device."),
        new("quiet", new ListShape(Quiet), "Devices in a quiet room, electronics on and off, for their own hiss."),
        new("one_ear_off_percent", new NumberShape(0, 100, "%"), "Share of the time with one ear uncovered."),
    ]);

    private static MapShape Span(string title) => new(title,
        [new("recording", new ReferenceShape("recordings"), "The recording.", Required: true), new("from", new SpanShape(), "Start.", Required: true), new("to", new SpanShape(), "End.", Required: true)]);

    private static NumberShape Db(double least, double most) => new(least, most, "dB");
}
