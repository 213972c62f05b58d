namespace Hushtrial.Trials.Planning;

/// <summary>A heading and its points.</summary>
public sealed record CardSection(string Heading, IReadOnlyList<string> Points);

/// <summary>The safety card that goes with every order card.</summary>
/// <remarks>Sources: the UK authority's leaflet on flying with electronic devices (2023) and the US rule 'fly first'; InFO 07001 and SAIB CE-16-08 (alarms must be
/// heard); 14 CFR 91.21 (recorders); ISO 11904-1 on measuring in the ear canal; NIOSH 98-126 for the dose. As read in summaries, not in the documents: check
/// them before relying on a clause.</remarks>
public static class SafetyCard
{
    /// <summary>The sections, in the order of the card.</summary>
    public static IReadOnlyList<CardSection> Sections { get; } =
    [
        new("Flying comes first",
        [
            "The pilot flying has no task in this trial: no reading, no holding, no change of headset. A briefed second person does everything.",
            "The radio watch is never interrupted: the pilot flying keeps the usual, approved headset. Only the person being measured changes headsets.",
            "Measure in cruise, by day, in good visibility and clear air, above a height agreed beforehand.",
            "Stop at once for traffic, a call, turbulence, an alarm or unease. Stopping needs no reason.",
            "Nothing is changed while taxiing, in take-off, in the circuit or in landing.",
            "Nothing lies near the flight controls; no loose cable crosses a lap or the way out.",
            "Crew in a helmet never take it off for a measurement. With doors off there is no open-ear part.",
        ]),
        new("Before a headset is trusted",
        [
            "Check on the ground, then in flight, that warnings for gear, stall, engine, fire and cabin can be heard under it. If not, find another way or do not use it.",
            "Recorders are in flight mode; under instrument rules or in commercial work the operator or the pilot in command decides whether they may run.",
            "Local rules may ask for more, for example an intercom with headsets for all crew.",
        ]),
        new("Ears",
        [
            "The open ear has a dose. It was computed for this plan; do not stretch it.",
            "Nothing sealed deep in the ear canal during climb and descent; microphones go in on the ground.",
            "Microphones in the ear canal only in healthy ears: with wax, pain or inflammation, no. Work in the canal is for a qualified person. Tips are used once.",
        ]),
        new("People",
        [
            "Everybody who can be heard in a recording has agreed to it. Radio traffic is not published where the law forbids it.",
            "At work, choosing protection and checking hearing are the employer's duty. These results inform a competent person; they replace nobody. Local rules win.",
        ]),
    ];
}
