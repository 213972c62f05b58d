namespace Hushtrial.Trials.Document;

/// <summary>One kind of day in a week.</summary>
/// <param name="Day">Its name for readers.</param>
/// <param name="Times">How many such days a week has.</param>
/// <param name="Segments">What it is made of.</param>
public sealed record WeekDay(string Day, double Times, IReadOnlyList<WeekSegment> Segments);

/// <summary>A stretch of a day: a condition worn in the trial's noise or in another cabin, or a stated level without a device.</summary>
/// <param name="Name">Its name for readers; null when not stated.</param>
/// <param name="Hours">How long it lasts.</param>
/// <param name="Condition">Condition worn (identity), or 'open'; null where a level is stated.</param>
/// <param name="Cabin">Cabin (identity) it is worn in; null for the trial's own noise.</param>
/// <param name="OffMinutes">Minutes of it with the device off.</param>
/// <param name="OneEarOff">Whether one ear is uncovered: the worse ear counts.</param>
/// <param name="LevelA">Stated A-weighted level without a device, dB; null with a condition.</param>
/// <param name="Uncertainty">Standard uncertainty of the stated level, dB; null when not stated.</param>
/// <param name="CommsLevelA">A-weighted level at the ear of radio or intercom alone while somebody talks, dB; null without.</param>
/// <param name="CommsSharePercent">Share of the worn time with it, percent.</param>
public sealed record WeekSegment(string? Name, double Hours, string? Condition, string? Cabin, double OffMinutes, bool OneEarOff, double? LevelA, double? Uncertainty,
    double? CommsLevelA, double CommsSharePercent);
