using System.CommandLine;
using System.Text.Json;
using Hushtrial.Cli.Calculations;
using Hushtrial.Hearing.Claims;
using Hushtrial.Hearing.Ratings;
using Hushtrial.Quantities;
using static Hushtrial.Cli.Calculations.CalculationCommand;
using Hushtrial.Store;

namespace Hushtrial.Cli.Commands;

/// <summary>A published claim against a measurement, or what a claim can mean in a noise.</summary>
internal static class ClaimCommand
{
    private const string Description = """
        A published claim against a measurement, or what 'q dB at f' can mean in a noise.

        Against a measurement: --at-least Q, --up-to Q or --mean Q with --measured M --sd S (and --df N for a t distribution).
          For --up-to either --at HZ says where M was measured, or INPUT holds one row per band with the columns hz, measured, sd.
        In a noise: --value Q --at HZ with INPUT columns hz, noise (unweighted band levels) and, for the electronics of an active device, passive (dB) and --active-up-to HZ.
        Published octave data: INPUT columns hz, mean, sd, noise (octaves) with --measured M --sd S: is the measured reduction what one wearer should expect?
        A labelled number: --labelled R (reduction predicted from the label in this noise) with --measured M --sd S, and, to refute it, --exceeded-by-95 V with --fit-checked:
          V is the reduction that 95 % of wearers should exceed in this noise. Without both a label cannot be refuted by one wearer.
        The allowance for differences of method is 2 dB unless --allowance says otherwise; 0 is strict.
        Example: hushtrial claim --at-least 20 --measured 17.2 --sd 0.9
        Example: printf 'hz,noise,passive\n63,104,9\n125,108,11\n250,100,18\n500,94,26\n1000,88,31\n' | hushtrial claim --value 15 --at 125 --active-up-to 500
        """;

    private const string Prefix = "CLM";

