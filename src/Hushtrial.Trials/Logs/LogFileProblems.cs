using Hushtrial.Quantities;

namespace Hushtrial.Trials.Logs;

/// <summary>What is said of the file of a log, before it is read.</summary>
public static class LogFileProblems
{
    /// <summary>Another file than the one for which the columns were confirmed.</summary>
    public static Problem Changed(string name, string found, string expected) => LogProblems.Error("LOG-005", name, $"a file with the SHA-256 {found[..12]}…",
        $"the file for which the columns were confirmed, {expected[..12]}…", "If the new file is right, run 'hushtrial log' on it and confirm its columns again.");

    /// <summary>Nothing tells whether it is the file for which the columns were confirmed.</summary>
    public static Problem NotHashed(string name) => new("LOG-006", Severity.Note, name, "no hash of the file for which the columns were confirmed", "'sha256' in the log's entry",
        "'hushtrial log' prints the entry with it; then a changed file is noticed.");
}
