using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Hushtrial.Quantities;

namespace Hushtrial.Cli.Calculations;

/// <summary>What the commands for one calculation have in common: the input, the way results are written, refusals as problems.</summary>
internal static class CalculationCommand
{
    /// <summary>The optional input argument; without it standard input is read where numbers are needed.</summary>
    public static Argument<string> InputArgument() => new("INPUT")
    {
        Description = "a CSV or JSON file; '-' or nothing reads standard input", Arity = ArgumentArity.ZeroOrOne, DefaultValueFactory = _ => "-",
    };

    /// <summary>An option for a number, with its unit or meaning as help name.</summary>
    public static Option<double?> Number(string name, string helpName, string description, NumberRange? range = null) => NumberOption.Of(name, range ?? NumberRange.Any, description, helpName);

    /// <summary>An option for one of some words.</summary>
    public static Option<string> Word(string name, string standard, string description, params string[] words)
    {
        var option = new Option<string>(name) { Description = description, DefaultValueFactory = _ => standard };
        option.AcceptOnlyFromAmong(words);
        return option;
    }

    /// <summary>Runs a calculation; what the library refuses in the numbers becomes a problem of the input.</summary>
    /// <returns>The exit code.</returns>
    public static int Run<T>(Answer answer, CalculationInput input, Func<T?> calculate, Action<Utf8JsonWriter, T> json, Action<TextWriter, T> text)
        where T : class
    {
        T? result = null;
        if (!input.Failed)
        {
            try
            {
                result = calculate();
            }
            catch (ArgumentException refused)
            {
                // The library guards its ranges; its own parameter names mean nothing to the caller.
                input.Error(9, input.Where, WithoutParameter(refused), "numbers in the range of the method", "Check the numbers and their units.");
            }
        }

        var done = input.Failed ? null : result;
        return answer.Give(input.Problems, w => { if (done is not null) json(w, done); }, w => { if (done is not null) text(w, done); });
    }

    /// <summary>A number, or null.</summary>
    public static void Optional(this Utf8JsonWriter writer, string name, double? value)
    {
        if (value is { } number && double.IsFinite(number)) writer.WriteNumber(name, number);
        else writer.WriteNull(name);
    }

    /// <summary>A text in the invariant culture.</summary>
    public static string Words(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    /// <summary>A spectrum from values by band.</summary>
    public static Spectrum ToSpectrum(this IReadOnlyDictionary<Band, double> values) =>
        Spectrum.Of(values.Select(e => KeyValuePair.Create(e.Key, Level.FromDecibels(e.Value))));

    /// <summary>Differences from values by band.</summary>
    public static IReadOnlyDictionary<Band, LevelDifference> ToDifferences(this IReadOnlyDictionary<Band, double> values) =>
        values.ToDictionary(e => e.Key, e => LevelDifference.FromDecibels(e.Value));

    private static string WithoutParameter(ArgumentException refused)
    {
        var message = refused.Message;
        var at = message.IndexOf(" (Parameter", StringComparison.Ordinal);
        var plain = at < 0 ? message : message[..at];
        return refused is ArgumentOutOfRangeException { ActualValue: { } value } ? Words($"{value}: {plain}") : plain;
    }
}
