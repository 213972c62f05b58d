using Hushtrial.Hearing.EarTransfer;
using Hushtrial.Quantities;
using Hushtrial.Signals.Recordings;
using Hushtrial.Tests;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Trials.Tests;

/// <summary>One device under one noise through the whole analysis as each of the three quantities that are all called noise reduction.</summary>
/// <remarks>The numbers are those of the built vector (reference/ear-transfer/built-vector.csv): a cabin, a device and an ear gain, whose A-weighted totals were computed outside
/// this project to 0.1 dB; half a tenth is theirs, the rest is the octave filters' own ripple.</remarks>
public sealed class ThreeQuantitiesTests
{
    private const int Rate = 48_000;
    private const double TakeSeconds = 4, Tolerance = 0.08;
    private static readonly Band[] _octaves = [.. Enumerable.Range(-5, 9).Select(Band.Octave)];
    private static readonly Dictionary<string, double[]> _vector = Columns();

    /// <summary>A sound in one take: which condition, what is lost by octave, and how much louder the cabin is meanwhile.</summary>
    private sealed record Made(string Condition, string? Fit, double[] Loss, double Cabin = 0);

    [Theory]
    [InlineData(false, 18.5, 15.2, 14.9)]
    [InlineData(true, 33.8, 28.3, 23.6)]
    public void Recordings_of_one_device_read_three_different_numbers(bool flat, double raw, double field, double difference)
    {
        var cabin = flat ? [.. _octaves.Select(_ => 90.0)] : _vector["cabin"];
        var passive = _vector["passive"];
        // The cabin changes by 2 dB while the device is worn: the outside microphone takes that away in all three.
        Made[] takes = [new("open", null, new double[9]), new("oak", "F1", passive, 2), new("open", null, new double[9], 1), new("oak", "F2", passive, -1), new("open", null, new double[9])];
        var loss = Analyse(Trial(cabin, takes, MeasuredQuantity.InsertionLoss, EarMicrophone.OpenCanalEntrance));
        Assert.Equal(raw, loss.Conditions[0].Loss.A!.General!.Value, Tolerance);
        Assert.Equal(field, loss.Conditions[0].FieldLoss!.A!.General!.Value, Tolerance);
        Assert.Contains("own open ear", loss.Reference.Words);

        var level = Analyse(Trial(cabin, [.. takes.Where(t => t.Condition != "open")], MeasuredQuantity.LevelDifference, null));
        Assert.Equal(difference, level.Conditions[0].Loss.A!.General!.Value, Tolerance);
        Assert.Null(level.Conditions[0].FieldLoss);
        Assert.Null(level.OpenEarLevel);
        Assert.Contains("not insertion loss", level.Headline);
        // The level at the ear is measured directly: outside minus difference.
        Assert.Equal(level.Outside!.A!.Value - difference, level.Conditions[0].EarLevel!.A!.General!.Value, Tolerance);
    }

    /// <summary>Noted readings at the eardrum: the published transfer of ISO 11904-1 is not the vector's own ear gain; in A-weighted totals the two tables differ by up to 0.1 dB.</summary>
    [Theory]
    [InlineData(false, 18.5, 15.2)]
    [InlineData(true, 33.8, 28.3)]
    public void Noted_octaves_at_the_eardrum_are_referred_to_the_field_by_the_published_table(bool flat, double raw, double field)
    {
        var cabin = flat ? [.. _octaves.Select(_ => 90.0)] : _vector["cabin"];
        var published = EarTransferFunction.Published(EarMicrophone.Eardrum, Hearing.Loudness.SoundField.Diffuse)!.ToOctaves();
        TakeEntry Note(int i, string condition, string? fit, double[] loss)
        {
            double[] bands = [.. _octaves.Select((b, k) => cabin[k] + published[b]!.Value.Decibels - loss[k])];
            var spectrum = Spectrum.Of(_octaves, bands);
            return new($"T{i}", "R", null, condition, fit, null, null, null, spectrum.Total(FrequencyWeighting.A).Decibels, spectrum.Total(FrequencyWeighting.C).Decibels,
                [.. _octaves.Zip(bands, KeyValuePair.Create)], 60.0 * i, null, null, null, "");
        }
        var open = new double[9];
        var document = Document(MeasuredQuantity.InsertionLoss, TrialDesign.ReadingsOnly, ["oak"]) with
        {
            MeterUncertainty = 0.5, MicrophoneAt = EarMicrophone.Eardrum,
            Takes = [Note(0, "open", null, open), Note(1, "oak", "F1", _vector["passive"]), Note(2, "open", null, open), Note(3, "oak", "F2", _vector["passive"]), Note(4, "open", null, open)],
        };
        var results = Analysis.Run(new TrialInputs(document, new Dictionary<string, Recording>(), [], [], "0"), null, TestContext.Current.CancellationToken);
        // Another ear gain than the vector's shifts the raw number a little; the field-related one does not depend on it.
        Assert.Equal(raw, results.Conditions[0].Loss.A!.General!.Value, 0.3);
        Assert.Equal(field, results.Conditions[0].FieldLoss!.A!.General!.Value, 0.06);
        Assert.Contains("ISO 11904-1", results.Reference.Words);
        // The open ear referred to the field is the cabin: 97.1 dB(A) in the vector, not what an eardrum reads.
        Assert.Equal(Spectrum.Of(_octaves, cabin).Total(FrequencyWeighting.A).Decibels, results.OpenFieldLevel!.A!.General!.Value, 0.06);
        Assert.Equal(LevelKind.FieldRelated, results.Exposure!.Reference.Kind);
        Assert.Equal(results.OpenFieldLevel.A.General.Value, results.Exposure.Conditions[0].Worn.Best.Decibels, 1e-6);
        Assert.Contains("Referred to the field", results.Headline);
    }

