using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using Hushtrial.Trials.Document;

namespace Hushtrial.Cli;

/// <summary>Options whose value is a number. They read digits with a point in every country, refuse a comma, and say in words what is needed: never a type, never a crash.</summary>
internal static class NumberOption
{
    /// <summary>A number that may be left out.</summary>
    public static Option<double?> Of(string name, NumberRange range, string description, string? helpName = null) =>
        new(name) { Description = description, HelpName = helpName, CustomParser = r => Read(r, Token(r), range) };

    /// <summary>A number with a value where it is left out.</summary>
    public static Option<double> Of(string name, NumberRange range, string description, double standard, string? helpName = null) =>
        new(name) { Description = description, HelpName = helpName, CustomParser = r => Read(r, Token(r), range) ?? standard, DefaultValueFactory = _ => standard };

    /// <summary>Several numbers, as many as follow.</summary>
    public static Option<double[]> Several(string name, NumberRange range, string description) => new(name)
    {
        Description = description, AllowMultipleArgumentsPerToken = true, DefaultValueFactory = _ => [], CustomParser = r => [.. r.Tokens.Select(t => Read(r, t.Value, range)).OfType<double>()],
    };

    /// <summary>A whole number that may be left out.</summary>
    public static Option<int?> Whole(string name, int lowest, int highest, string description, string? helpName = null) =>
        new(name) { Description = description, HelpName = helpName, CustomParser = r => ReadWhole(r, lowest, highest) };

    /// <summary>A whole number with a value where it is left out.</summary>
    public static Option<int> Whole(string name, int lowest, int highest, string description, int standard, string? helpName = null) =>
        new(name) { Description = description, HelpName = helpName, CustomParser = r => ReadWhole(r, lowest, highest) ?? standard, DefaultValueFactory = _ => standard };

    /// <summary>The seed of what is drawn at random: 1 where it is left out.</summary>
    public static Option<ulong> Seed(string description) => new("--seed")
    {
        Description = description, DefaultValueFactory = _ => 1,
        CustomParser = r =>
        {
            if (ulong.TryParse(Token(r), NumberStyles.None, CultureInfo.InvariantCulture, out var seed)) return seed;
            Refuse(r, Token(r), "a whole number from 0 is needed");
            return 1;
        },
    };

    /// <summary>A time in a recording, in seconds: written as the trial document writes it, 12.5, 0:12.5 or 1:02:03.</summary>
    public static Option<double?> Time(string name, string description) => new(name)
    {
        HelpName = "TIME", Description = description,
        CustomParser = r =>
        {
            if (SpanText.Seconds(Token(r)) is { } seconds) return seconds;
            Refuse(r, Token(r), $"a time in the recording is needed: {SpanText.Forms}");
            return null;
        },
    };

    private static string Token(ArgumentResult result) => result.Tokens.Count > 0 ? result.Tokens[^1].Value : "";

    private static double? Read(ArgumentResult result, string text, NumberRange range)
    {
        if (TryRead(text, out var value) && range.Holds(value)) return value;
        // 17,5 is a number in half the world, and one thousand and more in the other: it is not guessed.
        Refuse(result, text, text.Count(c => c == ',') == 1 && TryRead(text.Replace(',', '.'), out _) && !TryRead(text, out _)
            ? $"a number is needed, with a point: {text.Replace(',', '.')}" : $"{range.Words()} is needed");
        return null;
    }

    private static bool TryRead(string text, out double value) => double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);

    private static int? ReadWhole(ArgumentResult result, int lowest, int highest)
    {
        if (int.TryParse(Token(result), NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var value) && value >= lowest && value <= highest) return value;
        Refuse(result, Token(result), new NumberRange(lowest, highest == int.MaxValue ? double.PositiveInfinity : highest).Words("a whole number") + " is needed");
        return null;
    }

    private static void Refuse(ArgumentResult result, string text, string needed) => result.AddError($"{(result.Parent as OptionResult)?.Option.Name ?? result.Argument.Name} {text}: {needed}.");
}
