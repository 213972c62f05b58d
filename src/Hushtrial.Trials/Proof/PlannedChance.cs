using Hushtrial.Trials.Planning;

namespace Hushtrial.Trials.Proof;

/// <summary>The chance that a planned trial finds the difference it looks for, simulated with the full method.</summary>
/// <remarks>With few donnings the plan's formula promises too much: there the simulation is the answer.</remarks>
public static class PlannedChance
{
    /// <summary>Loss of every device but one, dB. What the loss is does not matter to the chance.</summary>
    private const double CommonLoss = 20;

    /// <summary>One device stands apart by the difference sought; the share of its pairs that are found is the chance of a declared pair.</summary>
    /// <param name="question">What is planned.</param>
    /// <param name="trials">Trials to simulate, at least 1.</param>
    /// <param name="mostDevices">Devices to simulate at the most; more take longer and change a declared pair's chance little.</param>
    /// <param name="cancellation">Stops between trials.</param>
    public static ProofShare Of(PlanQuestion question, int trials, int mostDevices = int.MaxValue, CancellationToken cancellation = default)
    {
        var devices = Math.Clamp(question.Devices.Count, 2, Math.Max(2, mostDevices));
        var design = new ProofDesign("plan", question.Flights, question.DonningsPerFlight, question.TakesPerDonning, devices)
        {
            Losses = [CommonLoss + question.Difference, .. Enumerable.Repeat(CommonLoss, devices - 1)],
        };
        var world = new ProofScenario("plan", "as planned") { Donning = question.Scatter.Donning, Occasion = question.Scatter.Occasion, Position = question.Scatter.Episode };
        var cell = LevelProof.Run(design, world, trials, question.Seed, cancellation: cancellation);
        return question.Difference > 2 ? cell.PowerMore : cell.PowerTwo;
    }
}
