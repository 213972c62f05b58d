using System.Globalization;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Finding;
using Hushtrial.Trials.Planning;

namespace Hushtrial.Trials.Leading;

/// <summary>One step of a kept order: an open bracket, or one donning with its takes.</summary>
/// <param name="Number">Number on the card, from 1.</param>
/// <param name="Takes">Identities of the conditions take by take, 'open' for the open ear.</param>
/// <param name="Code">The blind code that stands for the device; null when none is kept, and for the open ear.</param>
public sealed record LeadStep(int Number, IReadOnlyList<string> Takes, string? Code)
{
    /// <summary>Whether it is the open ear.</summary>
    public bool IsOpen => Takes is [TrialDocument.OpenEar, ..];
}

/// <summary>The order that a trial document keeps under 'fitting', as it leads through a run.</summary>
/// <param name="Steps">The steps of the run; empty when no order is kept that can be read.</param>
/// <param name="Codes">Blind code by condition.</param>
/// <param name="TakeSeconds">Planned length of a take, s.</param>
/// <param name="SettleSeconds">Time to settle before a take, s.</param>
/// <param name="HalfWidth">Half width of a take's 95 % interval that is long enough, dB.</param>
public sealed record KeptOrder(IReadOnlyList<LeadStep> Steps, IReadOnlyDictionary<string, string> Codes, double TakeSeconds, double SettleSeconds, double HalfWidth)
{
    /// <summary>Length of a take where none is kept, s. Common practice, no source: 12 to 20 s.</summary>
    public const double UsualTakeSeconds = 16;

    /// <summary>Time to settle where none is stated, s. Common practice, no source.</summary>
    public const double UsualSettleSeconds = 10;

    /// <summary>Half width where none is kept, dB: twice the scatter of takes that plans reckon with (method, section 5: 0.6 dB).</summary>
    public const double UsualHalfWidth = 1.2;

    /// <summary>What a plan writes into 'fitting.order': 'flight 1: open, open; alder, alder; …', one row per donning.</summary>
    /// <param name="order">The order.</param>
    /// <param name="condition">Identity of the condition of a planned device in a mode.</param>
    public static string Text(MeasuringOrder order, Func<string, string, string> condition)
    {
        ArgumentNullException.ThrowIfNull(order);
        return string.Join("\n", order.Steps.GroupBy(s => s.Flight).Select(f => string.Create(CultureInfo.InvariantCulture, $"flight {f.Key}: ")
            + string.Join("; ", f.Select(s => string.Join(", ", s.Takes.Select(mode => s.Device is null ? TrialDocument.OpenEar : condition(s.Device, mode)))))));
    }

    /// <summary>What a plan writes into 'fitting.codes': 'B4 = alder; K7 = birch-active, birch-passive'.</summary>
    /// <inheritdoc cref="Text"/>
    public static string CodesText(MeasuringOrder order, Func<string, string, string> condition)
    {
        ArgumentNullException.ThrowIfNull(order);
        return string.Join("; ", order.Codes.Select(code => $"{code.Key} = "
            + string.Join(", ", order.Steps.Where(s => s.Code == code.Key).SelectMany(s => s.Takes.Select(mode => condition(s.Device!, mode))).Distinct(StringComparer.Ordinal))));
    }

    /// <summary>The order of a run.</summary>
    /// <param name="document">The trial.</param>
    /// <param name="run">Identity of the run.</param>
    public static KeptOrder Of(TrialDocument document, string run)
    {
        ArgumentNullException.ThrowIfNull(document);
        var codes = ReadCodes(Told(document, "codes"), document);
        var steps = OrderCard.Of(document).TryGetValue(run, out var card)
            ? card.Rows.Select(r => new LeadStep(r.Number, r.Conditions, r.Conditions.Select(codes.GetValueOrDefault).FirstOrDefault(c => c is not null))).ToList() : [];
        return new(steps, codes, Number(document, "take_s") ?? UsualTakeSeconds, Number(document, "settle_s") ?? UsualSettleSeconds, Number(document, "take_half_width_db") ?? UsualHalfWidth);
    }

    /// <summary>A free field of 'fitting'; null when it is not stated.</summary>
    public static string? Told(TrialDocument document, string key)
    {
        ArgumentNullException.ThrowIfNull(document);
        return document.Fitting.FirstOrDefault(f => f.Key == key).Value;
    }

    /// <summary>A number of 'fitting'; null when it is not stated.</summary>
    public static double? Number(TrialDocument document, string key) => double.TryParse(Told(document, key), NumberStyles.Float, CultureInfo.InvariantCulture, out var x) ? x : null;

    private static Dictionary<string, string> ReadCodes(string? text, TrialDocument document)
    {
        var codes = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (var part in (text ?? "").Split([';', '\n'], StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries))
        {
            if (part.Split('=', StringSplitOptions.TrimEntries) is not [{ Length: > 0 } code, var names]) continue;
            foreach (var name in names.Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries))
                if (document.Conditions.FirstOrDefault(c => string.Equals(c.Id, name, StringComparison.OrdinalIgnoreCase)) is { } condition) codes.TryAdd(condition.Id, code);
        }
        return codes;
    }
}
