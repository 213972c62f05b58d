using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Synthesis;

/// <summary>What the crew wrote down: the document of the helicopter demo.</summary>
internal static class HelicopterDocument
{
    /// <summary>Identity of the second cabin.</summary>
    public const string OtherCabin = "four-blade";

    public static TrialDocument Write(IReadOnlyList<TakeEntry> takes) => new()
    {
        Schema = 1,
        Identity = new("Four devices in an air-ambulance cabin", "Choose one type of headset for the medical crew", "Crew member in the left rear seat",
            "Cruise over flat country, left rear seat", "2026-05-14", "The crew itself; devices bought", "None declared",
            "A made-up demonstration: cabin, devices, people and figures are invented."),
        Quantity = MeasuredQuantity.InsertionLoss,
        Design = TrialDesign.Sequential,
        Scope = EstimateScope.General,
        Margin = LevelDifference.FromDecibels(2),
        MarginSet = "2026-05-01, before the first flight",
        Noise =
        [
            new("vehicle", "light twin helicopter, four-blade main rotor"), new("power", "cruise"), new("rpm", "394"), new("blades", "4"),
            new("speed", "120 kt"), new("altitude_ft", "2000"), new("doors", "closed"), new("windows", "closed"), new("heater", "off"), new("phase", "steady cruise"),
        ],
        Chain = [new("recorder", "portable recorder, 24 bit, 48 kHz"), new("gain", "fixed, same for all recordings"), new("automatic_functions", "all off; shown by a 94 dB tone before and after")],
        Comms = [new("state", "off during takes, but for the one that says otherwise"), new("remarks", "radio watch kept by the pilots throughout")],
        Fitting = [new("fitted_by", "the wearer"), new("order", "balanced, drawn before the flights"), new("rejects", "none")],
        Exposure = [new("rules", "eu, niosh"), new("hours_per_day", "3.5"), new("off_minutes", "10")],
        Week =
        [
            new("duty day", 3,
            [
                new("flights", 2.5, "birch-active", null, 6, false, null, null, 80, 15), new("transfer in the other cabin", 1, "birch-active", OtherCabin, 2, false, null, null, null, 0),
                new("loading, one ear free", 0.25, "birch-passive", null, 0, true, null, null, null, 0), new("station", 4, null, null, 0, false, 60, 3, null, 0),
            ]),
            new("training day", 1, [new("flights", 1.5, "alder", null, 5, false, null, null, 82, 30), new("class", 5, null, null, 0, false, 58, 3, null, 0)]),
        ],
        Channels =
        [
            new("ear", false, "left", 1, [new("microphone", "miniature, 3 mm"), new("position", "entrance of the ear canal, taped"), new("cable", "thin, over the ear, under the cushion's top")],
                LowestValidHertz: 20, NoiseRecording: "quiet", NoiseFrom: 1, NoiseTo: 14),
        ],
        Recordings =
        [
            new("f1-recording", "flight-1.wav", 0, "F1"), new("f2-recording", "flight-2.wav", 0, "F2"), new("f3-recording", "flight-3.wav", 0, "F3"),
            new("quiet", "quiet.wav", null, null), new("calibrator-before", "calibrator-before.wav", null, null), new("calibrator-after", "calibrator-after.wav", null, null),
            .. HelicopterListening.Entries,
        ],
        Calibrations = [Tone("calibrator-before", "before"), Tone("calibrator-after", "after")],
        Cabins = [FourBlade()],
        Devices =
        [
            new("alder", "Alder", DeviceKind.OverEar, true, 390, 11, [new("cushions", "new cushions")], null),
            new("birch", "Birch", DeviceKind.OverEar, true, 340, 9.5, [new("cushions", "two years old, cushions replaced"), new("battery", "fresh at the start of each flight")],
                new([], null, [], [new("up-to", 30, null, "total", "up to 30 dB of noise gone", null), new("at-least", 15, 125, "active", "15 dB of active reduction at 125 Hz", "birch-active")], "the maker's leaflet")),
            new("cedar", "Cedar", DeviceKind.OnEar, true, 190, 7, [new("cushions", "new"), new("battery", "fresh at the start of each flight")],
                new([], null, [], [new("at-least", 20, null, "total", "at least 20 dB", null)], "the maker's leaflet")),
            new("dogwood", "Dogwood", DeviceKind.InCanal, false, null, null, [new("type", "moulded for the wearer; no microphone fits inside")],
                new([.. Octave((63, 21.3, 5.8), (125, 23.1, 5.6), (250, 24.0, 5.4), (500, 25.2, 5.1), (1000, 26.4, 4.7), (2000, 31.9, 4.2), (4000, 36.8, 5.2), (8000, 38.1, 6.0))], 16,
                    [new("snr", 27)], [], "the maker's data sheet, threshold test with 16 subjects")),
        ],
        Conditions =
        [
            new("alder", "alder", "passive", []), new("alder-spectacles", "alder", "passive", ["spectacles"]), new("birch-passive", "birch", "passive", []),
            new("birch-active", "birch", "active", []), new("cedar-active", "cedar", "active", []), new("dogwood", "dogwood", "passive", []),
        ],
        Wearers = [new("crew", "Crew member", [new("spectacles", "only where the condition says so"), new("hair", "short")])],
        Runs = [new("F1", "First flight", []) { StartOfDay = 36300 }, new("F2", "Second flight", []) { StartOfDay = 40500 }, new("F3", "Third flight", []) { StartOfDay = 52200 }],
        Comfort =
        [
            new("alder", null, null, "F1", 1200, 15, false, 2, null, null, false, null), new("birch-active", null, null, "F1", 2700, 20, false, 1, null, null, false, null),
            new("alder", null, null, null, null, 95, true, 4, "crown", 60, false, "warm over lunch"), new("alder-spectacles", null, null, null, null, 90, true, 6, "temples, under the sidepieces", 35, true, null),
            new("birch-active", null, null, null, null, 110, true, 2, null, null, false, null), new("cedar-active", null, null, null, null, 80, true, 5, "left ear", 45, false, "presses on the ear, light on the head"),
        ],
        Listening = HelicopterListening.Plan,
        Takes = takes,
    };

    // Levels as a meter would print them.
    private static CabinEntry FourBlade()
    {
        var noise = TruthBands.Of(HelicopterCabin.QuieterFourBlade, _ => 0);
        static double Tenth(double value) => Math.Round(value, 1, MidpointRounding.AwayFromZero);
        return new(OtherCabin, "A quieter four-blade cabin", "invented for this demonstration", [.. noise.Bands.OrderBy(b => b.Key).Select(b => KeyValuePair.Create(b.Key, Tenth(b.Value)))],
            Tenth(noise.A), Tenth(noise.C), 0.5, null, null, null, null);
    }

    private static CalibrationEntry Tone(string recording, string when) =>
        new("ear", CalibrationKind.Tone, recording, 1, 11, 94, 1000, FrequencyWeighting.Z, 0.2, false, 101.3, when, "");

    private static IEnumerable<PublishedBand> Octave(params (double Hertz, double Mean, double Deviation)[] bands) =>
        bands.Select(b => new PublishedBand(Band.FromNominal(BandFraction.Octave, b.Hertz)!.Value, b.Mean, b.Deviation));
}
