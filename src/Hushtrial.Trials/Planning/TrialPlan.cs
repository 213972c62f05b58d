using System.Globalization;
using Hushtrial.Trials.Verdicts;

namespace Hushtrial.Trials.Planning;

/// <summary>What is asked of a plan.</summary>
/// <param name="Devices">The devices.</param>
/// <param name="Flights">Flights.</param>
/// <param name="DonningsPerFlight">Donnings of every device in a flight.</param>
/// <param name="TakesPerDonning">Takes of every mode in a donning.</param>
/// <param name="TakeTime">Length of a take.</param>
/// <param name="Difference">Difference that is to be found, dB.</param>
/// <param name="Scatter">Scatter to plan with.</param>
/// <param name="OpenEar">Whether the open ear is read.</param>
/// <param name="Seed">Seed of the order.</param>
public sealed record PlanQuestion(IReadOnlyList<PlannedDevice> Devices, int Flights, int DonningsPerFlight, int TakesPerDonning, TimeSpan TakeTime, double Difference,
    PlannedScatter Scatter, bool OpenEar, ulong Seed);

/// <summary>A plan: what the design can find, what would do, and the order to follow.</summary>
/// <param name="Question">What was asked.</param>
/// <param name="PowerOnePair">Chance to tell one declared pair apart, by the planning formula.</param>
/// <param name="PowerAllPairs">The same when all pairs are judged at once.</param>
/// <param name="FormulaOptimistic">Below nine donnings of each device: simulate before believing the formula.</param>
/// <param name="DonningsNeeded">Donnings of each device for 80 % power on one pair; null when no reasonable number would do.</param>
/// <param name="Order">The order.</param>
/// <param name="MinutesPerFlight">Time on condition that a flight needs, min.</param>
/// <param name="Advice">What would help most, in words.</param>
public sealed record TrialPlan(PlanQuestion Question, double PowerOnePair, double PowerAllPairs, bool FormulaOptimistic, int? DonningsNeeded, MeasuringOrder Order,
    double MinutesPerFlight, IReadOnlyList<string> Advice)
{
    // Putting a device on and settling. Common practice, no source.
    private const double ChangeMinutes = 1.5;

    /// <summary>Makes a plan.</summary>
    public static TrialPlan For(PlanQuestion question)
    {
        var conditions = question.Devices.Sum(d => Math.Max(1, d.Modes.Count));
        var design = new PlannedDesign(conditions, question.Flights, question.DonningsPerFlight, question.TakesPerDonning);
        var order = MeasuringOrder.Draw(question.Devices, question.Flights, question.DonningsPerFlight, question.TakesPerDonning, question.OpenEar, question.Seed);
        var needed = PairPower.DonningsNeeded(question.Difference, 0.8, question.Scatter, design with { Flights = 1 });
        var longest = order.Steps.GroupBy(s => s.Flight).Max(f => f.Sum(s => (s.Device is null ? 0.5 : ChangeMinutes) + s.Takes.Count * (question.TakeTime.TotalMinutes + 0.15)));
        return new(question, PairPower.Of(question.Difference, question.Scatter, design), PairPower.Of(question.Difference, question.Scatter, design, pairs: design.Pairs),
            design.Donnings < 9, needed, order, longest, AdviceFor(question, design, needed));
    }

    private static List<string> AdviceFor(PlanQuestion question, PlannedDesign design, int? needed)
    {
        var advice = new List<string>();
        if (needed is { } n && n > design.Donnings)
            advice.Add(string.Create(CultureInfo.InvariantCulture, $"Put every device on {n} times in all, not {design.Donnings}: that is what a difference of {question.Difference:0.#} dB needs at 80 % power."));
        if (needed is null) advice.Add("No reasonable number of donnings finds so small a difference: ask for a larger one.");
        if (design.Donnings == 1) advice.Add("With one donning of each device the general answer rests on an assumed donning scatter. Put every device on at least twice.");
        if (question.Flights == 1) advice.Add("Spread the donnings over two flights or more: what a device does on one day is not what it does on another.");
        if (question.TakesPerDonning > 3) advice.Add("More takes inside a donning hardly help: use the time to put the devices on once more.");
        if (question.TakeTime.TotalSeconds > 30) advice.Add("Takes of 12 to 20 s are enough: the time is better spent on donnings.");
        advice.Add("What helps, in this order: more donnings, more flights, open brackets, two takes of 12 to 20 s, longer takes.");
        return advice;
    }
}