    public static Command Build(Edge edge)
    {
        var input = InputArgument();
        var (atLeast, upTo, mean) = (Number("--at-least", "DB", "the claim 'at least Q dB'", NumberRange.Reduction), Number("--up-to", "DB", "the claim 'up to Q dB'", NumberRange.Reduction), Number("--mean", "DB", "the claim 'Q dB on average'", NumberRange.Reduction));
        var (value, at, activeUpTo) = (Number("--value", "DB", "claimed value at one frequency", NumberRange.Reduction), Number("--at", "HZ", "that frequency", NumberRange.Audible), Number("--active-up-to", "HZ", "the claim speaks of electronics that act up to this frequency", NumberRange.Audible));
        var (measured, sd, df) = (Number("--measured", "DB", "measured loss", NumberRange.Reduction), Number("--sd", "DB", "its standard uncertainty", NumberRange.Scatter), Number("--df", "N", "its degrees of freedom", new(0, 1e6, Above: true)));
        var allowance = Number("--allowance", "DB", "allowance for differences of method (2)", new(0, 40, "dB"));
        var labelled = Number("--labelled", "DB", "reduction that the label predicts in this noise", NumberRange.Reduction);
        var exceeded = Number("--exceeded-by-95", "DB", "with --labelled: reduction that 95 % of wearers should exceed in this noise", NumberRange.Reduction);
        var fitChecked = new Option<bool>("--fit-checked") { Description = "with --exceeded-by-95: the fit was checked and found good, so that a value below it speaks against the label" };
        var (subjects, basis) = (NumberOption.Whole("--subjects", 2, 100_000, "number of people behind published means", "N"),
            Word("--basis", "threshold", "how published attenuation was measured", "threshold", "microphone"));
        var command = new Command("claim", Description) { input, atLeast, upTo, mean, value, at, activeUpTo, measured, sd, df, allowance, labelled, exceeded, fitChecked, subjects, basis };
        command.Validators.Add(r =>
        {
            var kinds = new[] { atLeast, upTo, mean, value, labelled }.Where(o => r.GetResult(o) is not null).Select(o => o.Name).ToArray();
            if (kinds.Length > 1) r.AddError($"One claim at a time: {string.Join(" and ", kinds)} do not go together.");
            if (r.GetResult(value) is not null && r.GetResult(at) is null) r.AddError("--value needs --at.");
            if (r.GetResult(at) is not null && r.GetResult(value) is null && r.GetResult(upTo) is null) r.AddError("--at goes with --value or --up-to.");
            if (r.GetResult(upTo) is not null && r.GetResult(measured) is not null && r.GetResult(at) is null) r.AddError("--up-to with --measured needs --at: the frequency it was measured at.");
            if (r.GetResult(measured) is not null && r.GetResult(sd) is null) r.AddError("--measured needs --sd: no measurement is exact.");
            if ((r.GetResult(atLeast) ?? r.GetResult(mean) ?? r.GetResult(labelled)) is not null && r.GetResult(measured) is null) r.AddError("This claim needs --measured and --sd.");
            if (r.GetResult(exceeded) is not null && r.GetResult(labelled) is null) r.AddError("--exceeded-by-95 goes with --labelled.");
            if (r.GetResult(exceeded) is not null && r.GetValue(exceeded) >= r.GetValue(labelled)) r.AddError("--exceeded-by-95 must be below --labelled: most wearers get less than that.");
            if (r.GetValue(fitChecked) && r.GetResult(exceeded) is null) r.AddError("--fit-checked needs --exceeded-by-95: without it a checked fit changes nothing.");
        });
        command.SetAction(parsed =>
        {
            var answer = new Answer(edge, CommandTree.AsJson(parsed));
            double? Get(Option<double?> option) => parsed.GetValue(option);
            var wish = new Wish(Get(measured) is { } m ? Loss(m, Get(sd)!.Value, Get(df)) : null, Db(Get(allowance) ?? ClaimOutcome.UsualAllowance.Decibels),
                parsed.GetValue(fitChecked), parsed.GetValue(subjects), parsed.GetValue(basis) == "microphone" ? AttenuationBasis.EarMicrophone : AttenuationBasis.ThresholdShift);
            var byOptions = (Get(atLeast) ?? Get(mean) ?? Get(labelled)) is not null || (Get(upTo) is not null && wish.Measured is not null);
            var source = byOptions ? CalculationInput.None(Prefix) : CalculationInput.Read(edge, parsed.GetValue(input)!, Prefix).Expecting(InputShape.Claim);
            if (Get(value) is { } q)
                return Run(answer, source, () => Translation.Of(source, q, Get(at)!.Value, Get(activeUpTo)), (w, t) => t.WriteJson(w), (w, t) => t.WriteText(w));
            if (Get(atLeast) is { } least) return Give(answer, source, least, PublishedKind.MicrophoneOctaves, () => ClaimCheck.AtLeast(wish.Measured!, Db(least), wish.Allowance));
            if (Get(mean) is { } average) return Give(answer, source, average, PublishedKind.MicrophoneOctaves, () => ClaimCheck.Mean(wish.Measured!, Db(average), wish.Allowance));
            if (Get(labelled) is { } label) return Give(answer, source, label, PublishedKind.SingleNumber, () => ClaimCheck.AgainstLabel(wish.Measured!, Db(label), Get(exceeded) is { } v ? Db(v) : null, wish.FitChecked));
            if (Get(upTo) is { } most) return Give(answer, source, most, PublishedKind.OneFrequency, () => MeasuredBands(source, wish, Get(at)) is { Count: > 0 } bands ? ClaimCheck.UpTo(bands, Db(most), wish.Allowance) : null);
            if (wish.Measured is null) throw new WrongUseException("say which claim: --at-least, --up-to, --mean, --value with --at, --labelled, or published octaves with --measured.");
            return Run(answer, source, () => Published(source, wish), (w, c) => WriteJson(w, c), (w, c) => { w.WriteLine(c.Sentence); w.WriteLine(ClaimOutcome.Fairness); });
        });
        return command;
    }

    private sealed record Wish(MeasuredLoss? Measured, LevelDifference Allowance, bool FitChecked, int? Subjects, AttenuationBasis Basis);

    private static MeasuredLoss Loss(double mean, double deviation, double? df) =>
        df is { } n ? MeasuredLoss.Student(Db(mean), Db(deviation), n) : MeasuredLoss.Normal(Db(mean), Db(deviation));

    private static LevelDifference Db(double value) => LevelDifference.FromDecibels(value);

    private static List<(Band, MeasuredLoss)> MeasuredBands(CalculationInput input, Wish wish, double? at)
    {
        if (wish.Measured is { } one)
        {
            if (Band.ThirdOctaves.Where(b => at >= b.LowerEdge.Hertz && at < b.UpperEdge.Hertz).Select(b => (Band?)b).FirstOrDefault() is not { } band)
                throw new WrongUseException(Words($"--at {at}: a frequency between 20 Hz and 20 kHz is needed."));
            return [(band, one)];
        }

        var fraction = input.Fraction("bands");
        var (means, deviations) = (input.Bands("bands", fraction, "measured", "mean"), input.Bands("bands", fraction, "sd"));
        foreach (var band in means.Keys.Where(b => !deviations.TryGetValue(b, out var s) || s <= 0))
            input.Error(11, input.Where, $"no sd above 0 at {band}", "a standard uncertainty for every measured band", "Add the column sd.");
        if (means.Count == 0) input.Error(10, input.Where, "no measured band", "the columns hz, measured and sd", "Give the measured losses, or --measured with --sd.");
        return input.Failed ? [] : [.. means.Select(e => (e.Key, Loss(e.Value, deviations[e.Key], null)))];
    }