    /// <summary>The vector's active part, 12.5 dB(A) of the field, from donnings whose seals differ by 9 dB: the donning cancels.</summary>
    [Fact]
    public void The_active_part_of_one_donning_does_not_know_the_seal()
    {
        var (passive, both) = (_vector["passive"], Plus(_vector["passive"], _vector["active_part"]));
        double[] leak = [.. passive.Select(_ => -9.0)];
        Made[] takes =
        [
            new("off", "F1", passive), new("on", "F1", both, 1), new("on", "F1", both), new("off", "F1", passive),
            new("off", "F2", Plus(passive, leak), 2), new("on", "F2", Plus(both, leak)), new("on", "F2", Plus(both, leak), -2), new("off", "F2", Plus(passive, leak)),
        ];
        var trial = Trial(_vector["cabin"], takes, MeasuredQuantity.ActivePart, null);
        var results = Analyse(trial with { Document = trial.Document with { Scope = EstimateScope.AsWorn } });
        var on = Assert.Single(results.Conditions, c => !c.IsReference);
        // 25.7 − 14.9: on and off against the same cabin at the eardrum, the vector's two level differences.
        Assert.Equal(10.8, on.Loss.A!.General!.Value, 0.12);
        Assert.Equal(15, on.Loss.Bands.Single(b => b.Band == Third(125)).Effect.General!.Value, 0.1);
        Assert.Equal(-2, on.Loss.Bands.Single(b => b.Band == Third(1000)).Effect.General!.Value, 0.1);
        Assert.True(on.Loss.A.AsWorn!.StandardUncertainty < 0.5);
        Assert.All(on.FitsDetail, f => Assert.Equal(10.8, f.LossA!.Value, 0.12));
        // One device alone is ahead of nothing.
        Assert.Contains(" adds 1", results.Headline, StringComparison.Ordinal);
        Assert.DoesNotContain("most", results.Headline, StringComparison.Ordinal);
        var part = Assert.Single(results.ActiveParts);
        // The tones at 1 and 2 kHz fill the skirts of their neighbours too.
        Assert.EndsWith("it makes it worse from 800 Hz to 2.5 kHz, by up to 2.0 dB.", part.Sentence);
        Assert.Contains("most at 125 Hz, 15.0 dB", part.Sentence);
        // The other side has levels and no active part of its own.
        var off = results.Conditions.Single(c => c.IsReference);
        Assert.Null(off.Loss.A);
        Assert.True(off.EarLevel!.A!.General!.Value > on.EarLevel!.A!.General!.Value + 10);
    }

