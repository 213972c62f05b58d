using System.Globalization;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Cli.Calculations;

/// <summary>Names that a calculation does not know, and numbers beyond all bounds: what would be left out in silence is said.</summary>
internal static class ExpectedNames
{
    private const int UnknownName = 30, BeyondRange = 31;

    // '3150' and '6300' are test bands of the US rule, named by their round frequencies, too.
    private static readonly double[] _round = [3000, 6000];

    /// <summary>Looks through everything that was read.</summary>
    /// <param name="input">What was read; problems are added to it.</param>
    /// <param name="shape">What the calculation reads.</param>
    /// <returns>The same input.</returns>
    public static CalculationInput Expecting(this CalculationInput input, InputShape shape)
    {
        foreach (var (name, value) in input.Fields) Field(input, shape, name, value);
        var told = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        foreach (var row in input.AllRows)
            foreach (var (name, text) in row.Cells)
            {
                // Spreadsheets end their lines with separators.
                if (name.Length == 0 && text.Length == 0) continue;
                if (Find(shape.Columns, name) is { } column) Check(input, row.Place, column, double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var number) ? number : null);
                else if (!(shape.Bands && IsBand(name)) && !InputShape.Remarks.Contains(name, StringComparer.OrdinalIgnoreCase) && told.Add(name))
                    Unknown(input, input.IsJson ? row.Place : input.Where, input.IsJson ? "key" : "column", name, [.. shape.Columns.Select(c => c.Name)], "Remove it, or call it 'remarks'.",
                        !input.AllRows.Any(r => r.Cells.TryGetValue(name, out var cell) && double.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out _)));
            }
        return input;
    }

    private static void Field(CalculationInput input, InputShape shape, string name, JsonElement value)
    {
        if (shape.Tables.Contains(name, StringComparer.OrdinalIgnoreCase)) return;
        var list = value.ValueKind == JsonValueKind.Array;
        // A list of numbers may be a column of the table.
        if ((Find(shape.Fields, name) ?? (list ? Find(shape.Columns, name) : null)) is { } known)
            foreach (var one in list ? [.. value.EnumerateArray()] : new[] { value })
                Check(input, input.Where, known, one.ValueKind == JsonValueKind.Number ? one.GetDouble() : null);
        else if (!InputShape.Remarks.Contains(name, StringComparer.OrdinalIgnoreCase))
            Unknown(input, input.Where, "key", name, [.. shape.Tables, .. shape.Fields.Select(f => f.Name), .. list ? shape.Columns.Select(c => c.Name) : []],
                Find(shape.Columns, name) is null ? "Remove it, or call it 'remarks'." : $"'{name}' belongs into each row of '{shape.Tables[0]}'.", value.ValueKind == JsonValueKind.String);
    }

    private static void Check(CalculationInput input, string place, InputName name, double? value)
    {
        // What is no finite number is told where it is read.
        if (value is { } number && double.IsFinite(number) && !name.Range.Holds(number))
            input.Error(BeyondRange, place, string.Create(CultureInfo.InvariantCulture, $"'{name.Name}' is {number}"), name.Range.Words(), "Check the number, its unit and its decimal point.");
    }

    private static void Unknown(CalculationInput input, string place, string kind, string name, IReadOnlyList<string> known, string otherwise, bool words)
    {
        var near = known.Contains(name, StringComparer.OrdinalIgnoreCase) ? null : KnownWords.Nearest(name, known) ?? WithoutUnit(name, known);
        var found = $"the unknown {kind} '{(name.Length <= 60 ? name : name[..57] + "…")}'";
        // Words that resemble no name of ours hold no number that would be missed.
        if (words && near is null && !known.Contains(name, StringComparer.OrdinalIgnoreCase)) input.Note(UnknownName, place, found, string.Join(", ", known), "It was passed over.");
        else input.Error(UnknownName, place, found, string.Join(", ", known), near is null ? otherwise : $"Did you mean '{near}'?");
    }

    // 'sd_db' is 'sd' with its unit.
    private static string? WithoutUnit(string name, IReadOnlyList<string> known) =>
        name.LastIndexOfAny(['_', ' ', '(', '-']) is > 0 and var at ? known.FirstOrDefault(k => k.Equals(name[..at].Trim(), StringComparison.OrdinalIgnoreCase)) : null;

    private static InputName? Find(IReadOnlyList<InputName> names, string name) => names.FirstOrDefault(n => n.Name.Equals(name, StringComparison.OrdinalIgnoreCase));

    private static bool IsBand(string name) => double.TryParse(name, NumberStyles.Float, CultureInfo.InvariantCulture, out var hertz)
        && (Band.FromNominal(BandFraction.ThirdOctave, hertz) is not null || _round.Contains(hertz));
}
