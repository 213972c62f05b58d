namespace Hushtrial.Trials.Pairing;

/// <summary>One reading as the estimator sees it: where it belongs and what was read, quantity by quantity.</summary>
/// <param name="Flight">The flight or run: one clock, one steady state, a fixed block of the model.</param>
/// <param name="Wearer">The wearer; flights of several wearers are separate blocks.</param>
/// <param name="Clock">Seconds since the start of the run; null when there is no clock.</param>
/// <param name="Episode">An uninterrupted run of one condition in one donning, or one open bracket.</param>
/// <param name="Donning">The putting-on; null for the open ear.</param>
/// <param name="Condition">The condition, or 'open'.</param>
/// <param name="Values">Level at the ear (or ear minus outside) by name of quantity ('LA', 'LC', 'B125' …), dB. A quantity that is absent was not read.</param>
/// <param name="Take">Identity of the take it comes from; null for a reading of a table.</param>
public sealed record Reading(string Flight, string? Wearer, double? Clock, string Episode, string? Donning, string Condition,
    IReadOnlyDictionary<string, double> Values, string? Take = null);