    [Fact]
    public void An_insertion_loss_trial_gives_the_active_part_of_the_same_takes_as_a_trial_of_its_own_does()
    {
        var (passive, both) = (_vector["passive"], Plus(_vector["passive"], _vector["active_part"]));
        Made[] worn = [new("off", "F1", passive), new("on", "F1", both), new("off", "F2", Plus(passive, [.. passive.Select(_ => 2.0)])), new("on", "F2", Plus(both, [.. passive.Select(_ => 2.5)]))];
        Made open = new("open", null, new double[9]);
        var loss = Analyse(Trial(_vector["cabin"], [open, .. worn, open], MeasuredQuantity.InsertionLoss, null));
        var active = Analyse(Trial(_vector["cabin"], worn, MeasuredQuantity.ActivePart, null));
        var part = Assert.Single(loss.ActiveParts);
        Assert.Equal(("on", "off", 2), (part.Condition, part.Off, part.Fits));
        Assert.Equal(active.Conditions.Single(c => !c.IsReference).Loss.A!.General!.Value, part.Part.A!.General!.Value, 0.02);
        Assert.Equal(active.Conditions.Single(c => !c.IsReference).Loss.A!.General!.StandardUncertainty, part.Part.A.General.StandardUncertainty, 0.05);
        // The pair of off and on says of every band what the active part says, whichever stands first.
        var pair = Assert.Single(loss.Pairs);
        var sign = pair.First == "on" ? 1 : -1;
        Assert.All(pair.Bands, b =>
        {
            var general = part.Part.Bands.Single(x => x.Band == b.Band).Effect.General!;
            Assert.Equal(sign * general.Value, b.General!.Value, 1e-9);
            Assert.Equal(sign > 0 ? general.Low : -general.High, b.General.Low, 1e-6);
            Assert.Equal(sign > 0 ? general.High : -general.Low, b.General.High, 1e-6);
            Assert.InRange(b.General.SimultaneousLow, double.NegativeInfinity, b.General.Low);
        });
    }

    [Fact]
    public void A_fit_without_the_other_side_is_left_out_of_the_active_part()
    {
        var (passive, both) = (_vector["passive"], Plus(_vector["passive"], _vector["active_part"]));
        Made[] paired = [new("off", "F1", passive), new("on", "F1", both), new("off", "F2", passive), new("on", "F2", both)];
        Made alone = new("on", "F3", Plus(both, [.. both.Select(_ => 20.0)]));
        var with = Analyse(Trial(_vector["cabin"], [.. paired, alone], MeasuredQuantity.ActivePart, null)).Conditions.Single(c => !c.IsReference);
        Assert.Equal(2, with.Fits);
        Assert.Equal(10.8, with.Loss.A!.General!.Value, 0.12);
    }

    [Fact]
    public void Two_microphones_do_not_cancel_in_a_level_difference_and_do_in_a_pair()
    {
        Made[] takes = [new("oak", "F1", _vector["passive"]), new("elm", "F2", Plus(_vector["passive"], _vector["active_part"])), new("oak", "F3", _vector["passive"]), new("elm", "F4", Plus(_vector["passive"], _vector["active_part"]))];
        TrialResults With(double ear, double outside) => Analyse(Trial(_vector["cabin"], takes, MeasuredQuantity.LevelDifference, null, ear, outside));
        double U(TrialResults r) => r.Conditions[0].Loss.A!.AsWorn!.StandardUncertainty;
        var (fine, coarse) = (With(0.1, 0.1), With(1.5, 2));
        Assert.Equal((U(fine) * U(fine)) - 0.02 + (1.5 * 1.5) + 4, U(coarse) * U(coarse), 1e-6);
        Assert.Equal(fine.Pairs[0].AsWorn!.Difference.StandardUncertainty, coarse.Pairs[0].AsWorn!.Difference.StandardUncertainty, 1e-9);
        Assert.Contains(coarse.Conditions[0].Loss.A!.AsWorn!.Budget, b => b.Source == "calibration of the outside microphone");
        // The level at the ear knows nothing of the outside microphone's calibration.
        Assert.DoesNotContain(coarse.Conditions[0].EarLevel!.A!.AsWorn!.Budget, b => b.Source.Contains("outside"));
    }

    [Fact]
    public void Without_calibration_of_both_microphones_only_pairs_are_said()
    {
        Made[] takes = [new("oak", "F1", _vector["passive"]), new("elm", "F2", Plus(_vector["passive"], [.. _octaves.Select(_ => 20.0)]))];
        var trial = Trial(_vector["cabin"], takes, MeasuredQuantity.LevelDifference, null);
        var results = Analyse(trial with { Document = trial.Document with { Calibrations = [trial.Document.Calibrations[0]] } });
        Assert.Equal(TrialMode.Relative, results.Mode);
        Assert.All(results.Conditions, c => Assert.Null(c.Loss.A));
        Assert.All(results.Conditions, c => Assert.All(c.FitsDetail, f => Assert.Null(f.LossA)));
        Assert.Equal(-20, results.Pairs.Single().General!.Difference.Value, 0.1);
        Assert.Contains("Without calibration of both microphones", results.Headline);
    }

