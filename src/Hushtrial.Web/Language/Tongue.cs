using System.Globalization;
using System.Text.Json;
using Hushtrial.Reporting.Wording;
using Microsoft.AspNetCore.Http;

namespace Hushtrial.Web.Language;

/// <summary>The language of a page: its words and its decimal mark. English texts are the keys; another language is a table of them.</summary>
/// <remarks>A text without a translation appears in English, and a test fails: it reads every text that the sources ask for.</remarks>
public sealed class Tongue
{
    /// <summary>Name of the cookie that keeps the choice.</summary>
    public const string Cookie = "hushtrial-language";

    private readonly IReadOnlyDictionary<string, string> _texts;

    private Tongue(string tag, string name, string decimalMark, string groupMark, IReadOnlyDictionary<string, string> texts, Phrasebook? phrases = null)
    {
        (Tag, Name, _texts, Phrases) = (tag, name, texts, phrases);
        Numbers = (NumberFormatInfo)CultureInfo.InvariantCulture.NumberFormat.Clone();
        (Numbers.NumberDecimalSeparator, Numbers.NumberGroupSeparator, Numbers.NegativeSign) = (decimalMark, groupMark, "−");
    }

    /// <summary>English.</summary>
    public static Tongue English { get; } = new("en", "English", ".", ",", new Dictionary<string, string>(StringComparer.Ordinal));

    /// <summary>German.</summary>
    public static Tongue German { get; } = new("de", "Deutsch", ",", ".", Read("de"), Phrasebook.German);

    /// <summary>All languages, the first one where nothing else is asked for.</summary>
    public static IReadOnlyList<Tongue> All { get; } = [English, German];

    /// <summary>Language tag: 'en', 'de'.</summary>
    public string Tag { get; }

    /// <summary>Its name in itself.</summary>
    public string Name { get; }

    /// <summary>Decimal and group marks, and a minus sign that is one.</summary>
    public NumberFormatInfo Numbers { get; }

    /// <summary>The words of figures, tables and sentences of results; null where they are in this language already.</summary>
    public Phrasebook? Phrases { get; }

    /// <summary>The texts by their English.</summary>
    public IReadOnlyDictionary<string, string> Texts => _texts;

    /// <summary>Marks an English text that is looked up elsewhere: the same text. The test of the texts finds it by this mark.</summary>
    public static string Key(string english) => english;

    /// <summary>A text.</summary>
    /// <param name="english">The English text, the key.</param>
    public string this[string english] => _texts.TryGetValue(english, out var text) ? text : english;

    /// <summary>A text with values in its places {0}, {1} …; numbers get this language's decimal mark.</summary>
    /// <param name="english">The English text with its places, the key.</param>
    /// <param name="values">The values.</param>
    public string this[string english, params object[] values] => string.Format(Numbers, this[english], values);

    /// <summary>A number with so many decimals.</summary>
    public string Number(double value, int decimals = 1) => Math.Round(value, decimals, MidpointRounding.AwayFromZero) is var rounded && rounded == 0
        ? 0.0.ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), Numbers)
        : rounded.ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), Numbers);

    /// <summary>The language that a request asks for: its choice, else the browser's first that is there, else English.</summary>
    public static Tongue Of(HttpContext context)
    {
        if (Find(context.Request.Cookies[Cookie]) is { } chosen) return chosen;
        foreach (var wish in context.Request.Headers.AcceptLanguage.ToString().Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries))
            if (Find(wish.Split(';', '-')[0]) is { } found) return found;
        return English;
    }

    /// <summary>A language by its tag; null where there is none.</summary>
    public static Tongue? Find(string? tag) => All.FirstOrDefault(t => string.Equals(t.Tag, tag, StringComparison.OrdinalIgnoreCase));

    private static Dictionary<string, string> Read(string tag)
    {
        using var stream = typeof(Tongue).Assembly.GetManifestResourceStream($"language/{tag}.json") ?? throw new InvalidOperationException($"The texts of '{tag}' are missing from the assembly.");
        return JsonSerializer.Deserialize<Dictionary<string, string>>(stream) ?? throw new InvalidOperationException($"The texts of '{tag}' are empty.");
    }
}