    private static PublishedComparison? Published(CalculationInput input, Wish wish)
    {
        var (means, deviations, noise) = (input.Bands("bands", BandFraction.Octave, "mean"), input.Bands("bands", BandFraction.Octave, "sd"), input.Bands("bands", BandFraction.Octave, "noise"));
        if ((means.Count == 0 || noise.Count == 0) && !input.Failed) input.Error(12, input.Where, "no published means or no noise", "the columns hz, mean, sd and noise", "Add them.");
        foreach (var band in means.Keys.Where(b => !deviations.ContainsKey(b))) input.Error(11, input.Where, $"no sd at {band}", "a standard deviation for every band", "Add the column sd.");
        return input.Failed ? null : ClaimCheck.AgainstPublished(wish.Measured!, WearerPrediction.Of(noise.ToSpectrum(),
            PublishedAttenuation.Of(means.ToDictionary(e => e.Key, e => new BandAttenuation(Db(e.Value), Db(deviations[e.Key]))), wish.Subjects, wish.Basis)));
    }

    private static int Give(Answer answer, CalculationInput input, double claimed, PublishedKind kind, Func<ClaimOutcome?> check) =>
        Run(answer, input, check, (w, o) =>
        {
            w.WriteNumber("claimed", claimed);
            w.WriteString("verdict", o.Verdict.ToString().ToLowerInvariant());
            w.WriteNumber("probability", o.Probability);
            w.WriteString("sentence", o.Sentence);
            w.Optional("reached_at_hz", o.ReachedAt?.NominalHertz);
            w.WriteString("fairness", ClaimOutcome.Fairness);
            w.WriteStartArray("usual_disagreements");
            foreach (var d in Comparability.Of(kind))
            {
                w.WriteStartObject();
                w.WriteString("text", d.Text);
                w.WriteNumber("low", d.UsualLow);
                w.WriteNumber("high", d.UsualHigh);
                w.WriteString("source", d.Source);
                w.WriteEndObject();
            }

            w.WriteEndArray();
        }, (w, o) =>
        {
            w.WriteLine(o.Sentence);
            w.WriteLine(ClaimOutcome.Fairness);
        });

    private static void WriteJson(Utf8JsonWriter w, PublishedComparison c)
    {
        // The verdict of a claim: published values are refuted by nobody who gets more than they say.
        w.WriteString("verdict", c.Standing switch { PublishedStanding.Below => "contradicted", PublishedStanding.Above => "supported", _ => "unresolved" });
        w.WriteString("standing", c.Standing.ToString().ToLowerInvariant());
        w.WriteNumber("probability", 1 - c.ProbabilityBelow);
        w.WriteStartObject("difference");
        w.WriteNumber("estimate", c.Difference.Decibels);
        w.WriteNumber("low", c.Low.Decibels);
        w.WriteNumber("high", c.High.Decibels);
        w.WriteEndObject();
        w.WriteString("sentence", c.Sentence);
        w.WriteString("fairness", ClaimOutcome.Fairness);
    }

    private sealed record Translation(double Value, Frequency At, ClaimRange A, ClaimRange C)
    {
        public static Translation? Of(CalculationInput input, double value, double at, double? activeUpTo)
        {
            var fraction = input.Fraction("bands");
            var (noise, passive) = (input.Bands("bands", fraction, "noise", "level"), input.Bands("bands", fraction, "passive"));
            if (noise.Count == 0 && !input.Failed) input.Error(10, input.Where, "no noise", "the columns hz and noise", "Give the noise's band levels.");
            if (input.Failed) return null;
            var f = Frequency.FromHertz(at);
            ClaimRange Range(FrequencyWeighting weighting) => activeUpTo is { } top
                ? ClaimTranslation.OfActivePart(noise.ToSpectrum(), passive.ToDifferences(), Db(value), f, Frequency.FromHertz(top), weighting)
                : ClaimTranslation.Of(noise.ToSpectrum(), Db(value), f, weighting);
            return new(value, f, Range(FrequencyWeighting.A), Range(FrequencyWeighting.C));
        }

        public void WriteJson(Utf8JsonWriter w)
        {
            w.WriteNumber("claimed", Value);
            w.WriteNumber("at_hz", At.Hertz);
            foreach (var (name, range) in new[] { ("a", A), ("c", C) })
            {
                w.WriteStartObject(name);
                w.WriteNumber("floor", range.Floor.Decibels);
                w.WriteNumber("ceiling", range.Ceiling.Decibels);
                w.WriteNumber("share_of_band", range.ShareOfBand);
                w.WriteEndObject();
            }

            w.WriteString("sentence", ClaimTranslation.Sentence(Db(Value), At, A));
        }

        public void WriteText(TextWriter to)
        {
            foreach (var range in new[] { A, C }) to.WriteLine(ClaimTranslation.Sentence(Db(Value), At, range));
        }
    }
}