    [Fact]
    public void Claims_about_the_whole_reduction_are_not_tested_on_another_quantity()
    {
        var published = new PublishedFigures([], null, [], [new("at-least", 10, null, "total", null, null)], null);
        foreach (var quantity in new[] { MeasuredQuantity.LevelDifference, MeasuredQuantity.ActivePart })
        {
            Made[] takes = [new("off", "F1", _vector["passive"]), new("on", "F1", Plus(_vector["passive"], _vector["active_part"]))];
            var trial = Trial(_vector["cabin"], takes, quantity, null);
            var results = Analyse(trial with { Document = trial.Document with { Devices = [.. trial.Document.Devices.Select(d => d with { Published = published })] } });
            Assert.NotEmpty(results.Claims);
            Assert.All(results.Claims, c => Assert.Contains("not comparable", c.Sentence));
            Assert.All(results.Claims, c => Assert.Null(c.Measured));
        }
    }

    private static Band Third(double hertz) => Band.FromNominal(BandFraction.ThirdOctave, hertz)!.Value;

    private static double[] Plus(double[] a, double[] b) => [.. a.Zip(b, (x, y) => x + y)];

    private static Dictionary<string, double[]> Columns()
    {
        var rows = Reference.Read("ear-transfer/built-vector.csv");
        return rows[0].Keys.ToDictionary(k => k, k => rows.Select(r => r.Number(k)).ToArray());
    }

    private sealed record MadeTrial(TrialDocument Document, byte[] Recording);

    private static TrialResults Analyse(MadeTrial trial) => Analysis.Run(new TrialInputs(trial.Document,
        new Dictionary<string, Recording> { ["run"] = Recording.Open(new BufferedBytes(trial.Recording), "run.wav") }, [], [], "0"), null, TestContext.Current.CancellationToken);

    private static TrialDocument Document(MeasuredQuantity quantity, TrialDesign design, IReadOnlyList<string> conditions) => new()
    {
        Schema = 1, Identity = new("Test", null, null, null, null, null, null, null), Quantity = quantity, Design = design,
        // 'on' and 'off' are two modes of one device; every other name is a device of its own.
        Devices = [.. conditions.Select(DeviceOf).Distinct().Select(d => new Device(d, d, DeviceKind.OverEar, true, null, null, [], null))],
        Conditions = [.. conditions.Select(c => new Condition(c, DeviceOf(c), c == "on" ? "active" : "passive", []))], Runs = [new("R", null, [])], Takes = [],
    };

    private static string DeviceOf(string condition) => condition is "on" or "off" ? "birch" : condition;

    private static MadeTrial Trial(double[] cabin, Made[] takes, MeasuredQuantity quantity, EarMicrophone? place, double earUncertainty = 0.2, double outsideUncertainty = 0.2)
    {
        CalibrationEntry Stated(string channel, double u) => new(channel, CalibrationKind.Sensitivity, null, null, null, 140, null, FrequencyWeighting.Z, u, null, null, null, "");
        var document = Document(quantity, TrialDesign.OutsideChannel, [.. takes.Select(t => t.Condition).Where(c => c != "open").Distinct()]) with
        {
            MicrophoneAt = place, Channels = [new("ear", false, "left", 1, []), new("seat", true, null, 2, [])], Recordings = [new("run", "run.wav", 0, "R")],
            Calibrations = [Stated("ear", earUncertainty), Stated("seat", outsideUncertainty)],
            Takes = [.. takes.Select((t, i) => new TakeEntry($"T{i}", "R", null, t.Condition, t.Fit, "run", (i * 6) + 1, (i * 6) + 1 + TakeSeconds, null, null, [], null, null, null, null, ""))],
        };
        return new(document, Write(cabin, takes));
    }

    // A tone at the exact midband of every octave: its band levels are known without any filter.
    private static byte[] Write(double[] cabin, Made[] takes)
    {
        using var stream = new MemoryStream();
        using (var writer = new WaveWriter(stream, Rate, 2, WaveSampleFormat.Float32))
            for (var t = 0; t < takes.Length; t++)
            {
                var samples = new double[6 * Rate * 2];
                for (var b = 0; b < _octaves.Length; b++)
                {
                    double outside = cabin[b] + takes[t].Cabin - 140, ear = outside + _vector["ear_gain"][b] - takes[t].Loss[b], step = 2 * Math.PI * _octaves[b].ExactMidband.Hertz / Rate;
                    double e = Math.Sqrt(2) * Math.Pow(10, ear / 20), o = Math.Sqrt(2) * Math.Pow(10, outside / 20);
                    for (var i = 0; i < 6 * Rate; i++)
                    {
                        var s = Math.Sin(step * ((t * 6.0 * Rate) + i));
                        samples[2 * i] += e * s;
                        samples[(2 * i) + 1] += o * s;
                    }
                }
                writer.Write(samples);
            }
        return stream.ToArray();
    }
}
